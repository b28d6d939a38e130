"""Figures taken from an old sheet that has no readings: kept as stated, and checked against each other."""

from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.formula import Formula
from compaction.calculations.in_place import InPlace
from compaction.calculations.quantities import from_si
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding, WaterContentReading

#: How far wet / (1 + w) may lie from the stated dry density: three figures rounded to 0.1 lb/ft3 and 0.1 %.
SHEET_TOLERANCE_KGM3 = Decimal("3.2")

FORMULAS = (
    Formula(
        "transcribed-dry-density",
        "Dry density as stated on the sheet",
        "rho_d = stated",
        "common practice (no source)",
    ),
)

FIELDS = (
    Field("dry_density", "density", True, "Dry density on the sheet"),
    Field("water_content", "percent", False, "Water content on the sheet"),
    Field("wet_density", "density", False, "Wet density on the sheet"),
)


@dataclass(frozen=True)
class TranscribedReadings:
    """Figures as stated on a sheet, in kg/m3 and percent of the dry mass."""

    dry_density_kgm3: Decimal
    water_content_pct: Decimal | None = None
    wet_density_kgm3: Decimal | None = None


def read(values: Values) -> TranscribedReadings:
    """Readings from the values of `FIELDS`. Source: common practice (no source).

    >>> from compaction.calculations.methods import read_readings
    >>> read_readings("transcribed", 1, {"dry_density": "109.8 pcf", "water_content": "15.1 %"}).water_content_pct
    Decimal('15.1')
    """
    return TranscribedReadings(
        dry_density_kgm3=values.decimal("dry_density"),
        water_content_pct=values.optional_decimal("water_content"),
        wet_density_kgm3=values.optional_decimal("wet_density"),
    )


def work(readings: TranscribedReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """The stated figures; a wet density that does not go with them is a finding, "sheet-densities-disagree".

    Raises `ImpossibleReading` for a density that is not above zero. Source: common practice (no source); the
    check is wet / (1 + w/100), ASTM D1556 section on calculation (from memory).

    >>> result = work(TranscribedReadings(dry_density_kgm3=Decimal(1800), water_content_pct=Decimal(10),
    ...     wet_density_kgm3=Decimal(2100)))
    >>> [finding.code for finding in result.findings]
    ['sheet-densities-disagree']
    """
    dry_kgm3 = readings.dry_density_kgm3
    for value, words in ((dry_kgm3, "dry"), (readings.wet_density_kgm3, "wet")):
        if value is not None and value <= 0:
            raise ImpossibleReading(
                f"{words}-density-not-positive",
                f"{words.capitalize()} density is {value:.1f} kg/m3; it must be greater than zero. Check the sheet.",
                value=value,
                limit=Decimal(0),
                unit="kg/m3",
            )
    sheet.add("transcribed-dry-density", result_name="dry_density_kgm3", result=dry_kgm3, stated_kgm3=dry_kgm3)
    water_pct = readings.water_content_pct
    stated = () if water_pct is None else (WaterContentReading("stated", "total", water_content_pct=water_pct),)
    return InPlace(
        wet_density_kgm3=readings.wet_density_kgm3,
        dry_density_kgm3=dry_kgm3,
        water_contents=stated,
        findings=_findings(readings),
    )


def _findings(readings: TranscribedReadings) -> tuple[Finding, ...]:
    wet_kgm3, water_pct = readings.wet_density_kgm3, readings.water_content_pct
    if wet_kgm3 is None or water_pct is None or water_pct < 0:
        return ()
    expected_kgm3 = wet_kgm3 * 100 / (100 + water_pct)
    if abs(expected_kgm3 - readings.dry_density_kgm3) <= SHEET_TOLERANCE_KGM3:
        return ()
    expected_pcf, stated_pcf = from_si(expected_kgm3, "pcf"), from_si(readings.dry_density_kgm3, "pcf")
    return (
        Finding(
            code="sheet-densities-disagree",
            severity="validity",
            sentence=f"Wet density and water content on the sheet give a dry density of {expected_kgm3:.1f} kg/m3 "
            f"({expected_pcf:.1f} pcf); the sheet states {readings.dry_density_kgm3:.1f} kg/m3 ({stated_pcf:.1f} pcf). "
            "Check for exchanged digits or columns.",
            numbers={
                "expected_kgm3": f"{expected_kgm3:.1f}",
                "stated_kgm3": f"{readings.dry_density_kgm3:.1f}",
            },
        ),
    )
