"""Which planned locations are done: ticked off by the tests that arrive, by rule and never by hand."""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from uuid import UUID, uuid5

from compaction.coverage.facts import Tested

OPEN, DONE, CELL_TESTED = "open", "done", "cell_tested"
WORDS = {OPEN: "to do", DONE: "done", CELL_TESTED: "cell tested elsewhere"}


@dataclass(frozen=True)
class Planned:
    """A location as it stands now: where, in which cell. Station and offset, or easting and northing without a line."""

    uuid: str
    cell: int
    alignment: str
    station_m: float
    offset_m: float


@dataclass(frozen=True)
class Ticked:
    """Its state, the test that did it, and how far away that test was made (None where the test only names it)."""

    state: str
    test: str = ""
    label: str = ""
    distance_m: float | None = None
    named: bool = False  # the test names the location itself


def location_uuid(draw: UUID, cell: int) -> str:
    """The id of a location follows from its draw and its cell."""
    return str(uuid5(draw, f"cell {cell}"))


def tick_off(
    planned: Sequence[Planned],
    tests: Iterable[Tested],
    *,
    within_m: float,
    tested_cells: Mapping[int, Sequence[str]],
    named: Mapping[str, str] | None = None,
) -> dict[str, Ticked]:
    """Location -> what became of it.

    A test that names a location (`named`: test -> location) has done it, wherever it was made. Of the other original
    tests the nearest within `within_m` does, each test one location and each location one test, the closest pair
    first; equal distances go by the moment of the test. A location left over is *cell tested elsewhere* where its cell
    has a test that counts. Voided tests do nothing.
    """
    usable = [test for test in tests if test.original and not test.voided]
    by_uuid = {test.uuid: test for test in usable}
    found: dict[str, Ticked] = {}
    used: set[str] = set()
    places = {one.uuid: one for one in planned}
    for test in sorted(usable, key=lambda one: (one.performed_at, one.uuid)):
        location = places.get((named or {}).get(test.uuid, ""))
        if location is not None and location.uuid not in found:
            found[location.uuid] = Ticked(
                DONE, test.uuid, test.label, _distance(location, _place(test, location)), named=True
            )
            used.add(test.uuid)
    for distance_m, _, uuid, location_uuid in sorted(_pairs(planned, usable, within_m)):
        if uuid not in used and location_uuid not in found and not (named or {}).get(uuid):
            found[location_uuid] = Ticked(DONE, uuid, by_uuid[uuid].label, distance_m)
            used.add(uuid)
    for location in planned:
        if location.uuid not in found:
            elsewhere = tested_cells.get(location.cell, ())
            first = by_uuid.get(elsewhere[0]) if elsewhere else None
            found[location.uuid] = (
                Ticked(CELL_TESTED, elsewhere[0], first.label if first else "") if elsewhere else Ticked(OPEN)
            )
    return found


def _place(test: Tested, location: Planned) -> tuple[float, float] | None:
    if not location.alignment:
        return None if test.easting_m is None or test.northing_m is None else (test.easting_m, test.northing_m)
    if test.alignment != location.alignment or test.station_m is None or test.offset_m is None:
        return None
    return test.station_m, test.offset_m


def _distance(location: Planned, place: tuple[float, float] | None) -> float | None:
    return None if place is None else hypot(place[0] - location.station_m, place[1] - location.offset_m)


def _pairs(
    planned: Sequence[Planned],
    tests: Sequence[Tested],
    within_m: float,
) -> Iterable[tuple[float, str, str, str]]:
    """(distance, moment, test, location) of those near enough; only tests near the location's station are looked at."""
    by_line: dict[str, list[tuple[float, Tested]]] = {}
    for location in planned:
        if location.alignment not in by_line:
            placed = ((test, _place(test, location)) for test in tests)
            by_line[location.alignment] = sorted(
                ((place[0], test) for test, place in placed if place is not None),
                key=lambda pair: (pair[0], pair[1].uuid),
            )
    for location in planned:
        along = by_line[location.alignment]
        start = bisect_left(along, location.station_m - within_m, key=lambda pair: pair[0])
        for station, test in along[start:]:
            if station > location.station_m + within_m:
                break
            distance = _distance(location, _place(test, location))
            if distance is not None and distance <= within_m:
                yield distance, test.performed_at.isoformat(), test.uuid, location.uuid
