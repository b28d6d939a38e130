"""Acceptance by statistics over a lot that was declared beforehand: average, moving average, mean - k s, within limits.

The tests of a lot come in order, unrounded, as the figure that is judged (percent compaction, deviation ...). The
standard deviation is that of a sample (n - 1). Percent within limits needs no table: the beta form is worked exactly
for half-integer parameters, which is every number of tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import asin, ceil, pi, sqrt
from typing import Final

from compaction.calculations.errors import NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.calculations.sheet_check import Explanation, PrintedFigure, check_figure
from compaction.facts import Finding

_HUNDRED: Final = Decimal(100)
FEWEST_WITHIN_LIMITS: Final = 3


@dataclass(frozen=True)
class LotJudgement:
    """What a rule found for a lot: met or not, the figure that was judged, its limit, and a sentence."""

    rule: str
    met: bool
    found: Decimal
    limit: Decimal
    sentence: str


def at_least(values: Sequence[Decimal], number: int) -> None:
    """Raise `NotEnoughReadings` for a lot of fewer tests than a rule needs. Source: common practice (no source).

    >>> at_least([Decimal(96)], 1)
    """
    if len(values) < number:
        raise NotEnoughReadings(
            "lot-too-small",
            f"The lot has {len(values)} tests; this rule needs at least {number}. Test more before judging the lot.",
            missing=("tests",),
        )


def mean(values: Sequence[Decimal]) -> Decimal:
    """Arithmetic mean, in the unit of the values. Raises `NotEnoughReadings` for none.

    Source: common statistics (no source).

    >>> mean([Decimal(96), Decimal(97), Decimal(99), Decimal(100)])
    Decimal('98')
    """
    at_least(values, 1)
    return sum(values, Decimal(0)) / len(values)


def standard_deviation(values: Sequence[Decimal]) -> Decimal:
    """Standard deviation of a sample, with n - 1, in the unit of the values.

    Raises `NotEnoughReadings` below two values.

    Source: FAA Advisory Circular 150/5370-10, section 110 (from memory).

    >>> round(standard_deviation([Decimal(2), Decimal(4), Decimal(6), Decimal(8)]), 2)
    Decimal('2.58')
    """
    at_least(values, 2)
    middle = mean(values)
    return (sum(((value - middle) ** 2 for value in values), Decimal(0)) / (len(values) - 1)).sqrt()


def moving_averages(values: Sequence[Decimal], *, of: int) -> list[Decimal]:
    """Mean of each run of `of` consecutive tests, in order and in their unit; none where there are fewer.

    Validity: runs of one test and more. Raises `OutsideValidity`. Source: common practice (no source).

    >>> moving_averages([Decimal(94), Decimal(96), Decimal(98)], of=2)
    [Decimal('95'), Decimal('97')]
    """
    if of < 1:
        raise OutsideValidity("moving-average-of-none", f"A moving average of {of} tests is none.", value=Decimal(of))
    return [mean(values[start : start + of]) for start in range(len(values) - of + 1)]


def quality_index(values: Sequence[Decimal], *, lower: Decimal | None = None, upper: Decimal | None = None) -> Decimal:
    """Quality index to one limit, a ratio: (mean - lower) / s or (upper - mean) / s; give exactly one limit.

    Raises `NotEnoughReadings`, and `OutsideValidity` where all tests are equal (s = 0) or not one limit is given.
    Source: FAA Advisory Circular 150/5370-10, section 110 (from memory).

    >>> round(quality_index([Decimal(96), Decimal(97), Decimal(99), Decimal(100)], lower=Decimal("96.3")), 4)
    Decimal('0.9311')
    """
    if (lower is None) == (upper is None):
        raise OutsideValidity("one-limit-needed", "A quality index belongs to one limit, a lower or an upper one.")
    spread = standard_deviation(values)
    if spread == 0:
        raise OutsideValidity(
            "lot-without-spread", "All tests of the lot are equal; no quality index follows from them.", value=spread
        )
    if lower is not None:
        return (mean(values) - lower) / spread
    assert upper is not None
    return (upper - mean(values)) / spread


def printed_quality_index_findings(
    printed: PrintedFigure,
    values: Sequence[Decimal],
    *,
    lower: Decimal,
    printed_standard_deviation: PrintedFigure | None = None,
) -> tuple[Finding, ...]:
    """Findings on a printed quality index to a lower limit: "intermediate-rounding" where the printed spread was used.

    Codes as `sheet_check.check_figure`. Raises as `quality_index`. Source: common practice (no source).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> lot = [Decimal(96), Decimal(97), Decimal(99), Decimal(100)]
    >>> [finding.code for finding in printed_quality_index_findings(printed_figure("quality_index", "0.9444"), lot,
    ...     lower=Decimal("96.3"), printed_standard_deviation=printed_figure("standard_deviation", "1.8"))]
    ['printed-figure-differs', 'intermediate-rounding']
    """
    slips = []
    if printed_standard_deviation is not None and printed_standard_deviation.number > 0:
        slips.append(
            Explanation(
                "intermediate-rounding",
                (mean(values) - lower) / printed_standard_deviation.number,
                "with the standard deviation rounded as printed before it was used",
            )
        )
    return check_figure(printed, quality_index(values, lower=lower), slips)


def within_one_limit_pct(*, quality_index: Decimal, tests: int) -> Decimal:
    """Percentage of a lot on the good side of one limit, estimated from its quality index and number of tests.

    100 (1 - I_x(n/2 - 1, n/2 - 1)) with x = 1/2 - Q sqrt(n) / (2 (n - 1)), held between 0 and 1. Validity: at least 3
    tests. Raises `NotEnoughReadings`. Source: symmetric beta form of FAA AC 150/5370-10 section 110 and AASHTO R 9
    (from memory); for four tests it is 50 + 100 Q / 3 exactly.

    >>> round(within_one_limit_pct(quality_index=Decimal("0.9444"), tests=4), 2)
    Decimal('81.48')
    """
    if tests < FEWEST_WITHIN_LIMITS:
        raise NotEnoughReadings(
            "lot-too-small",
            f"Percent within limits needs at least {FEWEST_WITHIN_LIMITS} tests; the lot has {tests}.",
            missing=("tests",),
        )
    # In decimals: near its ends the share of three tests goes as the root of x.
    x = Decimal("0.5") - quality_index * Decimal(tests).sqrt() / (2 * (tests - 1))
    share = 1 - _symmetric_beta(float(min(max(x, Decimal(0)), Decimal(1))), halves=tests - 2)
    return quantise(min(max(Decimal(repr(100 * share)), Decimal(0)), _HUNDRED))


def _symmetric_beta(x: float, *, halves: int) -> float:
    """Regularised incomplete beta function I_x(a, a) for a = halves / 2, by steps of one from a = 1/2 or 1.

    Abramowitz and Stegun 26.5.15 and 26.5.16 (from memory): I(a + 1, b) = I(a, b) - x^a (1-x)^b / (a B(a, b)).
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    a = 0.5 if halves % 2 else 1.0
    value = 2 / pi * asin(sqrt(x)) if halves % 2 else x
    term = sqrt(x * (1 - x)) / pi if halves % 2 else x * (1 - x)  # x^a (1-x)^a / B(a, a)
    while 2 * a < halves:
        value += -term / a + term * 2 * x / a  # first a + 1 for the left parameter, then for the right one
        term *= x * (1 - x) * (2 * a + 1) * 2 / a
        a += 1
    return value


