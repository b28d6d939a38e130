"""Acceptance criteria: which of them hold at a point, and what they say of a figure.

A criterion states its limits for a place (every zone or one, every depth or a band of depth) and on conditions (see
`criterion_conditions`). The most specific one holds: the one with most of them, see `rank`. Contractual and advisory
criteria are chosen apart, so that an advisory one never displaces the limit of the contract. Limits are
inclusive: a figure exactly on its limit passes (common practice, no source; seen in real records).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.criterion_conditions import Circumstances, Told, bound, count, told
from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import RoundingRule, apply, describe, plain_number
from compaction.facts import NO_CONDITIONS, CriterionFacts

PASS: Final = "pass"
FAIL: Final = "fail"
NO_CRITERION: Final = "no_criterion"
PENDING_OVEN: Final = "pending_oven"
PENDING_OVERSIZE: Final = "pending_oversize"
PENDING: Final = "pending"

#: quantity -> kind, which names the failure
KINDS: Final = {
    "percent_compaction": "density",
    "relative_density": "density",
    "water_content_deviation": "moisture",
    "water_content": "moisture",
    "air_voids": "other",
    "saturation": "other",
    "water_content_ratio": "moisture",
    "dry_density": "density",
    "lift_thickness": "other",
    "probe_depth": "other",
    "oversize": "other",
    "maximum_particle": "other",
}
#: quantity -> words for pages and forms
QUANTITIES: Final = {
    "percent_compaction": "percent compaction",
    "relative_density": "relative density",
    "water_content_deviation": "water content from optimum",
    "water_content": "water content",
    "air_voids": "air voids",
    "saturation": "saturation",
    "water_content_ratio": "water content as a percentage of optimum",
    "dry_density": "dry density",
    "lift_thickness": "lift thickness",
    "probe_depth": "probe depth",
    "oversize": "oversize",
    "maximum_particle": "largest particle",
}
#: quantity -> kind of its limits, where it is not percent
UNIT_KINDS: Final = {
    "dry_density": "density",
    "lift_thickness": "length",
    "probe_depth": "length",
    "maximum_particle": "length",
}
DEPTH: Final = "depth below grade"
_MET: Final = Told()


@dataclass(frozen=True)
class Judgement:
    """What one criterion says of one figure (percent). `margin` is negative where the figure is outside its limits."""

    result: str
    judged: Decimal
    margin: Decimal | None
    sentence: str


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
        if held is not None and rank(held, at)[:-1] == rank(criterion, at)[:-1] and not _meet_at_an_end(held, criterion):
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
    """The order in which criteria for one quantity take precedence, the first holds: the one with most conditions (zone
    and depth band count as one each), then one with a zone, then one with a depth band, then one whose limit is bound to
    the method of this reference or to none, then the lowest number. Source: common practice (no source).

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


def judge(
    *,
    quantity: str,
    found_pct: Decimal,
    minimum: Decimal | None,
    maximum: Decimal | None,
    rule: RoundingRule,
    words: bool = True,
    unit: str = "%",
) -> Judgement:
    """A figure (percent; kg/m3 or m where `unit`, that of the sentence, is one of these) against inclusive limits after the rounding rule; margin is the smaller distance to a limit.

    With no limit at all the result is "no_criterion". Without `words` the sentence stays empty. Source: ASTM E29
    sections 5 and 6 (from memory).

    >>> judge(quantity="percent_compaction", found_pct=Decimal("93.8"), minimum=Decimal(95), maximum=None,
    ...     rule=RoundingRule()).result
    'fail'
    """
    judged = quantise(apply(rule, quantity, found_pct))
    above = None if minimum is None else judged - minimum
    below = None if maximum is None else maximum - judged
    margin = below if above is None else above if below is None else min(above, below)
    result = NO_CRITERION if margin is None else PASS if margin >= 0 else FAIL
    if not words:
        return Judgement(result, judged, margin, "")
    limit, named = limits_text(minimum, maximum, unit=unit), "" if unit == "%" else f" {unit}"
    steps = rule.steps_for(quantity)
    if steps:
        rounded = ", then ".join(describe(step) for step in steps)
        figure = f"{_in(found_pct, unit, 4)} becomes {_in(judged, unit)}{named} ({rounded})"
    else:
        figure = f"{_in(found_pct, unit, 4)}{named} is compared as it is"
    return Judgement(result, judged, margin, f"{figure}; limit {limit}: {result.replace('_', ' ')}.")


def limits_text(minimum: Decimal | None, maximum: Decimal | None, *, unit: str = "%") -> str:
    """Limits in words, in `unit`, which is named unless it is percent. Source: common practice (no source).

    >>> limits_text(Decimal(95), None), limits_text(None, Decimal(100)), limits_text(Decimal(-3), Decimal(3))
    ('95', 'at most 100', '-3 to 3')
    >>> limits_text(None, Decimal("0.2032"), unit="in")
    'at most 8 in'
    """
    named = "" if unit == "%" else f" {unit}"
    if minimum is not None and minimum == maximum:
        return f"{_in(minimum, unit)}{named}"
    if minimum is not None and maximum is not None:
        return f"{_in(minimum, unit)} to {_in(maximum, unit)}{named}"
    if minimum is not None:
        return f"{_in(minimum, unit)}{named}"
    if maximum is not None:
        return f"at most {_in(maximum, unit)}{named}"
    return "none"


def summarise(
    *,
    judged: Decimal | None,
    minimum: Decimal | None,
    maximum: Decimal | None,
    margin: Decimal | None,
    unit: str = "%",
) -> str:
    """Found, limit and margin in one short line: "93.8 of 95, 1.2 short". Source: common practice (no source).

    >>> summarise(judged=Decimal("93.8"), minimum=Decimal(95), maximum=None, margin=Decimal("-1.2"))
    '93.8 of 95, 1.2 short'
    """
    if judged is None:
        return "not known yet"
    short = minimum is not None and judged < minimum
    if unit != "%":
        judged, margin = from_si(judged, unit), None if margin is None else quantise(from_si(margin, unit))
    if margin is None:
        return f"{_shown(judged)}, no limit"
    # An unrounded figure may miss its limit by less than the second decimal; the line must still show that it does.
    decimals = next((places for places in (2, 4, 6) if margin == 0 or round(abs(margin), places)), 9)
    found = f"{plain_number(judged, decimals=decimals)} of {limits_text(minimum, maximum, unit=unit)}"
    if margin == 0:
        return f"{found}, on the limit"
    distance = plain_number(abs(margin), decimals=decimals)
    if margin > 0:
        return f"{found}, {distance} to spare"
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


def _in(value: Decimal, unit: str, decimals: int | None = None) -> str:
    if unit != "%":
        value = quantise(from_si(value, unit))
    return plain_number(value, decimals=decimals)


def _shown(value: Decimal) -> str:
    return plain_number(value, decimals=2)


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
