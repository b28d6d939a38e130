"""A gauge against the sand cone (or two laboratories, QC against QA) at the same spots: paired differences.

Wet density is compared with wet density, gauge water with oven water, for one gauge, soil, mode and depth at a time.
Floats are used for the statistics and brought to nine decimals where they leave. Outliers are named and kept in: a
person decides about them, and about any correction.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import inf, sqrt
from typing import Final

from scipy.special import stdtr, stdtrit

from compaction.calculations import deming_regression
from compaction.calculations.errors import NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.facts import Finding

#: Pairs that Alberta ATT-48/95 (read) wants before a correction is adopted; other rules stand in `comparison_rules`.
PAIRS_WANTED: Final = {"ATT-48": 10}
#: 95 % of differences lie within this many standard deviations of their mean (normal distribution).
_AGREEMENT_SDS: Final = 1.96
#: Chance of naming an outlier where there is none, percent (ASTM E178, usual choice, from memory).
_OUTLIER_RISK_PCT: Final = 5


@dataclass(frozen=True)
class Pair:
    """Two determinations at one spot, in one unit (kg/m3 or percent): the one checked, the one checked against."""

    name: str
    checked: Decimal
    reference: Decimal
    conditions: tuple[str, ...] = ()  # gauge, soil, mode, depth: pairs of different conditions are never pooled

    @property
    def difference(self) -> Decimal:
        """Checked less reference: positive where the gauge reads high."""
        return self.checked - self.reference


@dataclass(frozen=True)
class Comparison:
    """What the pairs say. All in the unit of the pairs, except `t`, `p_value`, `slope` and `correlation`."""

    pairs: int
    mean_difference: Decimal
    standard_deviation: Decimal
    confidence_low: Decimal
    confidence_high: Decimal
    t: Decimal | None  # None where all differences are equal
    p_value: Decimal
    agreement_low: Decimal
    agreement_high: Decimal
    slope: Decimal | None  # reference = intercept + slope x checked; None where all checked are equal
    intercept: Decimal | None
    correlation: Decimal | None
    outliers: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    standard_error: Decimal = Decimal(0)
    deming_slope: Decimal | None = None  # checked = intercept + slope x reference, both scattering alike
    deming_intercept: Decimal | None = None

    @property
    def biased(self) -> bool:
        """Whether the confidence interval of the mean difference leaves zero out."""
        return self.confidence_low > 0 or self.confidence_high < 0


def by_conditions(pairs: Sequence[Pair]) -> dict[tuple[str, ...], list[Pair]]:
    """Pairs sorted by their conditions, in order of first appearance. Source: Alberta ATT-48/95 (factors belong to one
    gauge and one material, read).

    >>> [len(group) for group in by_conditions([Pair("1", Decimal(1), Decimal(1), ("G-1",)),
    ...     Pair("2", Decimal(1), Decimal(1), ("G-2",))]).values()]
    [1, 1]
    """
    groups: dict[tuple[str, ...], list[Pair]] = {}
    for pair in pairs:
        groups.setdefault(pair.conditions, []).append(pair)
    return groups


def compare(
    pairs: Sequence[Pair], *, confidence_pct: Decimal = Decimal(95), pairs_wanted: int = PAIRS_WANTED["ATT-48"]
) -> Comparison:
    """Mean difference with confidence interval and t-test, limits of agreement, regression, outliers, findings.

    Findings: "too-few-pairs", "pair-is-outlier". Validity: at least three pairs of one set of conditions, confidence
    above 50 and below 100 %. Raises `NotEnoughReadings`, `OutsideValidity`. Source: paired t-test, common statistics;
    limits of agreement: Bland and Altman, Lancet 1986, 307-310; outliers: ASTM E178, largest deviation (from memory).

    >>> found = compare([Pair(str(n), Decimal(2000 + d), Decimal(2000)) for n, d in enumerate((8, 10, 12, 10))])
    >>> found.mean_difference, found.biased, [finding.code for finding in found.findings]
    (Decimal('10.000000000'), True, ['too-few-pairs'])
    """
    _check(pairs, confidence_pct)
    differences = [float(pair.difference) for pair in pairs]
    count = len(pairs)
    middle = sum(differences) / count
    spread = sqrt(sum((one - middle) ** 2 for one in differences) / (count - 1))
    error = spread / sqrt(count)
    half = float(stdtrit(count - 1, 0.5 + float(confidence_pct) / 200)) * error
    if len(set(pair.difference for pair in pairs)) == 1:
        spread, half, t, p = 0.0, 0.0, inf, 1.0 if middle == 0 else 0.0
    else:
        t = middle / error
        p = 2 * float(stdtr(count - 1, -abs(t)))
    slope, intercept, correlation = _regression(pairs)
    line = deming_regression.line([(pair.reference, pair.checked) for pair in pairs])
    outliers = _outliers(pairs)
    return Comparison(
        pairs=count,
        mean_difference=_exact(middle),
        standard_deviation=_exact(spread),
        confidence_low=_exact(middle - half),
        confidence_high=_exact(middle + half),
        t=None if t == inf else _exact(t),
        p_value=_exact(p),
        agreement_low=_exact(middle - _AGREEMENT_SDS * spread),
        agreement_high=_exact(middle + _AGREEMENT_SDS * spread),
        slope=slope,
        intercept=intercept,
        correlation=correlation,
        outliers=outliers,
        findings=tuple(_findings(count, pairs_wanted, outliers)),
        standard_error=_exact(spread / sqrt(count)),
        deming_slope=None if line is None else line[0],
        deming_intercept=None if line is None else line[1],
    )


def _check(pairs: Sequence[Pair], confidence_pct: Decimal) -> None:
    if len(pairs) < 3:
        raise NotEnoughReadings(
            "too-few-pairs", f"{len(pairs)} pairs allow no comparison; at least three do.", missing=("pairs",)
        )
    conditions = {pair.conditions for pair in pairs}
    if len(conditions) > 1:
        raise OutsideValidity(
            "conditions-mixed",
            f"The pairs belong to {len(conditions)} sets of conditions; one gauge, soil, mode and depth is compared at "
            "a time.",
            value=Decimal(len(conditions)),
            limit=Decimal(1),
        )
    if not 50 < confidence_pct < 100:
        raise OutsideValidity(
            "confidence-out-of-range",
            f"A confidence of {confidence_pct} % is not between 50 and 100 %.",
            value=confidence_pct,
            limit=Decimal(100),
            unit="%",
        )


def _exact(value: float) -> Decimal:
    return quantise(Decimal(repr(value)))


def _regression(pairs: Sequence[Pair]) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    x, y = [float(pair.checked) for pair in pairs], [float(pair.reference) for pair in pairs]
    middle_x, middle_y = sum(x) / len(x), sum(y) / len(y)
    square_x, square_y = sum((one - middle_x) ** 2 for one in x), sum((one - middle_y) ** 2 for one in y)
    cross = sum((one - middle_x) * (other - middle_y) for one, other in zip(x, y, strict=True))
    if len({pair.checked for pair in pairs}) == 1:
        return None, None, None
    slope = cross / square_x
    flat = len({pair.reference for pair in pairs}) == 1
    return (
        _exact(slope),
        _exact(middle_y - slope * middle_x),
        None if flat else _exact(cross / sqrt(square_x * square_y)),
    )


def _outliers(pairs: Sequence[Pair]) -> tuple[str, ...]:
    """Names of pairs whose difference lies too far from the others, the worst first; at most a third of them."""
    left = list(pairs)
    named: list[str] = []
    while len(left) > 3 and len(named) < len(pairs) // 3:
        count = len(left)
        middle = float(sum((pair.difference for pair in left), Decimal(0)) / count)
        spread = sqrt(sum((float(pair.difference) - middle) ** 2 for pair in left) / (count - 1))
        worst = max(left, key=lambda pair: abs(float(pair.difference) - middle))
        t = float(stdtrit(count - 2, 1 - _OUTLIER_RISK_PCT / 100 / (2 * count)))
        critical = (count - 1) / sqrt(count) * sqrt(t * t / (count - 2 + t * t))
        if spread == 0 or abs(float(worst.difference) - middle) <= critical * spread:
            break
        named.append(worst.name)
        left.remove(worst)
    return tuple(named)


def _findings(count: int, wanted: int, outliers: Sequence[str]) -> list[Finding]:
    findings = []
    if count < wanted:
        findings.append(
            Finding(
                code="too-few-pairs",
                severity="validity",
                sentence=f"There are {count} pairs; the rule in force wants {wanted} before a correction is adopted. "
                "Add pairs.",
                numbers={"pairs": str(count), "wanted": str(wanted)},
            )
        )
    for name in outliers:
        findings.append(
            Finding(
                code="pair-is-outlier",
                severity="validity",
                sentence=f"The difference of pair {name} lies further from the others than chance allows (ASTM E178, "
                f"{_OUTLIER_RISK_PCT} %). Look for its cause; it stays in the figures until a person takes it out.",
                numbers={"pair": name},
            )
        )
    return findings


def proposed_constant(comparison: Comparison) -> Decimal | None:
    """The constant to add to the checked reading, in the unit of the pairs; None where no bias is shown.

    Only proposed: a person adopts it. Validity: for this gauge, soil, mode and depth. Source: Alberta ATT-48/95 (read).

    >>> proposed_constant(compare([Pair(str(n), Decimal(2000 + d), Decimal(2000))
    ...     for n, d in enumerate((8, 10, 12, 10))]))
    Decimal('-10.000000000')
    """
    return -comparison.mean_difference if comparison.biased else None
