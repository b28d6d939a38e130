"""Water content from cans, from masses, from a carbide pressure tester; wet basis to dry basis and back."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import WaterContentReading

_HUNDRED = Decimal(100)
_NO_CAN = Decimal(0)

#: Highest reading of the dial of a carbide tester of usual size, percent of wet mass (AASHTO T 217, note on range).
CARBIDE_DIAL_MAXIMUM_PCT = Decimal(20)
#: The same for aggregate (WAQTC procedure for T 217).
CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT = Decimal(12)


def from_masses(
    *, wet_and_can_kg: Decimal, dry_and_can_kg: Decimal, can_kg: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Water content in percent of the dry mass, from one can weighed wet, dry and empty (kg).

    Validity: empty >= 0 < dry soil, wet >= dry. Raises `ImpossibleReading` ("impossible-mass").
    Source: ASTM D2216 section 12, AASHTO T 265 section on calculation (clause numbers from memory).

    >>> round(from_masses(wet_and_can_kg=Decimal("0.04352"), dry_and_can_kg=Decimal("0.03986"),
    ...     can_kg=Decimal("0.01731")), 3)
    Decimal('16.231')
    """
    dry_soil_kg = dry_and_can_kg - can_kg
    water_kg = wet_and_can_kg - dry_and_can_kg
    if can_kg < 0 or dry_soil_kg <= 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"Can of {can_kg * 1000:.2f} g and dry soil with can of {dry_and_can_kg * 1000:.2f} g leave no dry soil. "
            "Check the can number and both masses.",
            value=dry_soil_kg,
            limit=Decimal(0),
            unit="kg",
        )
    if water_kg < 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"The specimen weighs {dry_and_can_kg * 1000:.2f} g dry and {wet_and_can_kg * 1000:.2f} g wet; "
            "it cannot gain mass in drying. Check whether the two were exchanged.",
            value=water_kg,
            limit=Decimal(0),
            unit="kg",
        )
    result = _HUNDRED * water_kg / dry_soil_kg
    sheet.add(
        "water-content-from-masses",
        result_name="water_content_pct",
        result=result,
        wet_and_can_kg=wet_and_can_kg,
        dry_and_can_kg=dry_and_can_kg,
        can_kg=can_kg,
    )
    return result


def from_cans(cans: Sequence[Mapping[str, Decimal]], sheet: Worksheet = NO_SHEET) -> Decimal:
    """Mean water content of one or more cans in percent; the mean is taken of the unrounded values.

    Each can has `wet_and_can_kg`, `dry_and_can_kg`, `can_kg`. Raises `NotEnoughReadings` without a can and
    `ImpossibleReading`. Source: ASTM D2216 section 12 for each can (from memory); mean: common practice (no source).

    >>> can = {"wet_and_can_kg": Decimal("1.15"), "dry_and_can_kg": Decimal("1.05"), "can_kg": Decimal("0.05")}
    >>> from_cans([can, can])
    Decimal('10')
    """
    if not cans:
        raise NotEnoughReadings("no-cans", "No can was weighed; give at least one.", missing=("cans",))
    each = [
        from_masses(
            wet_and_can_kg=can["wet_and_can_kg"],
            dry_and_can_kg=can["dry_and_can_kg"],
            can_kg=can["can_kg"],
            sheet=sheet,
        )
        for can in cans
    ]
    if len(each) == 1:
        return each[0]
    result = sum(each, Decimal(0)) / len(each)
    numbers = {f"water_content_{number}_pct": value for number, value in enumerate(each, 1)}
    sheet.add_named("water-content-mean", numbers, result_name="water_content_pct", result=result)
    return result


