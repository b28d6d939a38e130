"""What a change touches: the groups to work out again, those of which only the stack is another, the lifts to read.

After a test that is its lift and what lies right above, because fill over a lift that was not released is told apart
by what was known of the lower one. After a placement also every group that a running counter gives another share,
and all that lies under or over the new fill: there only the names of lifts in the stack change.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property

from compaction.coverage.facts import Covered, Placed
from compaction.coverage.frequency import Demand, Group, RulesOf, demands
from compaction.coverage.stacking import Neighbours, neighbours

_ALONE = Neighbours()


@dataclass(frozen=True)
class Layout:
    """What follows from the placements alone: what is asked of each group, and what lies beneath and above it."""

    placed: Sequence[Placed]
    asked: Mapping[Group, Sequence[Demand]]
    beside: Mapping[Group, Neighbours]

    def next_below(self, groups: Set[Group]) -> set[Group]:
        """What the fill of these groups was placed on."""
        return {below for one in groups for below in self.beside.get(one, _ALONE).next_below}

    def right_above(self, groups: Set[Group]) -> set[Group]:
        """The groups whose fill was placed on one of these."""
        return {one for one, near in self.beside.items() if not groups.isdisjoint(near.next_below)}

    @cached_property
    def reduced(self) -> frozenset[str]:
        """Areas in which a reduced frequency looks along the whole area: any test there may move any lift."""
        return frozenset(area for (area, _), part in self.asked.items() if any(demand.rule.reduced for demand in part))

    def along(self, areas: Set[str]) -> set[Group]:
        """Every group of those areas among these in which a frequency is reduced."""
        return {one for one in self.beside if one[0] in areas & self.reduced}


@dataclass(frozen=True)
class Touched:
    """Groups to work out again, and groups as kept but for their stack.

    `lifts` and `zones` say whose tests it takes: those of a lift, and those of a zone on any lift.
    """

    groups: frozenset[Group]
    lifts: frozenset[int]
    zones: frozenset[str] = frozenset()
    restacked: tuple[Covered, ...] = ()


def laid_out(placed: Sequence[Placed], rules_of: RulesOf) -> Layout:
    """The layout of all placements of a project. Costs sorting; no test enters."""
    return Layout(placed, demands(placed, rules_of), neighbours(placed))


def lifts_below(near: Neighbours) -> tuple[int, ...]:
    """The lifts beneath, next one first."""
    return tuple(dict.fromkeys(lift for _, lift in near.below))


def lifts_above(near: Neighbours) -> tuple[int, ...]:
    """The lifts above, next one first."""
    return tuple(dict.fromkeys(lift for _, lift in near.above))


def touched(
    layout: Layout, numbers: Set[int], *, areas: Set[str] = frozenset(), kept: Mapping[Group, Covered] | None = None
) -> Touched:
    """What changes on the lifts `numbers` touch; with `kept`, the cover on record, where fill was added there.

    `areas` are those of groups and tests on these lifts, where nothing may be placed. Fill that was taken away or
    moved is not told from `kept`: then everything is worked out.
    """
    changed = {one for one in layout.beside if one[1] in numbers}
    if kept is not None:
        changed |= {one for one in layout.beside if one not in kept or kept[one].counts != _counts(layout, one)}
    changed |= layout.along({area for area, _ in changed} | areas)
    groups = changed | layout.right_above(changed)
    looked_at = groups | layout.next_below(groups)
    zones = layout.reduced & {area for area, _ in looked_at}
    return Touched(
        groups=frozenset(groups),
        lifts=frozenset(numbers | {lift for _, lift in looked_at | layout.along(zones)}),
        zones=zones,
        restacked=tuple(_restacked(layout, kept, groups)) if kept else (),
    )


def _counts(layout: Layout, group: Group) -> tuple[object, ...]:
    return tuple(count for demand in layout.asked.get(group, ()) for count in demand.counts)


def _restacked(layout: Layout, kept: Mapping[Group, Covered], but: Set[Group]) -> list[Covered]:
    found = []
    for group, one in kept.items():
        near = layout.beside.get(group, _ALONE)
        stack = lifts_below(near), lifts_above(near)
        if group not in but and stack != (one.below, one.above):
            found.append(replace(one, below=stack[0], above=stack[1]))
    return found
