"""Acceptance criteria: what they say of a figure. Which of them hold at a point stands in `criteria_selection`.

Limits are inclusive: a figure exactly on its limit passes (common practice, no source; seen in real records).
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Final, NamedTuple

from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import RoundingRule, apply, describe, plain_number

PASS: Final = "pass"
FAIL: Final = "fail"
NO_CRITERION: Final = "no_criterion"
PENDING_OVEN: Final = "pending_oven"
PENDING_OVERSIZE: Final = "pending_oversize"
PENDING: Final = "pending"
_ZERO: Final = Decimal(0)

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


class Judgement(NamedTuple):
    """What one criterion says of one figure (percent). `margin` is negative where the figure is outside its limits."""

    result: str
    judged: Decimal
    margin: Decimal | None
    sentence: str


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
    """A figure against inclusive limits after the rounding rule; margin is the smaller distance to a limit.

    Percent, or kg/m3 or m where `unit`, in which the sentence tells it, is one of density or length.
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
    result = NO_CRITERION if margin is None else PASS if margin >= _ZERO else FAIL
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
