"""Standard counts of a nuclear gauge against a reference: allowed change, and the decay of the source."""

from collections.abc import Sequence
from decimal import Decimal
from math import exp, log
from typing import Final

from compaction.calculations.errors import NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.facts import Finding

#: Half-lives, years (from memory): caesium 137 in the density source loses 2.3 % a year, americium 241 in the moisture
#: source 0.16 %.
CAESIUM_137_HALF_LIFE_YEARS: Final = Decimal("30.2")
AMERICIUM_241_HALF_LIFE_YEARS: Final = Decimal("432")
DAYS_A_YEAR: Final = Decimal("365.25")
#: Allowed change in percent of the reference. ASTM D6938 section on standardisation (from memory); the same limits
#: stand on a state contractor's quality-control form of April 2011.
ALLOWED_CHANGE_PCT: Final = {"density": Decimal(1), "moisture": Decimal(2)}


def decayed_count(*, count: Decimal, days: int, half_life_years: Decimal = CAESIUM_137_HALF_LIFE_YEARS) -> Decimal:
    """A standard count brought forward by the decay of its source: N exp(-ln 2 t / half-life), caesium 137 if not said.

    Validity: days >= 0. Raises `OutsideValidity`. Source: law of radioactive decay; the half-life from memory.

    >>> round(decayed_count(count=Decimal(2874), days=365), 1)
    Decimal('2808.8')
    """
    if days < 0:
        raise OutsideValidity(
            "days-negative",
            f"The reference count lies {-days} days after the day of the test; give an earlier one.",
            value=Decimal(days),
            limit=Decimal(0),
            unit="d",
        )
    years = float(days / (DAYS_A_YEAR * half_life_years))
    return quantise(count * Decimal(repr(exp(-log(2) * years))))


def reference_count(counts: Sequence[int]) -> Decimal:
    """The mean of recent accepted counts, usually the last four. Raises `NotEnoughReadings` without any.

    Source: ASTM D6938 section on standardisation (from memory).

    >>> reference_count([2870, 2880, 2874, 2876])
    Decimal('2875')
    """
    if not counts:
        raise NotEnoughReadings(
            "no-reference-counts", "No earlier standard count is on file to compare with.", missing=("counts",)
        )
    return Decimal(sum(counts)) / len(counts)


def rolling_references(counts: Sequence[int], *, window: int = 4) -> list[Decimal | None]:
    """For each count in order the mean of up to `window` counts before it; None for the first, which has none.

    Only accepted counts belong here: one that was off and repeated does not. Validity: window at least 1. Raises
    `OutsideValidity`. Source: ASTM D6938 section on standardisation, mean of the last four (from memory).

    >>> rolling_references([2870, 2880, 2874, 2876, 2900, 2875])[-2:]
    [Decimal('2875'), Decimal('2882.5')]
    """
    if window < 1:
        raise OutsideValidity(
            "window-empty", f"A rolling mean of {window} counts is none.", value=Decimal(window), limit=Decimal(1)
        )
    return [reference_count(counts[max(at - window, 0) : at]) if at else None for at in range(len(counts))]


def standard_count_findings(*, kind: str, count: int, reference: Decimal) -> tuple[Finding, ...]:
    """Whether a standard count ("density" or "moisture") lies within the allowed change: "standard-count-off" or none.

    Both ends of the limit are allowed. Validity: reference > 0. Raises `OutsideValidity`.
    Source: ASTM D6938 and AASHTO T 310, sections on standardisation (from memory).

    >>> standard_count_findings(kind="density", count=2846, reference=Decimal(2874))
    ()
    >>> [finding.code for finding in standard_count_findings(kind="density", count=2845, reference=Decimal(2874))]
    ['standard-count-off']
    """
    if reference <= 0:
        raise OutsideValidity(
            "reference-count-not-positive",
            f"The reference count is {reference}; it must be greater than zero.",
            value=reference,
            limit=Decimal(0),
        )
    allowed_pct = ALLOWED_CHANGE_PCT[kind]
    change_pct = 100 * (count - reference) / reference
    if abs(change_pct) <= allowed_pct:
        return ()
    return (
        Finding(
            code="standard-count-off",
            severity="validity",
            sentence=f"The {kind} standard count of {count} is {change_pct:+.1f} % off the reference of "
            f"{reference:.0f}; {allowed_pct} % is allowed (ASTM D6938). Repeat the count; "
            "if it is off again, do not use the gauge.",
            numbers={"count": str(count), "reference": f"{reference:.0f}", "change_pct": f"{change_pct:.2f}"},
        ),
    )
