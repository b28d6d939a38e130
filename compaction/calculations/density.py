"""Dry density and percent compaction."""

from decimal import Decimal

from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.worksheet import NO_SHEET, Worksheet

_HUNDRED = Decimal(100)
_ZERO = Decimal(0)


def _not_positive(value: Decimal, *, code: str, what: str, unit: str) -> ImpossibleReading:
    return ImpossibleReading(
        code,
        f"{what} is {value:.4f} {unit}; it must be greater than zero. Check the readings.",
        value=value,
        limit=_ZERO,
        unit=unit,
    )


def dry_density_kgm3(
    *, wet_density_kgm3: Decimal, water_content_pct: Decimal, sheet: Worksheet = NO_SHEET, step: str = "dry-density"
) -> Decimal:
    """Dry density from wet density and water content (percent of the dry mass): wet / (1 + w/100).

    `step` names the line of the worksheet, which cites the clause of the method in question.
    Validity: wet density > 0 kg/m3, water content >= 0 %. Raises `ImpossibleReading`.
    Source: ASTM D1556 section on calculation; AASHTO T 191; ASTM D6938 (from memory).

    >>> dry_density_kgm3(wet_density_kgm3=Decimal("2200"), water_content_pct=Decimal("10"))
    Decimal('2000')
    """
    if wet_density_kgm3 <= _ZERO:
        raise _not_positive(wet_density_kgm3, code="wet-density-not-positive", what="Wet density", unit="kg/m3")
    if water_content_pct < _ZERO:
        raise ImpossibleReading(
            "water-content-negative",
            f"Water content is {water_content_pct:.2f} %; it cannot be below zero. Check the readings and any offset.",
            value=water_content_pct,
            limit=Decimal(0),
            unit="%",
        )
    result = wet_density_kgm3 * _HUNDRED / (_HUNDRED + water_content_pct)
    if sheet.keeps:
        sheet.add(
            step,
            result_name="dry_density_kgm3",
            result=result,
            wet_density_kgm3=wet_density_kgm3,
            water_content_pct=water_content_pct,
        )
    return result


