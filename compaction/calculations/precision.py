"""How far two results of one material may lie apart, as data by standard: for uncertainty and for disputes.

Every row is from memory: compare it with the edition in force and replace it here.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, OutsideValidity
from compaction.calculations.quantities import to_si

#: Two results differ by more than this many standard deviations once in twenty (ASTM C670, 1.96 x sqrt 2, from memory).
DIFFERENCE_FACTOR: Final = Decimal("2.83")


@dataclass(frozen=True)
class Precision:
    """Standard deviation of one result (SI, or percent of the mean if `relative`), by one operator and between them."""

    single_operator: Decimal
    between_laboratories: Decimal
    relative: bool
    source: str


def _pcf(text: str) -> Decimal:
    return to_si(Decimal(text), "pcf")


def _from_difference(value: Decimal) -> Decimal:
    return value / DIFFERENCE_FACTOR


_D698 = "ASTM D698, table of triplicate tests, {} soil"
#: (quantity, standard, soil) -> precision
PRECISIONS: Final[dict[tuple[str, str, str], Precision]] = {
    ("water_content", "ASTM D2216", ""): Precision(
        Decimal("2.7"), Decimal("5.0"), True, "ASTM D2216, section on precision"
    ),
    ("maximum_dry_density", "ASTM D698", "CH"): Precision(_pcf("0.5"), _pcf("1.4"), False, _D698.format("CH")),
    ("maximum_dry_density", "ASTM D698", "CL"): Precision(_pcf("0.4"), _pcf("0.8"), False, _D698.format("CL")),
    ("maximum_dry_density", "ASTM D698", "ML"): Precision(_pcf("0.5"), _pcf("0.6"), False, _D698.format("ML")),
    ("optimum_water_content", "ASTM D698", "CH"): Precision(Decimal("0.2"), Decimal("0.7"), False, _D698.format("CH")),
    ("optimum_water_content", "ASTM D698", "CL"): Precision(Decimal("0.3"), Decimal("0.5"), False, _D698.format("CL")),
    ("optimum_water_content", "ASTM D698", "ML"): Precision(Decimal("0.3"), Decimal("0.5"), False, _D698.format("ML")),
    ("maximum_dry_density", "AASHTO T 99", ""): Precision(
        _from_difference(_pcf("2.2")), _from_difference(_pcf("4.5")), False, "AASHTO T 99 and T 180, precision clause"
    ),
    ("optimum_water_content", "AASHTO T 99", ""): Precision(
        _from_difference(Decimal(10)), _from_difference(Decimal(15)), True, "AASHTO T 99 and T 180, precision clause"
    ),
}


def allowed_difference(quantity: str, *, standard: str, mean: Decimal, soil: str = "", same_operator: bool) -> Decimal:
    """How far two results of one material may lie apart (SI or points), once in twenty more: 2.83 standard deviations.

    `mean` of the two counts where the precision is relative. Raises `OutsideValidity` where no precision is kept,
    `ImpossibleReading` for a mean that is not above zero. Source: see `Precision.source`; ASTM C670 (from memory).

    >>> round(allowed_difference("water_content", standard="ASTM D2216", mean=Decimal(10), same_operator=True), 2)
    Decimal('0.76')
    """
    kept = PRECISIONS.get((quantity, standard, soil))
    if kept is None:
        raise OutsideValidity(
            "precision-not-kept",
            f"No precision of {quantity.replace('_', ' ')} by {standard} {soil} is kept; enter it in the table.",
        )
    if mean <= 0:
        raise ImpossibleReading(
            "mean-not-positive", f"The mean is {mean}; it must be greater than zero.", value=mean, limit=Decimal(0)
        )
    one = kept.single_operator if same_operator else kept.between_laboratories
    return DIFFERENCE_FACTOR * (one * mean / 100 if kept.relative else one)
