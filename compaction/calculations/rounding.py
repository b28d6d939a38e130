"""Rounding rules: where a figure is rounded, to what, and which way a tie goes.

Sources, all as named in the specification that uses them:

* ASTM E29 section 5 (absolute method: compare the unrounded figure) and section 6 (rounding method; a tie goes to the
  even digit); section numbers from memory.
* Iowa DOT materials instruction IM 202 replaces the even digit by the higher one (`half_up`).
* Alberta Transportation ATT-70 judges percent compaction to 0.1 %, ties to the even digit.
* Louisiana's test procedures cut digits off at named steps (`truncate`).

A figure is brought to nine decimals in the unit of the increment before the rule is applied, so that 94.5 pcf which
went through kg/m3 is still a tie. Digits are cut off towards zero, and `half_up` goes away from zero, so that
-2.5 and +2.5 points from the optimum are treated alike.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from functools import lru_cache
from typing import Final

from compaction.calculations.quantities import UNITS, quantise
from compaction.facts import RoundingStep

#: quantity of a step -> kind of unit that its increment may have
ROUNDED_QUANTITIES: Final = {
    "wet_density": "density",
    "water_content": "percent",
    "dry_density": "density",
    "maximum": "density",
    "corrected_maximum": "density",
    "optimum": "percent",
    "corrected_optimum": "percent",
    "percent_compaction": "percent",
    "relative_density": "percent",
    "water_content_deviation": "percent",
    "air_voids": "percent",
    "saturation": "percent",
    "water_content_ratio": "percent",
}
_METHODS: Final = {
    ("round", "half_even"): ROUND_HALF_EVEN,
    ("round", "half_up"): ROUND_HALF_UP,
    ("truncate", "half_even"): ROUND_DOWN,
    ("truncate", "half_up"): ROUND_DOWN,
}
# Bound once: rounding to whole increments is among the most frequent calls of an evaluation.
_WHOLE: Final = {kind: Context(prec=28, rounding=rounding).quantize for kind, rounding in _METHODS.items()}
_WORDS: Final = {"half_even": "half to even", "half_up": "half up"}
_ONE: Final = Decimal(1)
_ZERO: Final = Decimal(0)


class RoundingRuleError(ValueError):
    """A rule that cannot be applied; the sentence says which step and what would do."""


@dataclass(frozen=True)
class RoundingRule:
    """An ordered list of steps, or the absolute method, under which nothing is rounded."""

    steps: tuple[RoundingStep, ...] = ()
    absolute: bool = False
    #: quantity -> its steps, each with the factor of the increment's unit; None where it is that of the figure
    prepared: dict[str, tuple[tuple[RoundingStep, Decimal | None], ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        prepared: dict[str, tuple[tuple[RoundingStep, Decimal | None], ...]] = {}
        for step in self.steps:
            _check(step)
            prepared[step.quantity] = (*prepared.get(step.quantity, ()), (step, _factor(step)))
        object.__setattr__(self, "prepared", {} if self.absolute else prepared)

    def steps_for(self, quantity: str) -> tuple[RoundingStep, ...]:
        """The steps that touch one quantity, in the order of the rule; none under the absolute method.

        Source: ASTM E29 sections 5 and 6 (from memory).
        """
        return tuple(step for step, _ in self.prepared.get(quantity, ()))


def rule(steps: Iterable[RoundingStep], *, absolute: bool = False) -> RoundingRule:
    """The rounding rule of a specification. Raises `RoundingRuleError` for a step that cannot be applied.

    Source: ASTM E29 sections 5 and 6 (from memory); practice of the agencies named at the top of this module.

    >>> rule([RoundingStep("dry_density", Decimal("0.1"), "pcf")]).steps_for("dry_density")[0].tie
    'half_even'
    """
    return _cached(tuple(steps), absolute)


def apply(rule: RoundingRule, quantity: str, value_si: Decimal) -> Decimal:
    """A figure (kg/m3 or percent) after the steps of the rule that name its quantity; unchanged where none does.

    The figure is brought to nine decimals in the unit of the increment first. Validity: any figure. Source: ASTM E29
    section 6 (from memory).

    >>> apply(rule([RoundingStep("percent_compaction", Decimal(1), "%")]), "percent_compaction", Decimal("94.5"))
    Decimal('94')
    """
    for step, factor in rule.prepared.get(quantity, ()):
        value_si = round_to(value_si, step) if factor is None else round_to(value_si / factor, step) * factor
    return value_si


def round_to(value: Decimal, step: RoundingStep) -> Decimal:
    """One step on a figure that is already in the unit of the increment.

    Validity: any figure. Source: ASTM E29 section 6 (from memory).

    >>> round_to(Decimal("94.26"), RoundingStep("percent_compaction", Decimal("0.5"), "%"))
    Decimal('94.5')
    """
    count = _WHOLE[step.method, step.tie](quantise(value) / step.increment, _ONE)
    return count * step.increment + _ZERO  # "+ 0" makes minus zero plain zero


def describe(step: RoundingStep) -> str:
    """A step in words, for worksheets. Source: common practice (no source).

    >>> describe(RoundingStep("dry_density", Decimal("0.1"), "pcf"))
    'to 0.1 pcf, half to even'
    """
    amount = f"{plain_number(step.increment)} {step.unit}"
    if step.method == "truncate":
        return f"cut off to {amount}"
    return f"to {amount}, {_WORDS[step.tie]}"


def plain_number(value: Decimal, *, decimals: int | None = None) -> str:
    """A number for a sentence: no exponent, no needless zeros, at most `decimals` behind the point where given.

    Source: common practice (no source).

    >>> plain_number(Decimal("95.000000000")), plain_number(Decimal("94.2511"), decimals=1)
    ('95', '94.3')
    """
    if decimals is not None:
        value = round(value, decimals)
    text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _factor(step: RoundingStep) -> Decimal | None:
    factor = UNITS[ROUNDED_QUANTITIES[step.quantity]][step.unit]
    return None if factor == 1 else factor


def _check(step: RoundingStep) -> None:
    kind = ROUNDED_QUANTITIES.get(step.quantity)
    if kind is None:
        raise RoundingRuleError(f"A rounding step names {step.quantity!r}; use one of {', '.join(ROUNDED_QUANTITIES)}.")
    if step.unit not in UNITS[kind]:
        raise RoundingRuleError(
            f"The increment of {step.quantity} is given in {step.unit!r}; use one of {', '.join(UNITS[kind])}."
        )
    if step.increment <= 0:
        raise RoundingRuleError(f"The increment of {step.quantity} is {step.increment}; it must be above zero.")
    if (step.method, step.tie) not in _METHODS:
        raise RoundingRuleError(
            f"The step for {step.quantity} says {step.method!r}, {step.tie!r}; "
            "use round or truncate, and half_even or half_up."
        )


@lru_cache(maxsize=256)
def _cached(steps: tuple[RoundingStep, ...], absolute: bool) -> RoundingRule:
    return RoundingRule(steps=steps, absolute=absolute)