def dry_from_water_mass_kgm3(
    *, wet_density_kgm3: Decimal, water_density_in_soil_kgm3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Dry density from wet density less the mass of water per volume of soil (as a gauge shows it): wet - M.

    Validity: wet density > 0, water per volume >= 0 and below the wet density, kg/m3. Raises `ImpossibleReading`.
    Source: ASTM D6938 section on calculation; AASHTO T 310 (from memory).

    >>> dry_from_water_mass_kgm3(wet_density_kgm3=Decimal("2000"), water_density_in_soil_kgm3=Decimal("200"))
    Decimal('1800')
    """
    if wet_density_kgm3 <= _ZERO:
        raise _not_positive(wet_density_kgm3, code="wet-density-not-positive", what="Wet density", unit="kg/m3")
    if not _ZERO <= water_density_in_soil_kgm3 < wet_density_kgm3:
        raise ImpossibleReading(
            "water-not-below-wet-density",
            f"Water of {water_density_in_soil_kgm3:.1f} kg/m3 does not lie between zero and the wet density of "
            f"{wet_density_kgm3:.1f} kg/m3. Check whether the two were exchanged.",
            value=water_density_in_soil_kgm3,
            limit=wet_density_kgm3,
            unit="kg/m3",
        )
    result = wet_density_kgm3 - water_density_in_soil_kgm3
    sheet.add(
        "dry-density-from-water-mass",
        result_name="dry_density_kgm3",
        result=result,
        wet_density_kgm3=wet_density_kgm3,
        water_density_in_soil_kgm3=water_density_in_soil_kgm3,
    )
    return result


def water_content_from_water_mass_pct(
    *, dry_density_kgm3: Decimal, water_density_in_soil_kgm3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Water content, percent of the dry mass, from the water per volume and the dry density: 100 M / dry.

    Validity: dry density > 0 kg/m3. Raises `ImpossibleReading`.
    Source: ASTM D6938 section on calculation; AASHTO T 310 (from memory).

    >>> water_content_from_water_mass_pct(
    ...     dry_density_kgm3=Decimal("1800"), water_density_in_soil_kgm3=Decimal("180"))
    Decimal('10')
    """
    if dry_density_kgm3 <= _ZERO:
        raise _not_positive(dry_density_kgm3, code="dry-density-not-positive", what="Dry density", unit="kg/m3")
    result = _HUNDRED * water_density_in_soil_kgm3 / dry_density_kgm3
    sheet.add(
        "water-content-from-water-mass",
        result_name="water_content_pct",
        result=result,
        water_density_in_soil_kgm3=water_density_in_soil_kgm3,
        dry_density_kgm3=dry_density_kgm3,
    )
    return result


def water_mass_from_water_content_kgm3(
    *, wet_density_kgm3: Decimal, water_content_pct: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Mass of water per volume of soil from wet density and water content: wet w / (100 + w).

    Validity: wet density > 0 kg/m3, water content > -100 %. Raises `ImpossibleReading`.
    Source: ASTM D6938 section on calculation, solved for the water (from memory).

    >>> water_mass_from_water_content_kgm3(wet_density_kgm3=Decimal("2200"), water_content_pct=Decimal("10"))
    Decimal('200')
    """
    if wet_density_kgm3 <= _ZERO:
        raise _not_positive(wet_density_kgm3, code="wet-density-not-positive", what="Wet density", unit="kg/m3")
    if _HUNDRED + water_content_pct <= _ZERO:
        raise _not_positive(
            _HUNDRED + water_content_pct, code="water-content-negative", what="100 % plus the water content", unit="%"
        )
    result = wet_density_kgm3 * water_content_pct / (_HUNDRED + water_content_pct)
    sheet.add(
        "water-mass-from-water-content",
        result_name="water_density_in_soil_kgm3",
        result=result,
        wet_density_kgm3=wet_density_kgm3,
        water_content_pct=water_content_pct,
    )
    return result


def percent_compaction(
    *, dry_density_kgm3: Decimal, maximum_dry_density_kgm3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Percent compaction: the dry density in place as a percentage of the laboratory maximum.

    Validity: both densities > 0 kg/m3, of the same fraction of the soil. Raises `ImpossibleReading`.
    Source: ASTM D1556 and D6938, sections on report; AASHTO T 310 (from memory).

    >>> percent_compaction(dry_density_kgm3=Decimal("1900"), maximum_dry_density_kgm3=Decimal("2000"))
    Decimal('95')
    """
    if dry_density_kgm3 <= _ZERO:
        raise _not_positive(dry_density_kgm3, code="dry-density-not-positive", what="Dry density", unit="kg/m3")
    if maximum_dry_density_kgm3 <= _ZERO:
        raise _not_positive(
            maximum_dry_density_kgm3,
            code="maximum-not-positive",
            what="The reference maximum dry density",
            unit="kg/m3",
        )
    result = _HUNDRED * dry_density_kgm3 / maximum_dry_density_kgm3
    if sheet.keeps:
        sheet.add(
            "percent-compaction",
            result_name="percent_compaction",
            result=result,
            dry_density_kgm3=dry_density_kgm3,
            maximum_dry_density_kgm3=maximum_dry_density_kgm3,
        )
    return result


def required_dry_density_kgm3(*, maximum_dry_density_kgm3: Decimal, minimum_percent_compaction: Decimal) -> Decimal:
    """Dry density that just meets a minimum percent compaction, kg/m3: max x minimum / 100. Not rounded here.

    Validity: maximum > 0 kg/m3. Raises `ImpossibleReading`. Source: NAVEDTRA 14070, chapter 13, figure 13-3.

    >>> required_dry_density_kgm3(maximum_dry_density_kgm3=Decimal("2000"), minimum_percent_compaction=Decimal("95.0"))
    Decimal('1900.0')
    """
    if maximum_dry_density_kgm3 <= _ZERO:
        raise _not_positive(
            maximum_dry_density_kgm3,
            code="maximum-not-positive",
            what="The reference maximum dry density",
            unit="kg/m3",
        )
    return maximum_dry_density_kgm3 * minimum_percent_compaction / _HUNDRED
