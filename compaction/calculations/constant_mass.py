"""Constant mass: whether the last of several weighings changed a specimen by more than its standard allows."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.worksheet import NO_SHEET, Worksheet

CHANGE: Final = Formula(
    "constant-mass-change",
    "Change of mass by the last drying",
    "change = 100 |m_n - m_(n-1)| / m",
    "ASTM D4643 and D4959, procedure; ASTM D2216, definition of constant dry mass",
)


def last_change_pct(
    weighings_kg: Sequence[Decimal], *, of_kg: Decimal, can_kg: Decimal = Decimal(0), sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Change between the last two weighings (kg), percent of `of_kg`; of the mass before where that is zero.

    `can_kg` is the can that was weighed along. A gain counts as a change too. Raises `NotEnoughReadings` below two
    weighings, `ImpossibleReading` where no soil is left. Source: ASTM D4643, procedure (from memory).

    >>> last_change_pct([Decimal("0.2312"), Decimal("0.2310")], of_kg=Decimal("0.25")).normalize()
    Decimal('0.08')
    """
    if len(weighings_kg) < 2:
        raise NotEnoughReadings("too-few-weighings", "Constant mass needs two weighings.", missing=("weighings",))
    before_kg, after_kg = weighings_kg[-2], weighings_kg[-1]
    base_kg = of_kg if of_kg else before_kg - can_kg
    if base_kg <= 0 or after_kg - can_kg <= 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"A last weighing of {after_kg * 1000:.2f} g with a can of {can_kg * 1000:.2f} g leaves no dry soil. Check "
            "the weighings.",
            value=after_kg - can_kg,
            limit=Decimal(0),
            unit="kg",
        )
    result = 100 * abs(after_kg - before_kg) / base_kg
    sheet.add(
        CHANGE.id,
        result_name="change_of_mass_pct",
        result=result,
        mass_before_kg=before_kg,
        mass_after_kg=after_kg,
        specimen_mass_kg=base_kg,
    )
    return result
