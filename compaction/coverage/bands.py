"""Elevations that nobody tested: between the lowest and the highest fill of a stretch, thicker than a lift.

A passing original test speaks for the lift under its surface (practice D.2: from its surface down, one lift at most),
so it closes the elevations from its own down by the thickness of its lift. What stays open over more than a lift is a
band: fill went up there and no test stands for it. A lesser gap is ordinary, as not every lift has a test everywhere.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import median

from compaction.coverage.facts import Placed, Tested
from compaction.coverage.frequency import original, passes

#: bands of neighbours that end within this are one
_CLOSE_M = 0.001


@dataclass(frozen=True)
class Band:
    """Elevations of a stretch without an original passing test, metres."""

    station_from_m: float
    station_to_m: float
    bottom_m: float
    top_m: float
    lift_thickness_m: float

    @property
    def height_m(self) -> float:
        return self.top_m - self.bottom_m


@dataclass(frozen=True)
class Untested:
    """The bands, and the stretches of which nothing can be said because fill there has no elevation or thickness."""

    bands: tuple[Band, ...] = ()
    unknown: tuple[tuple[float, float], ...] = ()


def missing(
    placed: Iterable[Placed],
    tests: Iterable[Tested],
    *,
    edges: Sequence[float],
    read_to_m: float,
    lift_thickness_m: float | None = None,
) -> Untested:
    """Bands of one alignment between each two of `edges` (stations, ascending); neighbours alike are one.

    `read_to_m` is what elevations are read to: less is no gap. `lift_thickness_m` stands in where a stretch has no
    thickness on record. Exempt fill asks for nothing.
    """
    if len(edges) < 2:
        return Untested()
    columns = len(edges) - 1
    fill: list[list[Placed]] = [[] for _ in range(columns)]
    for one in placed:
        if not one.exempt:
            first = max(bisect_right(edges, one.station_from_m) - 1, 0)
            last = min(bisect_left(edges, one.station_to_m), columns)
            for number in range(first, last):
                fill[number].append(one)
    spots: list[list[float]] = [[] for _ in range(columns)]
    for test in tests:
        if test.station_m is not None and test.elevation_m is not None and original(test) and passes(test):
            number = min(bisect_right(edges, test.station_m) - 1, columns - 1)
            if number >= 0 and test.station_m <= edges[-1]:
                spots[number].append(test.elevation_m)
    found: list[Band] = []
    unknown: list[tuple[float, float]] = []
    for number in range(columns):
        stretch = (edges[number], edges[number + 1])
        rows = fill[number]
        extent = _extent(rows, lift_thickness_m)
        if extent is not None:
            found += _gaps(stretch, rows, spots[number], *extent, read_to_m)
        elif rows:
            unknown.append(stretch)
    return Untested(tuple(_joined(found)), tuple(_stretches(unknown)))


def _extent(rows: Sequence[Placed], stand_in_m: float | None) -> tuple[float, float, float] | None:
    """Bottom, top and the usual thickness of a lift; None where they are not known."""
    tops = [float(one.elevation_top_m) for one in rows if one.elevation_top_m is not None]
    if not tops:
        return None
    stated = [float(one.thickness_m) for one in rows if one.thickness_m]
    usual = median(stated) if stated else stand_in_m
    if not usual:
        return None
    bottoms = [
        float(one.elevation_top_m) - float(one.thickness_m or usual) for one in rows if one.elevation_top_m is not None
    ]
    return min(bottoms), max(tops), usual


def _gaps(
    stretch: tuple[float, float],
    rows: Sequence[Placed],
    spots: Iterable[float],
    bottom_m: float,
    top_m: float,
    usual_m: float,
    read_to_m: float,
) -> list[Band]:
    """What tests leave open from the bottom up."""
    from_m = max(stretch[0], min(one.station_from_m for one in rows))
    to_m = min(stretch[1], max(one.station_to_m for one in rows))
    found, reached = [], bottom_m
    for elevation in [*sorted(spots), top_m + usual_m]:
        lower = min(elevation - usual_m, top_m)
        if lower - reached > usual_m + read_to_m:
            found.append(Band(from_m, to_m, reached, lower, usual_m))
        reached = max(reached, elevation)
    return found


def _joined(bands: Iterable[Band]) -> list[Band]:
    """Bands that go on into the next stretch at the same elevations as one, from the lowest station up."""
    found: list[Band] = []
    for band in sorted(bands, key=lambda one: (one.bottom_m, one.top_m, one.station_from_m)):
        before = found[-1] if found else None
        alike = (
            before is not None
            and abs(before.station_to_m - band.station_from_m) <= _CLOSE_M
            and abs(before.bottom_m - band.bottom_m) <= _CLOSE_M
            and abs(before.top_m - band.top_m) <= _CLOSE_M
        )
        if before is not None and alike:
            found[-1] = replace(before, station_to_m=band.station_to_m)
        else:
            found.append(band)
    return sorted(found, key=lambda one: (one.station_from_m, one.bottom_m))


def _stretches(found: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start, end in found:
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined
