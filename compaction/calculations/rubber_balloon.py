"""The rubber balloon: hole volume by the water pressed into the hole, less the reading on the flat surface.

Sources: ASTM D2167, AASHTO T 205 (withdrawn); clauses from memory.
"""

from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.formula import Formula
from compaction.calculations.hole_sizes import hole_findings
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

STANDARD = "ASTM D2167"

FORMULAS = (
    Formula("balloon-hole-volume", "Volume of the hole", "V = V2 - V1", "ASTM D2167, section on calculation"),
    Formula("balloon-wet-density", "Wet density", "rho = m / V", "ASTM D2167, section on calculation"),
)

FIELDS = (
    Field("initial_volume", "volume", True, "Volume reading on the plate, before digging"),
    Field("final_volume", "volume", True, "Volume reading in the hole"),
    Field("soil_wet_mass", "mass", True, "Wet mass of soil from the hole"),
    Field("pressures_differ", "yes_no", False, "Pressure or surcharge differed between plate and hole"),
)


@dataclass(frozen=True)
class RubberBalloonReadings:
    """Readings of one balloon test, in m3 and kg."""

    initial_volume_m3: Decimal
    final_volume_m3: Decimal
    soil_wet_mass_kg: Decimal
    pressures_differ: bool = False


def read(values: Values) -> RubberBalloonReadings:
    """Readings from the values of `FIELDS`. Source: ASTM D2167, data sheet items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"initial_volume": "538 cm3", "final_volume": "1288 cm3", "soil_wet_mass": "1465 g"}
    >>> read_readings("rubber_balloon", 1, written).final_volume_m3
    Decimal('0.001288')
    """
    return RubberBalloonReadings(
        initial_volume_m3=values.decimal("initial_volume"),
        final_volume_m3=values.decimal("final_volume"),
        soil_wet_mass_kg=values.decimal("soil_wet_mass"),
        pressures_differ=values.yes("pressures_differ"),
    )


def work(readings: RubberBalloonReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Hole volume and wet density of one test; the dry density needs a water content from elsewhere.

    Raises `ImpossibleReading` where the hole would have no volume or the soil no mass. Source: ASTM D2167, section
    on calculation (from memory).

    >>> result = work(RubberBalloonReadings(initial_volume_m3=Decimal("0.000538"),
    ...     final_volume_m3=Decimal("0.001288"), soil_wet_mass_kg=Decimal("1.465")))
    >>> round(result.wet_density_kgm3, 1)
    Decimal('1953.3')
    """
    volume_m3 = balloon_volume_m3(
        initial_volume_m3=readings.initial_volume_m3, final_volume_m3=readings.final_volume_m3, sheet=sheet
    )
    if readings.soil_wet_mass_kg <= 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"The soil from the hole weighs {readings.soil_wet_mass_kg:.4f} kg; it must be greater than zero.",
            value=readings.soil_wet_mass_kg,
            limit=Decimal(0),
            unit="kg",
        )
    wet_kgm3 = readings.soil_wet_mass_kg / volume_m3
    sheet.add(
        "balloon-wet-density",
        result_name="wet_density_kgm3",
        result=wet_kgm3,
        soil_wet_mass_kg=readings.soil_wet_mass_kg,
        hole_volume_m3=volume_m3,
    )
    return InPlace(
        wet_density_kgm3=wet_kgm3,
        hole_volume_m3=volume_m3,
        soil_wet_mass_kg=readings.soil_wet_mass_kg,
        findings=_findings(readings),
    )


def balloon_volume_m3(*, initial_volume_m3: Decimal, final_volume_m3: Decimal, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Volume of the hole: reading in the hole less reading on the plate, m3. Validity: 0 <= initial < final.

    Raises `ImpossibleReading`. Source: ASTM D2167, section on calculation (from memory).

    >>> balloon_volume_m3(initial_volume_m3=Decimal("0.000538"), final_volume_m3=Decimal("0.001288"))
    Decimal('0.000750')
    """
    if not 0 <= initial_volume_m3 < final_volume_m3:
        raise ImpossibleReading(
            "impossible-volume",
            f"The balloon reads {initial_volume_m3 * 1_000_000:.1f} cm3 on the plate and "
            f"{final_volume_m3 * 1_000_000:.1f} cm3 in the hole; the first must be at least zero and less than the "
            "second. Check whether the two were exchanged.",
            value=final_volume_m3,
            limit=initial_volume_m3,
            unit="m3",
        )
    result = final_volume_m3 - initial_volume_m3
    sheet.add(
        "balloon-hole-volume",
        result_name="hole_volume_m3",
        result=result,
        final_volume_m3=final_volume_m3,
        initial_volume_m3=initial_volume_m3,
    )
    return result


def _findings(readings: RubberBalloonReadings) -> tuple[Finding, ...]:
    if not readings.pressures_differ:
        return ()
    return (
        Finding(
            code="balloon-pressures-differ",
            severity="validity",
            sentence="Plate and hole were not read at the same pressure and surcharge: the balloon then fills the two "
            "differently and the volume is off by an unknown amount (ASTM D2167). Repeat the test beside this one.",
        ),
    )


def particle_findings(
    readings: RubberBalloonReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Whether the hole is large enough for the largest particle (mm). Source: ASTM D2167, table 1 (from memory).

    >>> readings = RubberBalloonReadings(Decimal("0.000538"), Decimal("0.001288"), Decimal("1.465"))
    >>> [finding.code for finding in particle_findings(readings, work(readings), Decimal("12.5"))]
    ['hole-too-small']
    """
    if in_place.hole_volume_m3 is None:
        return ()
    return hole_findings(
        hole_volume_m3=in_place.hole_volume_m3,
        maximum_particle_mm=maximum_particle_mm,
        standard=STANDARD,
        editions=editions,
        sheet=sheet,
    )