def percent_within_limits_pct(
    values: Sequence[Decimal], *, lower: Decimal | None = None, upper: Decimal | None = None
) -> Decimal:
    """Estimated percent of the lot within its limits: of one limit, or PL + PU - 100 for two. Percent.

    A lot without any spread is all in or all out. Raises `NotEnoughReadings`, `OutsideValidity` without a limit.
    Source: FAA Advisory Circular 150/5370-10, section 110 (from memory).

    >>> lot = [Decimal(96), Decimal(97), Decimal(99), Decimal(100)]
    >>> round(percent_within_limits_pct(lot, lower=Decimal("96.3")), 1)
    Decimal('81.0')
    """
    if lower is None and upper is None:
        raise OutsideValidity("limit-needed", "Percent within limits needs a lower or an upper limit.")
    at_least(values, FEWEST_WITHIN_LIMITS)
    if standard_deviation(values) == 0:
        inside = (lower is None or values[0] >= lower) and (upper is None or values[0] <= upper)
        return _HUNDRED if inside else Decimal(0)
    parts = [
        within_one_limit_pct(quality_index=quality_index(values, lower=low, upper=high), tests=len(values))
        for low, high in ((lower, None), (None, upper))
        if (low, high) != (None, None)
    ]
    return max(sum(parts, Decimal(0)) - _HUNDRED * (len(parts) - 1), Decimal(0))


