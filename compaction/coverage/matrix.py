"""Lift by station: what is asked for and what passes between two stations of a lift, and where nothing was tested.

A group is divided into as many equal cells as tests are required (`cells`). Each asks for its one test in the column
of the test that fills it, else in the column of its middle, so that a row adds up to what the group asks for. A
column through which an untested cell runs is untested there, whatever else was tested beside it.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from compaction.coverage import cells
from compaction.coverage.facts import TESTED as CELL_TESTED
from compaction.coverage.facts import UNTESTED as CELL_UNTESTED
from compaction.coverage.facts import Cell, Covered, Placed, Tested
from compaction.coverage.frequency import passes
from compaction.coverage.ground import TOUCHING_M, Ground, lay_together, rectangle
from compaction.coverage.standing import uncovers

Group = tuple[str, int]

#: states of a square, the gravest first
BURIED, FAILING, UNTESTED, UNKNOWN, TESTED, EXEMPT, EMPTY = (
    "buried", "failing", "untested", "unknown", "tested", "exempt", "empty",
)  # fmt: skip
#: widths of a column that can be chosen, in the unit of the alignment
WIDTHS: Final = (10, 25, 50, 100, 200, 500, 1000, 2000, 5000)
COLUMNS: Final = 60  # as many at most where nobody chose
MOST_COLUMNS: Final = 240
WORDS: Final = {
    BURIED: "fails and is buried",
    FAILING: "fails",
    UNTESTED: "untested",
    UNKNOWN: "no test here, number required not known",
    TESTED: "tested",
    EXEMPT: "no density required",
    EMPTY: "nothing placed",
}


@dataclass
class Square:
    """One lift between two stations. `required` is None where the group's number is not known."""

    state: str = EMPTY
    required: int | None = 0
    passing: int = 0
    made: int = 0
    failing: int = 0
    buried: int = 0
    missing: int = 0  # cells without a test whose middle lies here

    @property
    def figures(self) -> str:
        """Passing of required, as a cell of the table has it.

        >>> Square(TESTED, 2, 2, 2).figures, Square(UNKNOWN, None).figures, Square(TESTED, 0).figures
        ('2/2', '0/?', '·')
        """
        if self.state in (EMPTY, EXEMPT):
            return ""
        if self.required is None:
            return f"{self.passing}/?"
        if not (self.required or self.made or self.failing or self.buried):
            return "·"  # lies in a cell that is counted in another column
        return f"{self.passing}/{self.required}"


@dataclass(frozen=True)
class Row:
    """A group with its squares, one for each column."""

    group: Covered
    squares: tuple[Square, ...] = field(default_factory=tuple)


@dataclass(frozen=True)
class Columns:
    """Stations at which columns begin, metres; the last one ends the last column."""

    alignment: str
    edges: tuple[float, ...]

    def __len__(self) -> int:
        return max(len(self.edges) - 1, 0)

    def at(self, station_m: float) -> int | None:
        """The column of a station: the one ahead where it lies on a line, the last one at the end."""
        if not self.edges or not self.edges[0] <= station_m <= self.edges[-1]:
            return None
        return min(bisect_right(self.edges, station_m) - 1, len(self) - 1)

    def over(self, from_m: float, to_m: float) -> range:
        """The columns that a stretch runs through."""
        if not self.edges or to_m - from_m < TOUCHING_M or to_m <= self.edges[0] or from_m >= self.edges[-1]:
            return range(0)
        first = max(bisect_right(self.edges, from_m + TOUCHING_M) - 1, 0)
        last = min(bisect_right(self.edges, to_m - TOUCHING_M) - 1, len(self) - 1)
        return range(first, last + 1)


def widths(length: float, *, station: int) -> tuple[tuple[int, ...], int]:
    """Widths of columns to choose from for a length, and the usual one: a full station, or what makes few enough.

    >>> widths(3900.0, station=100)[1], widths(39000.0, station=100)[1]
    (100, 1000)
    """
    possible = tuple(width for width in WIDTHS if length / width <= MOST_COLUMNS) or WIDTHS[-1:]
    return possible, next((one for one in possible if one >= station and length / one <= COLUMNS), possible[-1])


