"""Acceptance criteria: which of them hold at a point, and what they say of a figure.

A criterion states its limits for a place (every zone or one, every depth or a band of depth). The most specific
one holds: a named zone before every zone, then a depth band before none, then the lowest number. Contractual and
advisory criteria are chosen apart, so that an advisory one never displaces the limit of the contract. Limits are
inclusive: a figure exactly on its limit passes (common practice, no source; seen in real records).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.quantities import quantise
from compaction.calculations.rounding import RoundingRule, apply, describe, plain_number
from compaction.facts import CriterionFacts

PASS: Final = "pass"
FAIL: Final = "fail"
NO_CRITERION: Final = "no_criterion"
PENDING_OVEN: Final = "pending_oven"
PENDING_OVERSIZE: Final = "pending_oversize"
PENDING: Final = "pending"

#: quantity -> kind, which names the failure
KINDS: Final = {
    "percent_compaction": "density",
    "water_content_deviation": "moisture",
    "water_content": "moisture",
    "air_voids": "other",
    "saturation": "other",
}
#: quantity -> words for pages and forms
QUANTITIES: Final = {
    "percent_compaction": "percent compaction",
    "water_content_deviation": "water content from optimum",
    "water_content": "water content",
    "air_voids": "air voids",
    "saturation": "saturation",
}


@dataclass(frozen=True)
class Judgement:
    """What one criterion says of one figure (percent). `margin` is negative where the figure is outside its limits."""

    result: str
    judged: Decimal
    margin: Decimal | None
    sentence: str


@dataclass(frozen=True)
class Selection:
    """The criteria that hold at a point; those that need a depth nobody stated; pairs that claim the same place."""

    criteria: tuple[CriterionFacts, ...]
    depth_wanted: tuple[CriterionFacts, ...] = ()
    contested: tuple[tuple[int, int], ...] = ()


def select(criteria: Sequence[CriterionFacts], *, zone: str, depth_m: Decimal | None) -> Selection:
    """The criteria that hold in a zone at a depth below grade (m), one a quantity, contractual and advisory apart.

    A band includes both its ends; at the end that two bands share, the lower number holds. Where the depth is not
    known no banded criterion can hold, and those that might have are returned in `depth_wanted`.
    Source: common practice (no source).

    >>> everywhere = CriterionFacts(1, "percent_compaction", Decimal(95), None)
    >>> core = CriterionFacts(2, "percent_compaction", Decimal(98), None, zone="core")
    >>> [criterion.number for criterion in select((everywhere, core), zone="core", depth_m=None).criteria]
    [2]
    """
    if len(criteria) == 1 and not criteria[0].zone and not _banded(criteria[0]):
        return Selection(tuple(criteria))
    best: dict[tuple[str, bool], CriterionFacts] = {}
    wanted: list[CriterionFacts] = []
    contested: list[tuple[int, int]] = []
    for criterion in criteria:
        if criterion.zone and criterion.zone != zone:
            continue
        if _banded(criterion):
            if depth_m is None:
                wanted.append(criterion)
                continue
            if not _within(depth_m, criterion):
                continue
        key = (criterion.quantity, criterion.contractual)
        held = best.get(key)
        if held is not None and _rank(held)[:2] == _rank(criterion)[:2] and not _meet_at_an_end(held, criterion):
            contested.append((min(held.number, criterion.number), max(held.number, criterion.number)))
        if held is None or _rank(criterion) < _rank(held):
            best[key] = criterion
    chosen = tuple(sorted(best.values(), key=lambda criterion: (criterion.number, criterion.quantity)))
    return Selection(chosen, tuple(wanted), tuple(sorted(set(contested))))


def judge(
    *, quantity: str, found_pct: Decimal, minimum: Decimal | None, maximum: Decimal | None, rule: RoundingRule
) -> Judgement:
    """A figure (percent) against inclusive limits after the rounding rule; margin is the smaller distance to a limit.

    With no limit at all the result is "no_criterion". Source: ASTM E29 sections 5 and 6 (from memory).

    >>> judge(quantity="percent_compaction", found_pct=Decimal("93.8"), minimum=Decimal(95), maximum=None,
    ...     rule=RoundingRule()).result
    'fail'
    """
    judged = quantise(apply(rule, quantity, found_pct))
    margins = []
    if minimum is not None:
        margins.append(judged - minimum)
    if maximum is not None:
        margins.append(maximum - judged)
    margin = min(margins, default=None)
    result = NO_CRITERION if margin is None else PASS if margin >= 0 else FAIL
    limit = limits_text(minimum, maximum)
    steps = rule.steps_for(quantity)
    if steps:
        rounded = ", then ".join(describe(step) for step in steps)
        figure = f"{plain_number(found_pct, decimals=4)} becomes {plain_number(judged)} ({rounded})"
    else:
        figure = f"{plain_number(found_pct, decimals=4)} is compared as it is"
    return Judgement(result, judged, margin, f"{figure}; limit {limit}: {result.replace('_', ' ')}.")


def limits_text(minimum: Decimal | None, maximum: Decimal | None) -> str:
    """Limits in words. Source: common practice (no source).

    >>> limits_text(Decimal(95), None), limits_text(None, Decimal(100)), limits_text(Decimal(-3), Decimal(3))
    ('95', 'at most 100', '-3 to 3')
    """
    if minimum is not None and maximum is not None:
        return f"{plain_number(minimum)} to {plain_number(maximum)}"
    if minimum is not None:
        return plain_number(minimum)
    if maximum is not None:
        return f"at most {plain_number(maximum)}"
    return "none"


def summarise(
    *, judged: Decimal | None, minimum: Decimal | None, maximum: Decimal | None, margin: Decimal | None
) -> str:
    """Found, limit and margin in one short line: "93.8 of 95, 1.2 short". Source: common practice (no source).

    >>> summarise(judged=Decimal("93.8"), minimum=Decimal(95), maximum=None, margin=Decimal("-1.2"))
    '93.8 of 95, 1.2 short'
    """
    if judged is None:
        return "not known yet"
    if margin is None:
        return f"{_shown(judged)}, no limit"
    # An unrounded figure may miss its limit by less than the second decimal; the line must still show that it does.
    decimals = next((places for places in (2, 4, 6) if margin == 0 or round(abs(margin), places)), 9)
    found = f"{plain_number(judged, decimals=decimals)} of {limits_text(minimum, maximum)}"
    if margin == 0:
        return f"{found}, on the limit"
    distance = plain_number(abs(margin), decimals=decimals)
    if margin > 0:
        return f"{found}, {distance} to spare"
    short = minimum is not None and judged < minimum
    return f"{found}, {distance} {'short' if short else 'over'}"


def combine(results: Iterable[tuple[str, bool]]) -> str:
    """The result of the test from (result, contractual) of its criteria: pass, fail, pending or no_criterion.

    It passes when every contractual criterion passes; one failure fails it even while another figure is awaited;
    advisory criteria only inform. Source: common practice (no source).

    >>> combine([("pass", True), ("fail", False)]), combine([("pending_oven", True), ("fail", True)])
    ('pass', 'fail')
    """
    contractual = [result for result, binding in results if binding]
    if FAIL in contractual:
        return FAIL
    if PENDING_OVEN in contractual or PENDING_OVERSIZE in contractual:
        return PENDING
    if not contractual or NO_CRITERION in contractual:
        return NO_CRITERION
    return PASS


def _shown(value: Decimal) -> str:
    return plain_number(value, decimals=2)


def _banded(criterion: CriterionFacts) -> bool:
    return criterion.depth_from_m is not None or criterion.depth_to_m is not None


def _within(depth_m: Decimal, criterion: CriterionFacts) -> bool:
    above = criterion.depth_from_m is None or depth_m >= criterion.depth_from_m
    return above and (criterion.depth_to_m is None or depth_m <= criterion.depth_to_m)


def _rank(criterion: CriterionFacts) -> tuple[bool, bool, int]:
    return (not criterion.zone, not _banded(criterion), criterion.number)


def _meet_at_an_end(one: CriterionFacts, other: CriterionFacts) -> bool:
    if not _banded(one):
        return False
    return (one.depth_to_m is not None and one.depth_to_m == other.depth_from_m) or (
        other.depth_to_m is not None and other.depth_to_m == one.depth_from_m
    )
