"""Which criteria hold at a point: the most specific of those whose place and conditions are met.

A criterion states its limits for a place (every zone or one, every depth or a band of depth) and on conditions (see
`criterion_conditions`). The most specific one holds, see `rank`. Contractual and advisory criteria are chosen apart, so
that an advisory one never displaces the limit of the contract.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.criterion_conditions import Circumstances, Told, bound, count, told
from compaction.facts import NO_CONDITIONS, CriterionFacts

DEPTH: Final = "depth below grade"
_MET: Final = Told()


@dataclass(frozen=True)
class Selection:
    """What holds at a point; what needs a depth or other facts nobody stated; pairs that claim the same place."""

    criteria: tuple[CriterionFacts, ...]
    depth_wanted: tuple[CriterionFacts, ...] = ()
    contested: tuple[tuple[int, int], ...] = ()
    facts_wanted: tuple[tuple[CriterionFacts, tuple[str, ...]], ...] = ()  # each with the facts, in words


def select(
    criteria: Sequence[CriterionFacts], *, zone: str, depth_m: Decimal | None, at: Circumstances | None = None
) -> Selection:
    """The criteria that hold in a zone at a depth below grade (m), one a quantity, contractual and advisory apart.

    `at` are the circumstances that further conditions look at; without it they are not known. A band includes both its
    ends; at the end that two bands share, the lower number holds. A criterion that needs a fact which is not known does
    not hold, and is returned in `depth_wanted` or `facts_wanted`. Source: common practice (no source).

    >>> everywhere = CriterionFacts(1, "percent_compaction", Decimal(95), None)
    >>> core = CriterionFacts(2, "percent_compaction", Decimal(98), None, zone="core")
    >>> [criterion.number for criterion in select((everywhere, core), zone="core", depth_m=None).criteria]
    [2]
    """
    if len(criteria) == 1 and not narrowed(criteria[0]):
        return Selection(tuple(criteria))
    at = Circumstances(zone, depth_m) if at is None else at
    best: dict[tuple[str, bool, str], CriterionFacts] = {}
    depth_wanted: list[CriterionFacts] = []
    facts_wanted: list[tuple[CriterionFacts, tuple[str, ...]]] = []
    contested: list[tuple[int, int]] = []
    for criterion in criteria:
        found = standing(criterion, at)
        if found.unmet:
            continue
        if found.wanted:
            if found.wanted == (DEPTH,):
                depth_wanted.append(criterion)
            else:
                facts_wanted.append((criterion, found.wanted))
            continue
        key = (criterion.quantity, criterion.contractual, criterion.statistic)
        held = best.get(key)
        if (
            held is not None
            and rank(held, at)[:-1] == rank(criterion, at)[:-1]
            and not _meet_at_an_end(held, criterion)
        ):
            contested.append((min(held.number, criterion.number), max(held.number, criterion.number)))
        if held is None or rank(criterion, at) < rank(held, at):
            best[key] = criterion
    chosen = tuple(sorted(best.values(), key=lambda criterion: (criterion.number, criterion.quantity)))
    return Selection(chosen, tuple(depth_wanted), tuple(sorted(set(contested))), tuple(facts_wanted))


def standing(criterion: CriterionFacts, at: Circumstances) -> Told:
    """Whether a criterion could hold here: zone, depth band and conditions together, in words.

    Source: common practice (no source).

    >>> standing(CriterionFacts(1, "saturation", None, Decimal(90), zone="core"), Circumstances(zone="shell")).unmet
    ('zone core',)
    """
    if criterion.zone and criterion.zone != at.zone:
        return Told((f"zone {criterion.zone}",))
    wanted: tuple[str, ...] = ()
    if _banded(criterion):
        if at.depth_m is None:
            wanted = (DEPTH,)
        elif not _within(at.depth_m, criterion):
            return Told((DEPTH,))
    if criterion.conditions is NO_CONDITIONS:
        return Told((), wanted) if wanted else _MET
    found = told(criterion.conditions, at)
    return found if found.unmet else Told((), wanted + found.wanted)


def rank(criterion: CriterionFacts, at: Circumstances) -> tuple[int, bool, bool, bool, int]:
    """The order in which criteria for one quantity take precedence; the first holds.

    The one with most conditions (zone and depth band count as one each), then one with a zone, then one with a depth
    band, then one whose limit is bound to the method of this reference or to none, then the lowest number.
    Source: common practice (no source).

    >>> at = Circumstances()
    >>> rank(CriterionFacts(2, "q", None, None, zone="core"), at) < rank(CriterionFacts(1, "q", None, None), at)
    True
    """
    zone, band = bool(criterion.zone), _banded(criterion)
    unbound = not bound(criterion.reference_methods, at.reference_method)
    return (-(zone + band + count(criterion.conditions)), not zone, not band, unbound, criterion.number)


def narrowed(criterion: CriterionFacts) -> bool:
    """Whether a criterion holds for some places, soils or references only. Source: common practice (no source).

    >>> narrowed(CriterionFacts(1, "saturation", None, Decimal(90)))
    False
    """
    return bool(
        criterion.zone
        or _banded(criterion)
        or criterion.conditions is not NO_CONDITIONS
        or criterion.reference_methods
        or criterion.quantity == "probe_depth"
    )


def _banded(criterion: CriterionFacts) -> bool:
    return criterion.depth_from_m is not None or criterion.depth_to_m is not None


def _within(depth_m: Decimal, criterion: CriterionFacts) -> bool:
    above = criterion.depth_from_m is None or depth_m >= criterion.depth_from_m
    return above and (criterion.depth_to_m is None or depth_m <= criterion.depth_to_m)


def _meet_at_an_end(one: CriterionFacts, other: CriterionFacts) -> bool:
    if not _banded(one):
        return False
    return (one.depth_to_m is not None and one.depth_to_m == other.depth_from_m) or (
        other.depth_to_m is not None and other.depth_to_m == one.depth_from_m
    )
