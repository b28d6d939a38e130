"""Wet density and water of a gauge from what it displays: turned readings averaged, offsets applied in their own unit.

An offset of the water is a mass per volume, points of water content, or a factor on one of the two. They agree only at
the density at which they were found (ASTM D6938, annex on moisture adjustment, from memory): none is turned into
another.
"""

from dataclasses import replace
from decimal import Decimal

from compaction.calculations.density import (
    dry_density_kgm3,
    dry_from_water_mass_kgm3,
    water_content_from_water_mass_pct,
    water_mass_from_water_content_kgm3,
)
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.gauge_readings import NuclearGaugeReadings, TurnedReading
from compaction.calculations.worksheet import NO_SHEET, Worksheet

_ANNEX = "ASTM D6938, annex on moisture adjustment"
#: The step of a gauge's dry density: the formula is that of every method, the clause is the gauge's own.
DRY_DENSITY_STEP = "gauge-dry-density"

FORMULAS = (
    Formula("gauge-offset-water", "Moisture offset as water per volume", "M = M_display + offset", _ANNEX),
    Formula("gauge-offset-points", "Moisture offset in points of water content", "w = w_display + offset", _ANNEX),
    Formula("gauge-factor-water", "Moisture factor on water per volume", "M = k M_display", "Alberta ATT-48/95", False),
    Formula("gauge-factor-points", "Moisture factor on water content", "w = k w_display", "Alberta ATT-48/95", False),
    Formula(
        "gauge-offset-density", "Wet density offset", "rho = rho_display + offset", "ASTM D6938, section on calibration"
    ),
    Formula("gauge-factor-density", "Wet density factor", "rho = k rho_display", "Alberta ATT-48/95", False),
    Formula(
        "gauge-mean-density",
        "Mean wet density of the turned readings",
        "rho = (rho_1 + ... + rho_n) / n",
        "ASTM D6938, section on procedure",
    ),
    Formula(
        "gauge-mean-water",
        "Mean water per volume of the turned readings",
        "M = (M_1 + ... + M_n) / n",
        "ASTM D6938, section on procedure",
    ),
    Formula(
        "gauge-mean-points",
        "Mean water content of the turned readings",
        "w = (w_1 + ... + w_n) / n",
        "ASTM D6938, section on procedure",
    ),
    Formula(
        DRY_DENSITY_STEP,
        "Dry density",
        "rho_d = rho / (1 + w/100)",
        "ASTM D6938, section on calculation; AASHTO T 310",
    ),
)


def averaged(readings: NuclearGaugeReadings, sheet: Worksheet = NO_SHEET) -> NuclearGaugeReadings:
    """One reading in place of several turned ones: the plain mean of wet density and water.

    Validity: all show the water in the same form. Source: ASTM D6938 and AASHTO T 310, procedure (from memory).

    >>> from compaction.calculations.gauge_readings import TurnedReading
    >>> averaged(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000), water_content_pct=Decimal(12),
    ...     rotated=(TurnedReading(Decimal(2020), water_content_pct=Decimal(11)),))).wet_density_kgm3
    Decimal('2010')
    """
    if not readings.rotated:
        return readings
    wet = [readings.wet_density_kgm3, *(one.wet_density_kgm3 for one in readings.rotated)]
    every: tuple[NuclearGaugeReadings | TurnedReading, ...] = (readings, *readings.rotated)
    masses = [one.water_density_in_soil_kgm3 for one in every if one.water_density_in_soil_kgm3 is not None]
    points = [one.water_content_pct for one in every if one.water_content_pct is not None]
    return replace(
        readings,
        wet_density_kgm3=_mean("gauge-mean-density", "wet_density_kgm3", wet, sheet),
        water_density_in_soil_kgm3=(
            _mean("gauge-mean-water", "water_density_in_soil_kgm3", masses, sheet) if masses else None
        ),
        water_content_pct=_mean("gauge-mean-points", "water_content_pct", points, sheet) if points else None,
        rotated=(),
        rotation="",
    )


def _mean(step: str, name: str, values: list[Decimal], sheet: Worksheet) -> Decimal:
    mean = sum(values, Decimal(0)) / len(values)
    numbers = {f"reading_{number}_{name}": value for number, value in enumerate(values, 1)}
    sheet.add_named(step, numbers, result_name=name, result=mean)
    return mean


