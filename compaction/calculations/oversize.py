"""Oversize correction between the fraction tested in the laboratory and the whole material in the fill.

Notation of the sources: Pc oversize and Pf control fraction, percent of the total dry mass; Gm bulk specific gravity
of the oversize (oven dry); gw density of water; D density of the whole, Df of the control fraction.
"""

from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.moisture import dry_mass_kg
from compaction.calculations.oversize_practices import OVERSIZE_LIMITS, PRACTICES
from compaction.calculations.worksheet import NO_SHEET, Worksheet

_HUNDRED = Decimal(100)
_ZERO = Decimal(0)
#: The sieves that may divide a material into control fraction and oversize; openings stand in `gradation.SIEVES`.
#: ASTM D5030 (2013), section 1.4.3: usually No. 4, of free-draining material 3 in.; 20 and 37.5 mm: BS 1377-4, IS 2720.
SIEVE_NAMES: Final = {
    "no4": "No. 4 (4.75 mm)",
    "three_eighths": "3/8 in. (9.5 mm)",
    "three_quarters": "3/4 in. (19 mm)",
    "twenty_mm": "20 mm (BS, IS)",
    "one_and_half": "1 1/2 in. (37.5 mm; BS and IS the same)",
    "three": "3 in. (75 mm)",
}


def correction_applies(*, oversize_pct: Decimal, sieve: str, practice: str = "astm_d4718") -> bool:
    """Whether this much oversize calls for the correction; up to the minimum it is left out.

    `oversize_pct` is percent of the total dry mass retained on `sieve`, a key of `SIEVE_NAMES`.
    Raises `OutsideValidity` beyond the maximum of the practice, or where the practice has no such sieve, and
    `ImpossibleReading` below 0 or from 100 %. Source: ASTM D4718 scope; AASHTO T 99 and T 180 annex.

    >>> correction_applies(oversize_pct=Decimal(18), sieve="no4"), correction_applies(
    ...     oversize_pct=Decimal(5), sieve="no4")
    (True, False)
    """
    _check_pct(oversize_pct)
    limits = OVERSIZE_LIMITS[practice].get(sieve)
    if limits is None:
        raise OutsideValidity(
            "oversize-sieve-not-covered",
            f"{PRACTICES[practice].name} states no oversize limits for the sieve {SIEVE_NAMES.get(sieve, sieve)}; "
            "choose another practice or sieve.",
        )
    if oversize_pct > limits.maximum_pct:
        raise OutsideValidity(
            "oversize-beyond-limit",
            f"Oversize of {oversize_pct:.2f} % on the {SIEVE_NAMES[sieve]} sieve is beyond the {limits.maximum_pct} % "
            f"up to which the correction holds ({limits.source}). Use a test fill or a method specification.",
            value=oversize_pct,
            limit=limits.maximum_pct,
            unit="%",
        )
    return oversize_pct > limits.minimum_pct


def _check_pct(oversize_pct: Decimal) -> None:
    if not _ZERO <= oversize_pct < _HUNDRED:
        raise ImpossibleReading(
            "oversize-out-of-range",
            f"Oversize is {oversize_pct:.2f} %; it must be at least 0 and below 100 % of the dry mass.",
            value=oversize_pct,
            limit=_HUNDRED,
            unit="%",
        )


def _solid_density_kgm3(*, bulk_specific_gravity: Decimal, water_density_kgm3: Decimal) -> Decimal:
    if bulk_specific_gravity <= _ZERO or water_density_kgm3 <= _ZERO:
        raise OutsideValidity(
            "specific-gravity-not-positive",
            f"Bulk specific gravity of the oversize is {bulk_specific_gravity} and the density of water "
            f"{water_density_kgm3:.1f} kg/m3; both must be greater than zero.",
            value=min(bulk_specific_gravity, water_density_kgm3),
            limit=Decimal(0),
        )
    return bulk_specific_gravity * water_density_kgm3


