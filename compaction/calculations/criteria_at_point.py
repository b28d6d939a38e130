"""Every criterion of a specification at one point: which govern, which do not, and why, in the order of precedence."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from compaction.calculations.criteria_selection import rank, select, standing
from compaction.calculations.criterion_conditions import Circumstances, bound
from compaction.facts import CriterionFacts

GOVERNS: Final = "governs"
REFUSED: Final = "refused"  # it would govern, but its limit is of another laboratory method
DISPLACED: Final = "displaced"
ELSEWHERE: Final = "elsewhere"
UNKNOWN: Final = "unknown"
#: why a criterion goes before another, in the order of `criteria_selection.rank`
_BEFORE: Final = (
    "names more conditions",
    "names a zone",
    "names a depth",
    "is bound to the method of this reference",
    "has the lower number",
)


@dataclass(frozen=True)
class Standing:
    """One criterion at the point. `because` are unmet conditions, wanted facts, or why another goes before."""

    criterion: CriterionFacts
    state: str
    because: tuple[str, ...] = ()


def standings(criteria: Sequence[CriterionFacts], at: Circumstances) -> tuple[Standing, ...]:
    """Each criterion in its order, with its state in these circumstances. Source: common practice (no source).

    >>> from decimal import Decimal
    >>> everywhere = CriterionFacts(1, "percent_compaction", Decimal(95), None)
    >>> core = CriterionFacts(2, "percent_compaction", Decimal(98), None, zone="core")
    >>> [(one.state, one.because) for one in standings((everywhere, core), Circumstances(zone="core"))]
    [('displaced', ('criterion 2 names more conditions',)), ('governs', ())]
    """
    selection = select(criteria, zone=at.zone, depth_m=at.depth_m, at=at)
    chosen = {(one.quantity, one.contractual, one.statistic): one for one in selection.criteria}
    return tuple(_standing(criterion, chosen, at) for criterion in criteria)


def _standing(
    criterion: CriterionFacts, chosen: dict[tuple[str, bool, str], CriterionFacts], at: Circumstances
) -> Standing:
    told = standing(criterion, at)
    if told.unmet:
        return Standing(criterion, ELSEWHERE, told.unmet)
    if told.wanted:
        return Standing(criterion, UNKNOWN, told.wanted)
    first = chosen[criterion.quantity, criterion.contractual, criterion.statistic]
    if first is not criterion:
        pairs = zip(rank(first, at), rank(criterion, at), _BEFORE, strict=True)
        why = next(words for one, other, words in pairs if one != other)
        return Standing(criterion, DISPLACED, (f"criterion {first.number} {why}",))
    if at.reference_method and not bound(criterion.reference_methods, at.reference_method):
        named = " or ".join(criterion.reference_methods)
        return Standing(criterion, REFUSED, (f"its limit is of {named}, the reference is of {at.reference_method}",))
    return Standing(criterion, GOVERNS)
