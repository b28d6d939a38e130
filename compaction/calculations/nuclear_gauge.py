"""The nuclear gauge: wet density and water as displayed, with an offset applied only where the display has none.

Sources: ASTM D6938, AASHTO T 310 (clauses from memory).
"""

from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.density import (
    dry_density_kgm3,
    dry_from_water_mass_kgm3,
    water_content_from_water_mass_pct,
    water_mass_from_water_content_kgm3,
)
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding, WaterContentReading

MODES = ("direct_transmission", "backscatter", "air_gap")

FORMULAS = (
    Formula(
        "gauge-offset-water",
        "Moisture offset as water per volume",
        "M = M_display + offset",
        "ASTM D6938, annex on moisture adjustment",
    ),
    Formula(
        "gauge-offset-points",
        "Moisture offset in points of water content",
        "w = w_display + offset",
        "ASTM D6938, annex on moisture adjustment",
    ),
)

FIELDS = (
    Field("mode", "choice", True, "Mode", choices=MODES),
    Field("depth", "length", False, "Depth of the source rod"),
    Field("serial", "text", False, "Serial number of the gauge"),
    Field("density_standard_count", "count", False, "Density standard count of the day"),
    Field("moisture_standard_count", "count", False, "Moisture standard count of the day"),
    Field("count_time", "time", False, "Count time"),
    Field("density_count", "count", False, "Density count"),
    Field("moisture_count", "count", False, "Moisture count"),
    Field("wet_density", "density", True, "Wet density as displayed"),
    Field("water", "density", False, "Mass of water per volume as displayed", one_of="water"),
    Field("water_content", "percent", False, "Water content as displayed", one_of="water"),
    Field(
        "water_offset",
        "group",
        False,
        "Moisture offset",
        fields=(
            Field("value", "density|percent", True, "Offset, added to the display"),
            Field("in_display", "yes_no", True, "Already in the display"),
        ),
    ),
)


@dataclass(frozen=True)
class NuclearGaugeReadings:
    """Readings of one gauge test, as displayed, in kg/m3, m, s and percent. One of the two forms of water is given.

    An offset is a mass of water per volume OR points of water content, as it was determined; it is added to the
    display unless the display has it already.
    """

    mode: str
    wet_density_kgm3: Decimal
    water_density_in_soil_kgm3: Decimal | None = None
    water_content_pct: Decimal | None = None
    depth_m: Decimal | None = None
    serial: str = ""
    density_standard_count: int | None = None
    moisture_standard_count: int | None = None
    count_time_s: Decimal | None = None
    density_count: int | None = None
    moisture_count: int | None = None
    offset_kgm3: Decimal | None = None
    offset_pct: Decimal | None = None
    offset_in_display: bool = False


def read(values: Values) -> NuclearGaugeReadings:
    """Readings from the values of `FIELDS`. Source: ASTM D6938, section on report (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"mode": "backscatter", "wet_density": "120.2 pcf", "water_content": "26.8 %",
    ...     "water_offset": {"value": "-0.5 %", "in_display": False}}
    >>> read_readings("nuclear_gauge", 1, written).offset_pct
    Decimal('-0.5')
    """
    offset = values.group("water_offset")
    offset_kgm3 = offset.decimal("value") if offset and offset.kind("value") == "density" else None
    offset_pct = offset.decimal("value") if offset and offset.kind("value") == "percent" else None
    return NuclearGaugeReadings(
        mode=values.text("mode"),
        wet_density_kgm3=values.decimal("wet_density"),
        water_density_in_soil_kgm3=values.optional_decimal("water"),
        water_content_pct=values.optional_decimal("water_content"),
        depth_m=values.optional_decimal("depth"),
        serial=values.text("serial"),
        density_standard_count=values.optional_count("density_standard_count"),
        moisture_standard_count=values.optional_count("moisture_standard_count"),
        count_time_s=values.optional_decimal("count_time"),
        density_count=values.optional_count("density_count"),
        moisture_count=values.optional_count("moisture_count"),
        offset_kgm3=offset_kgm3,
        offset_pct=offset_pct,
        offset_in_display=offset.yes("in_display") if offset else False,
    )