def corrected_maximum_dry_density_kgm3(
    *,
    maximum_dry_density_kgm3: Decimal,
    oversize_pct: Decimal,
    bulk_specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Maximum dry density of the whole material: 100 / (Pf/Df + Pc/(Gm gw)), kg/m3.

    Validity: see `correction_applies`; the formula itself takes 0 <= oversize < 100 %. Raises `ImpossibleReading`,
    `OutsideValidity`. Source: ASTM D4718 section on calculation; AASHTO T 99 and T 180 annex on oversize.

    >>> round(corrected_maximum_dry_density_kgm3(maximum_dry_density_kgm3=Decimal(2329), oversize_pct=Decimal(27),
    ...     bulk_specific_gravity=Decimal("2.697"), water_density_kgm3=Decimal(1000)))
    2418
    """
    _check_pct(oversize_pct)
    solid_kgm3 = _solid_density_kgm3(bulk_specific_gravity=bulk_specific_gravity, water_density_kgm3=water_density_kgm3)
    if maximum_dry_density_kgm3 <= 0:
        raise ImpossibleReading(
            "maximum-not-positive",
            f"The reference maximum dry density is {maximum_dry_density_kgm3:.1f} kg/m3; it must be greater than zero.",
            value=maximum_dry_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    control_pct = _HUNDRED - oversize_pct
    result = (
        _HUNDRED
        * maximum_dry_density_kgm3
        * solid_kgm3
        / (control_pct * solid_kgm3 + oversize_pct * maximum_dry_density_kgm3)
    )
    if sheet.keeps:
        sheet.add(
            "corrected-maximum",
            result_name="corrected_maximum_dry_density_kgm3",
            result=result,
            maximum_dry_density_kgm3=maximum_dry_density_kgm3,
            oversize_pct=oversize_pct,
            bulk_specific_gravity=bulk_specific_gravity,
            water_density_kgm3=water_density_kgm3,
        )
    return result


def total_water_content_pct(
    *, control_pct: Decimal, oversize_water_pct: Decimal, oversize_pct: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Water content of the whole material from those of control fraction and oversize: (wf Pf + wc Pc) / 100.

    All in percent of dry mass. Validity: 0 <= oversize < 100 %, water contents >= 0. Raises `ImpossibleReading`.
    Source: ASTM D4718 section on calculation; AASHTO T 99 and T 180 annex on oversize.

    >>> total_water_content_pct(control_pct=Decimal("12.0"), oversize_water_pct=Decimal("2.0"),
    ...     oversize_pct=Decimal(15))
    Decimal('10.5')
    """
    _check_pct(oversize_pct)
    _check_water(control_pct, oversize_water_pct)
    result = (control_pct * (_HUNDRED - oversize_pct) + oversize_water_pct * oversize_pct) / _HUNDRED
    if sheet.keeps:
        sheet.add(
            "total-water-content",
            result_name="total_water_content_pct",
            result=result,
            control_water_content_pct=control_pct,
            oversize_water_content_pct=oversize_water_pct,
            oversize_pct=oversize_pct,
        )
    return result


def _check_water(*values: Decimal) -> None:
    for value in values:
        if value < _ZERO:
            raise ImpossibleReading(
                "water-content-negative",
                f"Water content is {value:.2f} %; it cannot be below zero. Check the readings.",
                value=value,
                limit=Decimal(0),
                unit="%",
            )


def corrected_optimum_pct(
    *,
    optimum_water_content_pct: Decimal,
    oversize_pct: Decimal,
    oversize_water_content_pct: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Optimum water content of the whole material: (wopt Pf + wc Pc) / 100, percent.

    Validity and errors as `total_water_content_pct`. Source: ASTM D4718 section on calculation; AASHTO T 99 and
    T 180 annex on oversize.

    >>> corrected_optimum_pct(optimum_water_content_pct=Decimal("10.6"), oversize_pct=Decimal(27),
    ...     oversize_water_content_pct=Decimal("2.1"))
    Decimal('8.305')
    """
    result = total_water_content_pct(
        control_pct=optimum_water_content_pct, oversize_water_pct=oversize_water_content_pct, oversize_pct=oversize_pct
    )
    if sheet.keeps:
        sheet.add(
            "corrected-optimum",
            result_name="corrected_optimum_water_content_pct",
            result=result,
            optimum_water_content_pct=optimum_water_content_pct,
            oversize_water_content_pct=oversize_water_content_pct,
            oversize_pct=oversize_pct,
        )
    return result


def field_control_fraction_dry_density_kgm3(
    *,
    total_dry_density_kgm3: Decimal,
    oversize_pct: Decimal,
    bulk_specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    sieve: str = "",
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Dry density of the control fraction in place, from that of the whole: Pf / (100/D - Pc/(Gm gw)), kg/m3.

    Validity: 0 <= oversize < 100 %; the oversize must leave volume for the control fraction. Raises
    `ImpossibleReading`, `OutsideValidity`. Source: ASTM D4718 section on calculation, field to control fraction.

    >>> field_control_fraction_dry_density_kgm3(total_dry_density_kgm3=Decimal(2000), oversize_pct=Decimal(0),
    ...     bulk_specific_gravity=Decimal("2.6"), water_density_kgm3=Decimal(1000))
    Decimal('2000')
    """
    _check_pct(oversize_pct)
    solid_kgm3 = _solid_density_kgm3(bulk_specific_gravity=bulk_specific_gravity, water_density_kgm3=water_density_kgm3)
    if total_dry_density_kgm3 <= 0:
        raise ImpossibleReading(
            "dry-density-not-positive",
            f"Dry density is {total_dry_density_kgm3:.1f} kg/m3; it must be greater than zero.",
            value=total_dry_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    room = _HUNDRED * solid_kgm3 - oversize_pct * total_dry_density_kgm3
    if room <= 0:
        raise ImpossibleReading(
            "oversize-fills-the-hole",
            f"Oversize of {oversize_pct:.2f} % at {solid_kgm3:.1f} kg/m3 alone would fill the volume at a total dry "
            f"density of {total_dry_density_kgm3:.1f} kg/m3. Check oversize mass, specific gravity and hole volume.",
            value=total_dry_density_kgm3,
            limit=_HUNDRED * solid_kgm3 / oversize_pct,
            unit="kg/m3",
        )
    result = (_HUNDRED - oversize_pct) * total_dry_density_kgm3 * solid_kgm3 / room
    sheet.add(
        "control-fraction-dry-density",
        result_name="control_fraction_dry_density_kgm3",
        result=result,
        note=f"passing {SIEVE_NAMES[sieve]}" if sieve else "",
        total_dry_density_kgm3=total_dry_density_kgm3,
        oversize_pct=oversize_pct,
        bulk_specific_gravity=bulk_specific_gravity,
        water_density_kgm3=water_density_kgm3,
    )
    return result


def field_control_fraction_water_content_pct(
    *,
    total_water_content_pct: Decimal,
    oversize_water_content_pct: Decimal,
    oversize_pct: Decimal,
    sieve: str = "",
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Water content of the control fraction, from that of the whole: (100 w - wc Pc) / Pf, percent.

    Validity: 0 <= oversize < 100 %. Raises `ImpossibleReading` where the oversize alone would hold more water than
    there is. Source: ASTM D4718 section on calculation, field to control fraction.

    >>> round(field_control_fraction_water_content_pct(total_water_content_pct=Decimal("8.305"),
    ...     oversize_water_content_pct=Decimal("2.1"), oversize_pct=Decimal(27)), 6)
    Decimal('10.600000')
    """
    _check_pct(oversize_pct)
    _check_water(total_water_content_pct, oversize_water_content_pct)
    result = (_HUNDRED * total_water_content_pct - oversize_water_content_pct * oversize_pct) / (
        _HUNDRED - oversize_pct
    )
    if result < 0:
        raise ImpossibleReading(
            "oversize-wetter-than-whole",
            f"The oversize at {oversize_water_content_pct:.2f} % would hold more water than the whole at "
            f"{total_water_content_pct:.2f} %. Check which fraction each water content belongs to.",
            value=result,
            limit=Decimal(0),
            unit="%",
        )
    sheet.add(
        "control-fraction-water-content",
        result_name="control_fraction_water_content_pct",
        result=result,
        note=f"passing {SIEVE_NAMES[sieve]}" if sieve else "",
        total_water_content_pct=total_water_content_pct,
        oversize_water_content_pct=oversize_water_content_pct,
        oversize_pct=oversize_pct,
    )
    return result


def oversize_pct_from_masses(
    *,
    total_wet_mass_kg: Decimal,
    oversize_wet_mass_kg: Decimal,
    oversize_water_content_pct: Decimal,
    control_water_content_pct: Decimal | None = None,
    total_water_content_pct: Decimal | None = None,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Oversize in percent of the total dry mass, from wet masses (kg) and the water content of control OR whole.

    Raises `NotEnoughReadings` unless exactly one of the two water contents is given, `ImpossibleReading` where the
    oversize weighs more than the whole. Source: ASTM D4718 section on calculation (dry masses, from memory).

    >>> oversize_pct_from_masses(total_wet_mass_kg=Decimal("3.3"), oversize_wet_mass_kg=Decimal("0.55"),
    ...     oversize_water_content_pct=Decimal("10"), total_water_content_pct=Decimal("10")).quantize(Decimal("0.01"))
    Decimal('16.67')
    """
    if (control_water_content_pct is None) == (total_water_content_pct is None):
        raise NotEnoughReadings(
            "fraction-water-content-needed",
            "Give the water content of the control fraction or of the whole material, one of them.",
            missing=("water_content",),
        )
    if total_wet_mass_kg <= 0 or not 0 <= oversize_wet_mass_kg < total_wet_mass_kg:
        raise ImpossibleReading(
            "impossible-mass",
            f"Oversize of {oversize_wet_mass_kg:.4f} kg out of {total_wet_mass_kg:.4f} kg: it must be at least zero "
            "and less than the whole. Check the masses.",
            value=oversize_wet_mass_kg,
            limit=total_wet_mass_kg,
            unit="kg",
        )
    oversize_dry_kg = dry_mass_kg(wet_mass_kg=oversize_wet_mass_kg, water_content_pct=oversize_water_content_pct)
    numbers = {
        "total_wet_mass_kg": total_wet_mass_kg,
        "oversize_wet_mass_kg": oversize_wet_mass_kg,
        "oversize_water_content_pct": oversize_water_content_pct,
    }
    if total_water_content_pct is not None:
        total_dry_kg = dry_mass_kg(wet_mass_kg=total_wet_mass_kg, water_content_pct=total_water_content_pct)
        step, numbers["total_water_content_pct"] = "oversize-from-total", total_water_content_pct
    else:
        assert control_water_content_pct is not None
        control_wet_kg = total_wet_mass_kg - oversize_wet_mass_kg
        total_dry_kg = oversize_dry_kg + dry_mass_kg(
            wet_mass_kg=control_wet_kg, water_content_pct=control_water_content_pct
        )
        step, numbers["control_water_content_pct"] = "oversize-from-control", control_water_content_pct
    result = _HUNDRED * oversize_dry_kg / total_dry_kg
    _check_pct(result)
    sheet.add_named(step, numbers, result_name="oversize_pct", result=result)
    return result