def wet_to_dry_basis_pct(wet_basis_pct: Decimal, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Water as percent of the wet mass, expressed as percent of the dry mass: R / (100 - R) x 100.

    Validity: 0 <= R < 100 %. Raises `ImpossibleReading`. Source: AASHTO T 217, section on calculation (from memory).

    >>> wet_to_dry_basis_pct(Decimal("20"))
    Decimal('25')
    """
    if not 0 <= wet_basis_pct < _HUNDRED:
        raise ImpossibleReading(
            "wet-basis-out-of-range",
            f"Water of {wet_basis_pct:.2f} % of the wet mass does not lie between 0 and 100 %. Check the reading.",
            value=wet_basis_pct,
            limit=_HUNDRED,
            unit="%",
        )
    result = _HUNDRED * wet_basis_pct / (_HUNDRED - wet_basis_pct)
    sheet.add("wet-to-dry-basis", result_name="water_content_pct", result=result, wet_basis_pct=wet_basis_pct)
    return result


def dry_to_wet_basis_pct(water_content_pct: Decimal) -> Decimal:
    """Water content (percent of the dry mass) as percent of the wet mass: the inverse of `wet_to_dry_basis_pct`.

    Validity: water content >= 0 %. Raises `ImpossibleReading`.
    Source: AASHTO T 217, section on calculation, solved for R (from memory).

    >>> dry_to_wet_basis_pct(Decimal("25"))
    Decimal('20')
    """
    if water_content_pct < 0:
        raise ImpossibleReading(
            "water-content-negative",
            f"Water content is {water_content_pct:.2f} %; it cannot be below zero. Check the readings.",
            value=water_content_pct,
            limit=Decimal(0),
            unit="%",
        )
    return _HUNDRED * water_content_pct / (_HUNDRED + water_content_pct)


def carbide_dry_basis(dial_pct: Decimal, half_specimen: bool = False, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Water content in percent of the dry mass from the dial of a carbide pressure tester (percent of wet mass).

    With half the specimen the dial is doubled BEFORE the change of basis; the other order is wrong by several
    points. Validity: dial 0 to 20 %, the range of the instrument for soil. Raises `OutsideValidity`,
    `ImpossibleReading`. Source: AASHTO T 217-14, sections on procedure and calculation.

    >>> round(carbide_dry_basis(Decimal("11.0"), half_specimen=True), 2)
    Decimal('28.21')
    """
    if dial_pct < 0:
        raise ImpossibleReading(
            "dial-negative",
            f"The dial reads {dial_pct:.2f} %; it cannot be below zero. Check the zero of the dial.",
            value=dial_pct,
            limit=Decimal(0),
            unit="%",
        )
    if dial_pct > CARBIDE_DIAL_MAXIMUM_PCT:
        raise OutsideValidity(
            "dial-beyond-range",
            f"The dial reads {dial_pct:.2f} %, beyond the {CARBIDE_DIAL_MAXIMUM_PCT} % of the instrument "
            "(AASHTO T 217). Repeat with half the specimen and say so.",
            value=dial_pct,
            limit=CARBIDE_DIAL_MAXIMUM_PCT,
            unit="%",
        )
    wet_basis_pct = dial_pct
    if half_specimen:
        wet_basis_pct = 2 * dial_pct
        sheet.add("carbide-half-specimen", result_name="wet_basis_pct", result=wet_basis_pct, dial_pct=dial_pct)
    return wet_to_dry_basis_pct(wet_basis_pct, sheet)


def dry_mass_kg(*, wet_mass_kg: Decimal, water_content_pct: Decimal) -> Decimal:
    """Dry mass of a wet specimen of known water content: wet / (1 + w/100).

    Validity: wet mass >= 0 kg, water content >= 0 %. Raises `ImpossibleReading`.
    Source: ASTM D2216, definition of water content (from memory).

    >>> dry_mass_kg(wet_mass_kg=Decimal("1.1"), water_content_pct=Decimal("10"))
    Decimal('1.0')
    """
    if wet_mass_kg < 0 or water_content_pct < 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"Wet mass of {wet_mass_kg:.4f} kg with {water_content_pct:.2f} % water: neither can be below zero.",
            value=min(wet_mass_kg, water_content_pct),
            limit=Decimal(0),
        )
    return wet_mass_kg * _HUNDRED / (_HUNDRED + water_content_pct)


def water_content_pct(reading: WaterContentReading, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Water content in percent of the dry mass from one determination, however it was reported.

    A value given outright goes before cans, cans before weighings of one specimen, these before a dial. Raises
    `NotEnoughReadings` if none of them is there, `ImpossibleReading`, `OutsideValidity`.
    Source: ASTM D2216 (cans), AASHTO T 217 (dial), both from memory.

    >>> water_content_pct(WaterContentReading(method="oven", fraction="total", water_content_pct=Decimal("12.4")))
    Decimal('12.4')
    """
    if reading.water_content_pct is not None:
        if reading.water_content_pct < 0:
            raise ImpossibleReading(
                "water-content-negative",
                f"Water content is {reading.water_content_pct:.2f} %; it cannot be below zero. Check the reading.",
                value=reading.water_content_pct,
                limit=Decimal(0),
                unit="%",
            )
        return reading.water_content_pct
    if reading.cans:
        return from_cans(reading.cans, sheet)
    if reading.weighings_kg and reading.specimen_mass_kg is not None:
        wet_kg, dry_kg = reading.specimen_mass_kg, reading.weighings_kg[-1]
        return from_masses(wet_and_can_kg=wet_kg, dry_and_can_kg=dry_kg, can_kg=_NO_CAN, sheet=sheet)
    if reading.carbide_dial_pct is not None:
        return carbide_dry_basis(reading.carbide_dial_pct, reading.half_specimen, sheet)
    raise NotEnoughReadings(
        "water-content-missing",
        f"The water content by {reading.method} has no value, no cans and no dial reading; give one of them.",
        missing=("value", "cans", "dial"),
    )
