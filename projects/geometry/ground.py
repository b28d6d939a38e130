"""Original ground (or the stripped foundation) under the fill, where somebody measured it.

Cross lines of offset and elevation at internal stations; in between it is taken as straight, both across and
along. Outside the cross lines nothing is known and nothing is made up.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Any

from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import as_list, as_object, needed_decimal, plain_decimal


class GroundError(ValueError):
    """The ground cannot be: cross lines or their points out of order."""


@dataclass(frozen=True)
class CrossLine:
    """Ground across the line at one internal station: (offset, elevation), left to right, in the alignment's unit."""

    station: Decimal
    points: tuple[tuple[Decimal, Decimal], ...]


@dataclass(frozen=True)
class Ground:
    """Cross lines in order of station."""

    lines: tuple[CrossLine, ...]
    unit: LinearUnit

    def __post_init__(self) -> None:
        if not self.lines:
            raise GroundError("Ground needs at least one cross line.")
        for first, second in pairwise(self.lines):
            if not first.station < second.station:
                raise GroundError(f"The cross line at {second.station} stands behind the one at {first.station}.")
        for line in self.lines:
            if len(line.points) < 2:
                raise GroundError(f"The cross line at {line.station} needs two points or more.")
            for (left, _), (right, _) in pairwise(line.points):
                if not left < right:
                    raise GroundError(f"The points of the cross line at {line.station} run from left to right.")

    @cached_property
    def _numbers(self) -> tuple[list[float], list[tuple[list[float], list[float]]]]:
        metres = self.unit.to_metres
        return (
            [float(metres(line.station)) for line in self.lines],
            [
                (
                    [float(metres(offset)) for offset, _ in line.points],
                    [float(metres(elevation)) for _, elevation in line.points],
                )
                for line in self.lines
            ],
        )

    def elevation_m(self, *, station_m: float, offset_m: float) -> float | None:
        """Elevation of the ground, None where no cross line reaches."""
        stations, lines = self._numbers
        if not stations[0] - 0.01 <= station_m <= stations[-1] + 0.01:
            return None
        ahead = min(bisect_right(stations, station_m), len(stations) - 1)
        behind = max(ahead - 1, 0)
        here, there = _on(*lines[behind], offset_m), _on(*lines[ahead], offset_m)
        if here is None or there is None or ahead == behind:
            return here
        part = (station_m - stations[behind]) / (stations[ahead] - stations[behind])
        return here + (there - here) * part


def _on(offsets: Sequence[float], elevations: Sequence[float], offset_m: float) -> float | None:
    if not offsets[0] <= offset_m <= offsets[-1]:
        return None
    right = min(bisect_right(offsets, offset_m), len(offsets) - 1)
    part = (offset_m - offsets[right - 1]) / (offsets[right] - offsets[right - 1])
    return elevations[right - 1] + (elevations[right] - elevations[right - 1]) * part


def ground_from_plain(content: Any, unit: LinearUnit) -> Ground | None:
    """From stored content: a list of `{"station", "points": [{"offset", "elevation"}, ...]}`."""
    if content is None:
        return None
    lines = []
    for number, item in enumerate(as_list(content, "ground")):
        where = f"ground[{number}]"
        as_object(item, where, frozenset({"station", "points"}))
        points = []
        for place, point in enumerate(as_list(item.get("points"), f"{where}.points")):
            spot = f"{where}.points[{place}]"
            as_object(point, spot, frozenset({"offset", "elevation"}))
            points.append((needed_decimal(point, "offset", f"{spot}."), needed_decimal(point, "elevation", f"{spot}.")))
        lines.append(CrossLine(needed_decimal(item, "station", f"{where}."), tuple(points)))
    return Ground(tuple(lines), unit)


def ground_to_plain(ground: Ground) -> list[Mapping[str, Any]]:
    """The stored content of a ground."""
    return [
        {
            "station": plain_decimal(line.station),
            "points": [
                {"offset": plain_decimal(offset), "elevation": plain_decimal(elevation)}
                for offset, elevation in line.points
            ],
        }
        for line in ground.lines
    ]