def columns(*, alignment: str, from_m: float, to_m: float, width_m: float) -> Columns:
    """Columns of one width between two stations, whole multiples of it from station zero.

    >>> columns(alignment="main", from_m=30, to_m=95, width_m=50).edges
    (0.0, 50.0, 100.0)
    """
    first = int((from_m + TOUCHING_M) // width_m)
    last = -int(-(to_m - TOUCHING_M) // width_m)
    return Columns(alignment, tuple(number * width_m for number in range(first, max(last, first + 1) + 1)))


def build(
    groups: Iterable[Covered],
    *,
    placed: Mapping[Group, Sequence[Placed]],
    tested: Mapping[Group, Sequence[Tested]],
    over: Columns,
) -> list[Row]:
    """Rows of the groups that have fill or tests on the alignment, highest lift first, then by area."""
    rows = []
    for group in sorted(groups, key=lambda one: (-one.lift, one.area)):
        key = (group.area, group.lift)
        on_line = [one for one in placed.get(key, ()) if one.alignment == over.alignment]
        tests = [one for one in tested.get(key, ()) if one.alignment == over.alignment and one.station_m is not None]
        if on_line or tests:
            rows.append(Row(group, tuple(_squares(group, on_line, tests, over))))
    return rows


def ground_of(placed: Iterable[Placed], *, alignment: str) -> Ground:
    """What the placements of a group on one alignment cover together."""
    outlines = [
        rectangle(one.station_from_m, one.station_to_m, one.offset_from_m, one.offset_to_m)
        for one in placed
        if one.alignment == alignment
    ]
    return lay_together(outlines, alignment=alignment)


def _squares(group: Covered, placed: Sequence[Placed], tests: Sequence[Tested], over: Columns) -> list[Square]:
    unknown = group.required is None
    row = [Square(required=None if unknown else 0) for _ in range(len(over))]
    ground = ground_of(placed, alignment=over.alignment)
    filled = {column for slab in ground.slabs for column in over.over(slab.along_from, slab.along_to)}
    counting = set(group.tests)
    where: dict[str, int] = {}
    for test in tests:
        column = over.at(test.station_m) if test.station_m is not None else None
        if column is None:
            continue
        where[test.uuid] = column
        square = row[column]
        if test.uuid in counting:
            square.made += 1
            square.passing += passes(test)
        if uncovers(test):
            square.failing += 1
        square.buried += test.buried and not test.voided
    untested = _ask(group, ground, [one for one in tests if one.uuid in counting], row, over, where)
    exempt = bool(placed) and all(one.exempt for one in placed)
    for number, square in enumerate(row):
        square.state = _state(square, number in filled, number in untested, unknown=unknown, exempt=exempt)
    return row


def _ask(
    group: Covered,
    ground: Ground,
    counting: Sequence[Tested],
    row: Sequence[Square],
    over: Columns,
    where: Mapping[str, int],
) -> set[int]:
    """Give each cell's test to its column; returns the columns through which an untested cell runs."""
    if not group.required or not ground.slabs:
        return set()
    division = cells.divide([ground], count=group.required, area=group.area, lift=group.lift)
    untested: set[int] = set()
    for cell in cells.assign(division, counting):
        column = where.get(cell.tests[0]) if cell.state == CELL_TESTED or cell.tests else _middle(cell, over)
        if column is not None:
            square = row[column]
            square.required = (square.required or 0) + 1
            square.missing += cell.state == CELL_UNTESTED
        if cell.state == CELL_UNTESTED:
            untested.update(over.over(cell.station_from_m, cell.station_to_m))
    return untested


def _middle(cell: Cell, over: Columns) -> int | None:
    return over.at((cell.station_from_m + cell.station_to_m) / 2)


def _state(square: Square, filled: bool, untested: bool, *, unknown: bool, exempt: bool) -> str:
    if square.buried:
        return BURIED
    if square.failing:
        return FAILING
    if exempt and filled:
        return EXEMPT
    if untested and filled:
        return UNTESTED
    if square.made:
        return TESTED
    if not filled:
        return EMPTY
    return UNKNOWN if unknown else TESTED
