"""Two samples of one lot, not paired: the contractor's quality control against the owner's tests, by F- and t-test.

First the spreads are compared (F), then the means (t): pooled where the spreads agree, by Welch where they do not.
Floats inside, nine decimals where they leave.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import inf, sqrt

from scipy.special import fdtrc, fdtri, stdtr, stdtrit

from compaction.calculations.acceptance_statistics import mean, standard_deviation
from compaction.calculations.errors import NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise


@dataclass(frozen=True)
class TwoSamples:
    """What F and t say. Means and standard deviations in the unit of the samples; `f` and `t` None without spread."""

    tests: tuple[int, int]
    means: tuple[Decimal, Decimal]
    standard_deviations: tuple[Decimal, Decimal]
    risk_pct: Decimal
    f: Decimal | None
    f_critical: Decimal
    f_p_value: Decimal
    pooled: bool
    t: Decimal | None
    t_critical: Decimal
    degrees_of_freedom: Decimal
    t_p_value: Decimal

    @property
    def spreads_agree(self) -> bool:
        """Whether the F-test finds no difference at the risk taken."""
        return self.f_p_value * 100 >= self.risk_pct

    @property
    def means_agree(self) -> bool:
        """Whether the t-test finds no difference at the risk taken."""
        return self.t_p_value * 100 >= self.risk_pct


def compare_samples(first: Sequence[Decimal], second: Sequence[Decimal], *, risk_pct: Decimal) -> TwoSamples:
    """F-test of the spreads (two-sided, larger variance over smaller), then t-test of the means (two-sided).

    `risk_pct` is the chance of finding a difference where there is none (alpha). Validity: three tests on each side,
    risk above 0 and below 50 %. Raises `NotEnoughReadings`, `OutsideValidity`. Source: common statistics; the order
    F then t as in FHWA's verification of contractor tests for 23 CFR 637.207 (from memory).

    >>> one, two = [Decimal(n) for n in (95, 96, 97, 98)], [Decimal(n) for n in (95, 97, 96, 99)]
    >>> found = compare_samples(one, two, risk_pct=Decimal(5))
    >>> found.spreads_agree, found.means_agree
    (True, True)
    """
    if min(len(first), len(second)) < 3:
        raise NotEnoughReadings(
            "samples-too-small",
            f"{len(first)} and {len(second)} tests are too few to compare; three on each side are needed.",
            missing=("tests",),
        )
    if not 0 < risk_pct < 50:
        raise OutsideValidity("risk-out-of-range", f"A risk of {risk_pct} % is not between 0 and 50 %.", value=risk_pct)
    risk = float(risk_pct) / 100
    sizes = (len(first), len(second))
    middles = (float(mean(first)), float(mean(second)))
    spreads = (float(standard_deviation(first)), float(standard_deviation(second)))
    large, small = (0, 1) if spreads[0] >= spreads[1] else (1, 0)
    free = (sizes[large] - 1, sizes[small] - 1)
    f_critical = float(fdtri(*free, 1 - risk / 2))
    f = inf if spreads[small] == 0 else (spreads[large] / spreads[small]) ** 2
    if spreads[large] == 0:
        f, f_p = inf, 1.0
    else:
        f_p = 0.0 if f == inf else min(1.0, 2 * float(fdtrc(*free, f)))
    pooled = f_p >= risk
    error, degrees = _error(sizes, spreads, pooled)
    difference = middles[0] - middles[1]
    if error == 0:
        t, t_p = inf, 1.0 if difference == 0 else 0.0
    else:
        t = difference / error
        t_p = 2 * float(stdtr(degrees, -abs(t)))
    return TwoSamples(
        tests=sizes,
        means=(mean(first), mean(second)),
        standard_deviations=(standard_deviation(first), standard_deviation(second)),
        risk_pct=risk_pct,
        f=None if f == inf else _exact(f),
        f_critical=_exact(f_critical),
        f_p_value=_exact(f_p),
        pooled=pooled,
        t=None if t == inf else _exact(t),
        t_critical=_exact(float(stdtrit(degrees, 1 - risk / 2))),
        degrees_of_freedom=_exact(degrees),
        t_p_value=_exact(t_p),
    )


def _error(sizes: tuple[int, int], spreads: tuple[float, float], pooled: bool) -> tuple[float, float]:
    """Standard error of the difference of the means, and its degrees of freedom."""
    parts = [spread**2 / size for spread, size in zip(spreads, sizes, strict=True)]
    if pooled:
        degrees = sum(sizes) - 2
        variance = sum((size - 1) * spread**2 for spread, size in zip(spreads, sizes, strict=True)) / degrees
        return sqrt(variance * (1 / sizes[0] + 1 / sizes[1])), float(degrees)
    if sum(parts) == 0:
        return 0.0, float(sum(sizes) - 2)
    degrees_welch = sum(parts) ** 2 / sum(part**2 / (size - 1) for part, size in zip(parts, sizes, strict=True))
    return sqrt(sum(parts)), degrees_welch


def _exact(value: float) -> Decimal:
    return quantise(Decimal(repr(value)))
