"""The fill of a group divided into cells of equal area, as many as tests are required, and the tests in each.

Along the line first, then across where the fill is wide: as many rows as make cells about as wide as long. A point on
the line between two cells belongs to the one ahead (higher station, then higher offset); at the end of the fill to
the last one.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate

from compaction.coverage.facts import FAILING, TESTED, UNTESTED, Cell, Tested
from compaction.coverage.frequency import original
from compaction.coverage.ground import Ground, Slab
from compaction.coverage.standing import ACCEPTANCE, uncovers


@dataclass(frozen=True)
class Field:
    """One ground with its cells: columns along, rows in each. `first` is the number of its first cell."""

    ground: Ground
    first: int
    columns: tuple[float, ...]  # the lines between columns, along
    rows: tuple[tuple[float, ...], ...]  # of each column, the lines between its rows, across

    def number_at(self, along: float, across: float) -> int | None:
        """The number of the cell that has the point; None outside the fill."""
        if not self.ground.contains(along, across):
            return None
        column = bisect_right(self.columns, along)
        return self.first + self._before[column] + bisect_right(self.rows[column], across)

    @cached_property
    def _before(self) -> list[int]:
        """How many cells lie in the columns before each."""
        return list(accumulate((len(rows) + 1 for rows in self.rows), initial=0))


@dataclass(frozen=True)
class Division:
    """Every cell of a group, numbered through from 1, and the fields that find the cell of a point."""

    cells: tuple[Cell, ...]
    fields: tuple[Field, ...]

    def number_of(self, test: Tested) -> int | None:
        """The cell of a test by its station and offset, or by easting and northing where fill is given by corners."""
        for one in self.fields:
            place = place_on(one.ground, test)
            number = None if place is None else one.number_at(*place)
            if number is not None:
                return number
        return None

    def field_of(self, number: int) -> Field:
        """The field that a cell lies in."""
        return next(one for one in reversed(self.fields) if one.first <= number)


def place_on(ground: Ground, test: Tested) -> tuple[float, float] | None:
    """(along, across) of a test on a ground; None where it has no place there."""
    if ground.alignment:
        if test.alignment != ground.alignment or test.station_m is None or test.offset_m is None:
            return None
        return test.station_m, test.offset_m
    if test.easting_m is None or test.northing_m is None:
        return None
    return (test.northing_m, test.easting_m) if ground.turned else (test.easting_m, test.northing_m)


def divide(grounds: Sequence[Ground], *, count: int, area: str, lift: int) -> Division:
    """`count` untested cells. On several lines each gets its share by area (largest remainder, one at least)."""
    fields: list[Field] = []
    cells: list[Cell] = []
    for ground, share in zip(grounds, _shares([ground.area_m2 for ground in grounds], count), strict=True):
        if share and ground.area_m2 > 0:
            made = _field(ground, share, first=len(cells) + 1)
            fields.append(made)
            cells += _cells(made, area=area, lift=lift)
    return Division(tuple(cells), tuple(fields))


def _shares(areas: Sequence[float], count: int) -> list[int]:
    total = sum(areas)
    if total <= 0:
        return [0] * len(areas)
    wanted = [count * area / total for area in areas]
    shares = [int(one) for one in wanted]
    by_remainder = sorted(range(len(areas)), key=lambda index: (shares[index] > 0, shares[index] - wanted[index]))
    for index in by_remainder[: count - sum(shares)]:
        shares[index] += 1
    return shares


def _field(ground: Ground, count: int, *, first: int) -> Field:
    width_m = ground.area_m2 / ground.length_m
    across = min(max(round((count * width_m / ground.length_m) ** 0.5), 1), count)
    columns = max(round(count / across), 1)
    numbers = [count * (column + 1) // columns - count * column // columns for column in range(columns)]
    cuts = [ground.along_at(ground.area_m2 * sum(numbers[: column + 1]) / count) for column in range(columns - 1)]
    ends = [ground.slabs[0].along_from, *cuts, ground.slabs[-1].along_to]
    rows = [_rows(ground.between(ends[column], ends[column + 1]), number) for column, number in enumerate(numbers)]
    return Field(ground, first, tuple(cuts), tuple(rows))


def _rows(slabs: Sequence[Slab], count: int) -> tuple[float, ...]:
    """The lines across that part the slabs into equal areas."""
    if count < 2:
        return ()
    breaks = sorted(
        {
            edge
            for slab in slabs
            for span in slab.spans
            for edge in (span.low_from, span.low_to, span.high_from, span.high_to)
        }
    )
    total = sum(slab.area_m2 for slab in slabs)
    return tuple(_across_at(slabs, breaks, total * number / count) for number in range(1, count))


def _across_at(slabs: Sequence[Slab], breaks: Sequence[float], wanted: float) -> float:
    """Where so much of the area lies below: between two corners that area is a parabola, which is solved."""
    low, high = 0, len(breaks) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _area_below(slabs, breaks[middle]) <= wanted:
            low = middle
        else:
            high = middle
    start, end = breaks[low], breaks[high]
    at_start, at_end = _area_below(slabs, start), _area_below(slabs, end)
    at_middle = _area_below(slabs, (start + end) / 2)
    curve = 2 * (at_start + at_end - 2 * at_middle)
    slope = at_end - at_start - curve
    missing = wanted - at_start
    root = max(slope * slope + 4 * curve * missing, 0.0) ** 0.5
    share = 2 * missing / (slope + root) if slope + root else 0.0
    return start + min(max(share, 0.0), 1.0) * (end - start)


def _area_below(slabs: Sequence[Slab], across: float) -> float:
    return sum(
        _under(slab.length_m, span.low_from, span.low_to, across)
        - _under(slab.length_m, span.high_from, span.high_to, across)
        for slab in slabs
        for span in slab.spans
    )


def _under(length_m: float, one: float, other: float, across: float) -> float:
    """The area between a straight edge and a line across, where the line is the higher of the two."""
    low, high = min(one, other), max(one, other)
    if across <= low:
        return 0.0
    if across >= high:
        return length_m * (across - (low + high) / 2)
    return length_m * (across - low) ** 2 / (2 * (high - low))


def _cells(field: Field, *, area: str, lift: int) -> list[Cell]:
    ground = field.ground
    made: list[Cell] = []
    ends = [ground.slabs[0].along_from, *field.columns, ground.slabs[-1].along_to]
    for column, lines in enumerate(field.rows):
        along = (ends[column], ends[column + 1])
        spans = [span for slab in ground.between(*along) for span in slab.spans]
        low = min(min(span.low_from, span.low_to) for span in spans)
        high = max(max(span.high_from, span.high_to) for span in spans)
        edges = [low, *lines, high]
        for row in range(len(lines) + 1):
            across = (edges[row], edges[row + 1])
            stations, offsets = (across, along) if ground.turned else (along, across)
            made.append(
                Cell(area, lift, field.first + len(made), ground.alignment, *stations, *offsets, state=UNTESTED)
            )
    return made


def assign(division: Division, tests: Iterable[Tested]) -> tuple[Cell, ...]:
    """The cells with the tests that count in them.

    A cell with an open failure is failing, whatever else was tested in it; one with an original acceptance test is
    tested. Retests, check tests, voided, held and exempt ones count in no cell.
    """
    inside: dict[int, list[Tested]] = {}
    for test in tests:
        if counts(test):
            number = division.number_of(test)
            if number is not None:
                inside.setdefault(number, []).append(test)
    return tuple(_with(cell, inside.get(cell.number, ())) for cell in division.cells)


def counts(test: Tested) -> bool:
    """Whether a test speaks for the cell that it lies in."""
    return original(test) and test.purpose == ACCEPTANCE


def _with(cell: Cell, tests: Sequence[Tested]) -> Cell:
    if not tests:
        return cell
    ordered = sorted(tests, key=lambda test: (test.performed_at, test.uuid))
    state = FAILING if any(uncovers(test) for test in ordered) else TESTED
    return replace(cell, state=state, tests=tuple(test.uuid for test in ordered))
