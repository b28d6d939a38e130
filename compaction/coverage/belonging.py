"""Which group a test belongs to: the one whose placement contains it in plan on its lift, else that of its zone.

A test speaks for one lift at most (practice D.2), the one it names; a test that names none belongs to no group. What
was placed is looked up in an index of station ranges, so that many tests cost no more than sorting.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate

from compaction.coverage.facts import Placed, Tested
from compaction.coverage.outlines import inside

Group = tuple[str, int]
#: a test may lie this far outside the limits as stored, to 0.1 mm
_EDGE_M = 0.00011


class _Ranges:
    """Station ranges of one lift on one line, by their start; looking one up stops where no range reaches any more."""

    def __init__(self, placed: Iterable[Placed]) -> None:
        self.placed = sorted(placed, key=lambda one: (one.station_from_m, one.uuid))
        self.starts = [one.station_from_m for one in self.placed]
        self.reach = list(accumulate((one.station_to_m for one in self.placed), max))

    def at(self, station_m: float, offset_m: float) -> list[Placed]:
        found = []
        number = bisect_right(self.starts, station_m + _EDGE_M) - 1
        while number >= 0 and self.reach[number] >= station_m - _EDGE_M:
            one = self.placed[number]
            along = one.station_to_m >= station_m - _EDGE_M
            if along and one.offset_from_m - _EDGE_M <= offset_m <= one.offset_to_m + _EDGE_M:
                found.append(one)
            number -= 1
        return found


class Placements:
    """What is placed, ready to be asked where a test belongs."""

    def __init__(self, placed: Iterable[Placed]) -> None:
        ranges: dict[tuple[int, str], list[Placed]] = {}
        self._outlined: dict[int, list[Placed]] = {}
        for one in placed:
            if one.alignment:
                ranges.setdefault((one.lift, one.alignment), []).append(one)
            elif one.outline:
                self._outlined.setdefault(one.lift, []).append(one)
        self._ranges = {key: _Ranges(part) for key, part in ranges.items()}

    def group_of(self, test: Tested) -> Group | None:
        """The group of a test; None if it names no lift, or neither lies in a placement nor in a zone.

        Of several placements the newest before the test has it. A test outside all of them belongs to the group
        that its zone names.
        """
        if test.lift is None:
            return None
        containing = self._containing(test, test.lift)
        if containing:
            before = [one for one in containing if one.placed_at <= test.performed_at]
            pool = before or containing
            chosen = max(pool, key=lambda one: (one.area == test.area, one.placed_at, one.uuid))
            return chosen.area, test.lift
        return (test.area, test.lift) if test.area else None

    def _containing(self, test: Tested, lift: int) -> Sequence[Placed]:
        found: list[Placed] = []
        ranges = self._ranges.get((lift, test.alignment)) if test.alignment else None
        if ranges is not None and test.station_m is not None and test.offset_m is not None:
            found += ranges.at(test.station_m, test.offset_m)
        if test.easting_m is not None and test.northing_m is not None:
            spot = (test.easting_m, test.northing_m)
            found += [one for one in self._outlined.get(lift, ()) if inside(one.outline, spot)]
        return found
