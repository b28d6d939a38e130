"""What lies below and above in plan, by a sweep along the line: only ranges that overlap meet."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from compaction.coverage.facts import Placed
from compaction.coverage.outlines import box, overlap

Group = tuple[str, int]
Box = tuple[float, float, float, float]
#: limits that only share an edge, or overlap by less than this, do not lie over one another
_LEAST_M = 0.01


@dataclass
class Neighbours:
    """The groups that a group's fill lies over and under, nearest lift first."""

    below: list[Group] = field(default_factory=list)
    above: list[Group] = field(default_factory=list)

    @property
    def next_below(self) -> list[Group]:
        """Of each area beneath, the nearest lift: what this fill was placed on."""
        nearest: dict[str, Group] = {}
        for group in self.below:
            nearest.setdefault(group[0], group)
        return list(nearest.values())


def neighbours(placed: Iterable[Placed]) -> dict[Group, Neighbours]:
    """For every group with something placed, what lies beneath and above it.

    Costs sorting, and one step for each pair that overlaps along the line.
    """
    rows = list(placed)
    found = {(one.area, one.lift): Neighbours() for one in rows}
    pairs: set[tuple[Group, Group]] = set()

    def pair(one: Placed, other: Placed) -> tuple[Group, Group]:
        lower, upper = (one, other) if one.lift < other.lift else (other, one)
        return (lower.area, lower.lift), (upper.area, upper.lift)

    for one, other in lying_over(rows, lambda one, other: one.lift != other.lift and pair(one, other) not in pairs):
        pairs.add(pair(one, other))
    for lower, upper in pairs:
        found[lower].above.append(upper)
        found[upper].below.append(lower)
    for both in found.values():
        both.below.sort(key=lambda group: (-group[1], group[0]))
        both.above.sort(key=lambda group: (group[1], group[0]))
    return found


def lying_over(rows: Sequence[Placed], asked: Callable[[Placed, Placed], bool]) -> Iterator[tuple[Placed, Placed]]:
    """Pairs of placements that share ground in plan, of those that are `asked` for.

    Ranges on the same line are compared by station and offset; where limits are outlines, or several lines meet, by
    the outlines.
    """
    for line in sorted({one.alignment for one in rows if one.alignment}):
        yield from _sweep([(_range(one), one) for one in rows if one.alignment == line], asked)
    # Ranges on the same line have been compared exactly; here only what the stations cannot tell.
    outlined = [(box(one.outline), one) for one in rows if one.outline]
    if any(not one.alignment for _, one in outlined) or len({one.alignment for _, one in outlined}) > 1:
        yield from _sweep(
            outlined,
            lambda first, second: (
                (first.alignment != second.alignment or not first.alignment)
                and asked(first, second)
                and overlap(first.outline, second.outline)
            ),
        )


def _range(placed: Placed) -> Box:
    return placed.station_from_m, placed.station_to_m, placed.offset_from_m, placed.offset_to_m


def _sweep(rows: list[tuple[Box, Placed]], meet: Callable[[Placed, Placed], bool]) -> Iterator[tuple[Placed, Placed]]:
    """Go along the line; what has ended behind the front is dropped, what is there meets what begins."""
    open_now: list[tuple[Box, Placed]] = []
    for shape, one in sorted(rows, key=lambda row: (row[0][0], row[1].uuid)):
        open_now = [other for other in open_now if other[0][1] > shape[0] + _LEAST_M]
        for other_shape, other in open_now:
            across = min(shape[3], other_shape[3]) - max(shape[2], other_shape[2])
            if across > _LEAST_M and meet(one, other):
                yield one, other
        open_now.append((shape, one))