def as_tabulated_pct(*, quality_index: Decimal, tests: int) -> Decimal:
    """Percent within one limit as a table of whole percents gives it: the next higher entry; below zero 100 less that.

    Validity: at least 3 tests. Raises `NotEnoughReadings`.
    Source: statistical acceptance clause of a public construction contract (between entries the next higher value, for
    a negative index 100 minus the table value; read); FAA AC 150/5370-10, section 110 (from memory).

    >>> as_tabulated_pct(quality_index=Decimal("0.9444"), tests=4)
    Decimal('82')
    """
    entry = Decimal(ceil(within_one_limit_pct(quality_index=abs(quality_index), tests=tests)))
    return entry if quality_index >= 0 else _HUNDRED - entry


def average_with_minimum(
    values: Sequence[Decimal], *, average_at_least: Decimal, each_at_least: Decimal
) -> LotJudgement:
    """The lot's mean and its lowest test, both against their limits; equality meets. The one that fails is told.

    Raises `NotEnoughReadings` for an empty lot. Source: common practice (no source).

    >>> average_with_minimum([Decimal(97), Decimal(93)], average_at_least=Decimal(95), each_at_least=Decimal(94)).met
    False
    """
    average, lowest = mean(values), min(values)
    if average < average_at_least or lowest >= each_at_least:
        return _judgement("average_with_minimum", "The mean of the lot", average, average_at_least)
    return _judgement("average_with_minimum", "The lowest test of the lot", lowest, each_at_least)


def moving_average_at_least(values: Sequence[Decimal], *, of: int, limit: Decimal) -> LotJudgement:
    """The lowest moving average of `of` tests against its limit. Raises `NotEnoughReadings` below `of` tests.

    Source: common practice (no source).

    >>> moving_average_at_least([Decimal(94), Decimal(96), Decimal(98)], of=2, limit=Decimal(95)).met
    True
    """
    at_least(values, of)
    return _judgement(
        "moving_average", f"The lowest moving average of {of} tests", min(moving_averages(values, of=of)), limit
    )


def mean_less_k_s(values: Sequence[Decimal], *, k: Decimal, limit: Decimal) -> LotJudgement:
    """The characteristic value mean - k s against its limit; k (by number of tests) comes from the specification.

    Raises `NotEnoughReadings` below two tests, `OutsideValidity` for a negative k. Source: Australian practice for the
    characteristic density ratio (from memory).

    >>> lot = [Decimal(text) for text in ("95", "96", "97", "98", "99", "98.2")]
    >>> round(mean_less_k_s(lot, k=Decimal("0.92"), limit=Decimal(95)).found, 2)
    Decimal('95.82')
    """
    if k < 0:
        raise OutsideValidity("k-negative", f"k is {k}; a negative one would reward spread.", value=k, limit=Decimal(0))
    found = mean(values) - k * standard_deviation(values)
    return _judgement("mean_less_k_s", f"The mean less {k} standard deviations", found, limit)


def within_limits_at_least(
    values: Sequence[Decimal],
    *,
    percent_at_least: Decimal,
    lower: Decimal | None = None,
    upper: Decimal | None = None,
) -> LotJudgement:
    """Percent within limits against the percentage that the specification wants; errors as there.

    Source: FAA Advisory Circular 150/5370-10, section 110 (from memory).

    >>> lot = [Decimal(text) for text in ("96", "97", "99", "100")]
    >>> within_limits_at_least(lot, percent_at_least=Decimal(90), lower=Decimal("96.3")).met
    False
    """
    found = percent_within_limits_pct(values, lower=lower, upper=upper)
    return _judgement("percent_within_limits", "The percentage of the lot within its limits", found, percent_at_least)


def _judgement(rule: str, words: str, found: Decimal, limit: Decimal) -> LotJudgement:
    met = found >= limit
    verdict = "met" if met else "not met"
    return LotJudgement(rule, met, found, limit, f"{words} is {found:.2f}, limit {limit}: {verdict}.")