def wet_density_kgm3(readings: NuclearGaugeReadings, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Wet density with its offset or factor, unless the display has it. Raises `ImpossibleReading` if not above zero.

    Source: ASTM D6938, section on calibration; Alberta ATT-48/95 (factors, read).

    >>> wet_density_kgm3(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000),
    ...     density_offset_kgm3=Decimal(-12)))
    Decimal('1988')
    """
    wet = displayed = readings.wet_density_kgm3
    if not readings.density_offset_in_display:
        if readings.density_offset_kgm3 is not None:
            wet = displayed + readings.density_offset_kgm3
            sheet.add(
                "gauge-offset-density",
                result_name="wet_density_kgm3",
                result=wet,
                note=_note(readings),
                displayed_wet_density_kgm3=displayed,
                offset_kgm3=readings.density_offset_kgm3,
            )
        elif readings.density_factor is not None:
            wet = displayed * readings.density_factor
            sheet.add(
                "gauge-factor-density",
                result_name="wet_density_kgm3",
                result=wet,
                note=_note(readings),
                displayed_wet_density_kgm3=displayed,
                factor=readings.density_factor,
            )
    if wet <= 0:
        raise ImpossibleReading(
            "wet-density-not-positive",
            f"Wet density is {wet:.1f} kg/m3; it must be greater than zero. Check the reading.",
            value=wet,
            limit=Decimal(0),
            unit="kg/m3",
        )
    return wet


def _note(readings: NuclearGaugeReadings) -> str:
    return f"adopted correction {readings.correction}" if readings.correction else ""


def water_and_dry(
    readings: NuclearGaugeReadings, *, wet_density_kgm3: Decimal, sheet: Worksheet = NO_SHEET
) -> tuple[Decimal, Decimal]:
    """Water content (%) and dry density (kg/m3) with the offset of the water applied in its own unit.

    Validity: one form of the water is given. Raises `NotEnoughReadings`, `ImpossibleReading`.
    Source: ASTM D6938 section on calculation and annex on moisture adjustment; AASHTO T 310 (from memory).

    >>> water_and_dry(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2200),
    ...     water_density_in_soil_kgm3=Decimal(210), offset_kgm3=Decimal(-10)), wet_density_kgm3=Decimal(2200))
    (Decimal('10'), Decimal('2000'))
    """
    water_kgm3, water_pct = readings.water_density_in_soil_kgm3, readings.water_content_pct
    if (water_kgm3 is None) == (water_pct is None):
        raise NotEnoughReadings(
            "gauge-water-needed",
            "Give the water as displayed, per volume or as water content, exactly one of them.",
            missing=("water", "water_content"),
        )
    applied = not readings.offset_in_display
    per_volume = applied and (readings.offset_kgm3 is not None or readings.offset_factor_of == "water")
    points = applied and (readings.offset_pct is not None or readings.offset_factor_of == "water_content")
    if water_pct is not None and per_volume:
        water_kgm3 = water_mass_from_water_content_kgm3(
            wet_density_kgm3=wet_density_kgm3, water_content_pct=water_pct, sheet=sheet
        )
    dry_kgm3 = None
    if water_kgm3 is not None:
        if per_volume:
            water_kgm3 = _water_per_volume(readings, water_kgm3, sheet)
        dry_kgm3 = dry_from_water_mass_kgm3(
            wet_density_kgm3=wet_density_kgm3, water_density_in_soil_kgm3=water_kgm3, sheet=sheet
        )
        water_pct = water_content_from_water_mass_pct(
            dry_density_kgm3=dry_kgm3, water_density_in_soil_kgm3=water_kgm3, sheet=sheet
        )
    assert water_pct is not None
    if points:
        water_pct, dry_kgm3 = _points(readings, water_pct, sheet), None
    if dry_kgm3 is None:
        dry_kgm3 = dry_density_kgm3(
            wet_density_kgm3=wet_density_kgm3, water_content_pct=water_pct, sheet=sheet, step=DRY_DENSITY_STEP
        )
    return water_pct, dry_kgm3


def _water_per_volume(readings: NuclearGaugeReadings, displayed_kgm3: Decimal, sheet: Worksheet) -> Decimal:
    offset, factor = readings.offset_kgm3, readings.offset_factor
    water_kgm3 = displayed_kgm3 + offset if offset is not None else displayed_kgm3 * (factor or 1)
    sheet.add_named(
        "gauge-offset-water" if offset is not None else "gauge-factor-water",
        {"displayed_water_kgm3": displayed_kgm3, **_named(offset, factor, "offset_kgm3")},
        result_name="water_density_in_soil_kgm3",
        result=water_kgm3,
        note=_note(readings),
    )
    return water_kgm3


def _points(readings: NuclearGaugeReadings, displayed_pct: Decimal, sheet: Worksheet) -> Decimal:
    offset, factor = readings.offset_pct, readings.offset_factor
    water_pct = displayed_pct + offset if offset is not None else displayed_pct * (factor or 1)
    sheet.add_named(
        "gauge-offset-points" if offset is not None else "gauge-factor-points",
        {"displayed_water_content_pct": displayed_pct, **_named(offset, factor, "offset_pct")},
        result_name="water_content_pct",
        result=water_pct,
        note=_note(readings),
    )
    return water_pct


def _named(offset: Decimal | None, factor: Decimal | None, name: str) -> dict[str, Decimal]:
    return {name: offset} if offset is not None else {"factor": factor or Decimal(1)}
