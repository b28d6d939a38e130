"""Whether repeated counts of a gauge scatter as counts of chance events do: neither too much nor too little.

Counts of radioactive decay scatter by the square root of their mean. A display that divides its counts by a prescale F
shows the square root of mean / F. More scatter means an unstable gauge or a source nearby; less means copied figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from scipy.special import chdtri

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.facts import Finding

#: Of good sets of counts this many in a hundred are remarked all the same, half on either side.
_RISK_PCT: Final = 5
FEWEST_COUNTS: Final = 4


@dataclass(frozen=True)
class Stability:
    """Scatter of repeated counts: standard deviation over that of chance, how many lie outside it, and the limits."""

    counts: int
    mean: Decimal
    ratio: Decimal
    outside: int
    lowest_ratio: Decimal
    highest_ratio: Decimal


def stability(counts: Sequence[int], *, prescale: Decimal = Decimal(1)) -> Stability:
    """Scatter of repeated counts against the square root of their mean (over the prescale).

    `ratio` is 1 for chance alone; its limits follow from chi-square with n - 1 degrees of freedom. Validity: at least
    four counts above zero, prescale above zero. Raises `NotEnoughReadings`, `ImpossibleReading`, `OutsideValidity`.
    Source: TM 5-6635-386-12&P, evaluation of a series of counts (mean +/- square root of the mean holds some 68 %,
    read); chi-square limits: common statistics (no source).

    >>> found = stability([2747, 2853, 2800, 2790, 2810, 2760, 2840, 2700, 2900, 2800])
    >>> found.mean, round(found.ratio, 2), found.outside
    (Decimal('2800'), Decimal('1.07'), 4)
    """
    if len(counts) < FEWEST_COUNTS:
        raise NotEnoughReadings(
            "too-few-counts",
            f"{len(counts)} counts say nothing about scatter; at least {FEWEST_COUNTS} do.",
            missing=("counts",),
        )
    if min(counts) <= 0:
        raise ImpossibleReading(
            "count-not-positive",
            f"A count is {min(counts)}; it must be greater than zero.",
            value=Decimal(min(counts)),
            limit=Decimal(0),
        )
    if prescale <= 0:
        raise OutsideValidity(
            "prescale-not-positive", f"The prescale is {prescale}; it must be greater than zero.", value=prescale
        )
    free = len(counts) - 1
    mean = Decimal(sum(counts)) / len(counts)
    chance = (mean / prescale).sqrt()
    spread = (sum(((count - mean) ** 2 for count in counts), Decimal(0)) / free).sqrt()
    limits = [
        (Decimal(repr(float(chdtri(free, share)))) / free).sqrt() for share in (1 - _RISK_PCT / 200, _RISK_PCT / 200)
    ]
    return Stability(
        counts=len(counts),
        mean=mean,
        ratio=quantise(spread / chance),
        outside=sum(abs(count - mean) > chance for count in counts),
        lowest_ratio=quantise(limits[0]),
        highest_ratio=quantise(limits[1]),
    )


def stability_findings(found: Stability) -> tuple[Finding, ...]:
    """ "counts-unstable", "counts-too-smooth" or none. Source: as `stability`.

    >>> [finding.code for finding in stability_findings(stability([2800] * 10))]
    ['counts-too-smooth']
    """
    if found.lowest_ratio <= found.ratio <= found.highest_ratio:
        return ()
    unstable = found.ratio > found.highest_ratio
    remedy = (
        "Move other sources and large objects away and repeat; if it stays so, do not use the gauge."
        if unstable
        else "Chance alone scatters more than this; make sure that each count was taken and none was copied."
    )
    return (
        Finding(
            code="counts-unstable" if unstable else "counts-too-smooth",
            severity="validity",
            sentence=f"{found.counts} repeated counts scatter {found.ratio:.2f} times as much as chance alone; "
            f"{found.lowest_ratio:.2f} to {found.highest_ratio:.2f} is usual, {found.outside} of them lie outside one "
            f"standard deviation. {remedy}",
            numbers={"ratio": f"{found.ratio:.3f}", "outside": str(found.outside), "counts": str(found.counts)},
        ),
    )


def chance_limit(*, reference_count: Decimal, prescale: Decimal = Decimal(1)) -> Decimal:
    """How far a standard count may lie from its reference by chance, in counts: 1.96 sqrt(N0 / F).

    The older form of the daily check; the present one allows a fixed share (`standard_counts`). Validity: both above
    zero. Raises `OutsideValidity`. Source: ASTM D2922 and D6938, sections on standardisation (from memory).

    >>> round(chance_limit(reference_count=Decimal(2500)), 1)
    Decimal('98.0')
    """
    if reference_count <= 0 or prescale <= 0:
        raise OutsideValidity(
            "reference-count-not-positive",
            f"The reference count is {reference_count} and the prescale {prescale}; both must be greater than zero.",
            value=min(reference_count, prescale),
            limit=Decimal(0),
        )
    return Decimal("1.96") * (reference_count / prescale).sqrt()