def work(readings: NuclearGaugeReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Wet density, dry density and water content by the gauge itself; an oven value may replace the water later.

    Validity: wet density > 0, water below it. Raises `ImpossibleReading`, `NotEnoughReadings`.
    Source: ASTM D6938 section on calculation and annex on moisture adjustment; AASHTO T 310 (from memory).

    >>> result = work(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2200),
    ...     water_content_pct=Decimal(10)))
    >>> result.dry_density_kgm3, result.water_contents[0].method
    (Decimal('2000'), 'gauge')
    """
    if readings.wet_density_kgm3 <= 0:
        raise ImpossibleReading(
            "wet-density-not-positive",
            f"Wet density is {readings.wet_density_kgm3:.1f} kg/m3; it must be greater than zero. Check the reading.",
            value=readings.wet_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    water_pct, dry_kgm3 = _water_and_dry(readings, sheet)
    return InPlace(
        wet_density_kgm3=readings.wet_density_kgm3,
        dry_density_kgm3=dry_kgm3,
        water_density_in_soil_kgm3=readings.wet_density_kgm3 - dry_kgm3,
        water_contents=(WaterContentReading(method="gauge", fraction="total", water_content_pct=water_pct),),
        findings=_findings(readings),
    )


def _water_and_dry(readings: NuclearGaugeReadings, sheet: Worksheet) -> tuple[Decimal, Decimal]:
    """Water content (%) and dry density (kg/m3). A mass offset works on the mass, points work on the points.

    The two kinds of offset agree only at the density at which they were found (ASTM D6938, annex on moisture
    adjustment, from memory), so neither is converted into the other.
    """
    wet_kgm3 = readings.wet_density_kgm3
    offset_kgm3 = None if readings.offset_in_display else readings.offset_kgm3
    offset_pct = None if readings.offset_in_display else readings.offset_pct
    water_kgm3 = readings.water_density_in_soil_kgm3
    water_pct = readings.water_content_pct
    if (water_kgm3 is None) == (water_pct is None):
        raise NotEnoughReadings(
            "gauge-water-needed",
            "Give the water as displayed, per volume or as water content, exactly one of them.",
            missing=("water", "water_content"),
        )
    if water_pct is not None and offset_kgm3 is not None:
        water_kgm3 = water_mass_from_water_content_kgm3(
            wet_density_kgm3=wet_kgm3, water_content_pct=water_pct, sheet=sheet
        )
    dry_kgm3 = None
    if water_kgm3 is not None:
        if offset_kgm3 is not None:
            displayed_kgm3 = water_kgm3
            water_kgm3 = displayed_kgm3 + offset_kgm3
            sheet.add(
                "gauge-offset-water",
                result_name="water_density_in_soil_kgm3",
                result=water_kgm3,
                displayed_water_kgm3=displayed_kgm3,
                offset_kgm3=offset_kgm3,
            )
        dry_kgm3 = dry_from_water_mass_kgm3(
            wet_density_kgm3=wet_kgm3, water_density_in_soil_kgm3=water_kgm3, sheet=sheet
        )
        water_pct = water_content_from_water_mass_pct(
            dry_density_kgm3=dry_kgm3, water_density_in_soil_kgm3=water_kgm3, sheet=sheet
        )
    assert water_pct is not None
    if offset_pct is not None:
        displayed_pct, water_pct, dry_kgm3 = water_pct, water_pct + offset_pct, None
        sheet.add(
            "gauge-offset-points",
            result_name="water_content_pct",
            result=water_pct,
            displayed_water_content_pct=displayed_pct,
            offset_pct=offset_pct,
        )
    if dry_kgm3 is None:
        dry_kgm3 = dry_density_kgm3(wet_density_kgm3=wet_kgm3, water_content_pct=water_pct, sheet=sheet)
    return water_pct, dry_kgm3


def _findings(readings: NuclearGaugeReadings) -> tuple[Finding, ...]:
    findings = []
    missing = [
        name
        for name, count in (
            ("density", readings.density_standard_count),
            ("moisture", readings.moisture_standard_count),
        )
        if count is None
    ]
    if missing:
        findings.append(
            Finding(
                code="standard-count-missing",
                severity="validity",
                sentence=f"The {' and '.join(missing)} standard count of the day is not given; without it nobody can "
                "show that the gauge was stable (ASTM D6938). Add it.",
            )
        )
    depth_m = readings.depth_m
    if readings.mode == "direct_transmission" and (depth_m is None or depth_m <= 0):
        findings.append(
            Finding(
                code="depth-missing",
                severity="validity",
                sentence="Direct transmission needs the depth of the source rod; it is not given or zero. Add it.",
            )
        )
    if readings.mode != "direct_transmission" and depth_m is not None and depth_m != 0:
        findings.append(
            Finding(
                code="mode-and-depth-disagree",
                severity="validity",
                sentence=f"A depth of {depth_m * 1000:.0f} mm does not go with the mode "
                f"{readings.mode.replace('_', ' ')}, "
                "which reads from the surface. Check mode and depth.",
                numbers={"depth_mm": f"{depth_m * 1000:.0f}"},
            )
        )
    return tuple(findings)
