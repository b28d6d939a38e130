"""The drive cylinder or core cutter: soil cut flush in a cylinder of known volume.

Sources: ASTM D2937, BS 1377-9 (core cutter), IS 2720-29; clauses from memory.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.calibration import cylinder_volume_m3
from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.hole_sizes import particle_beyond
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

#: The smallest cylinder, m3: 0.033 ft3, about that of the 4-in. mould (ASTM D2937, section on apparatus, from memory).
SMALLEST_CYLINDER_M3: Final = Decimal("0.000940")
#: The largest particle, mm: the method is for soil without an appreciable amount above the No. 4 sieve (ASTM D2937,
#: scope, from memory).
LARGEST_PARTICLE_MM: Final = Decimal("4.75")

FORMULAS = (
    Formula("cylinder-volume", "Volume of the cylinder", "V = pi d^2 h / 4", "ASTM D2937, section on calibration"),
    Formula(
        "cylinder-wet-density",
        "Wet density in the cylinder",
        "rho = (M1 - M2) / V",
        "ASTM D2937, section on calculation; BS 1377-9, core cutter method; IS 2720-29",
    ),
)

FIELDS = (
    Field("cylinder_and_soil_mass", "mass", True, "Mass of cylinder and soil"),
    Field("cylinder_mass", "mass", True, "Mass of the empty cylinder"),
    Field("cylinder_volume", "volume", False, "Volume of the cylinder", one_of="volume"),
    Field(
        "cylinder",
        "group",
        False,
        "Cylinder by its inside dimensions",
        one_of="volume",
        fields=(
            Field("inside_diameter", "length", True, "Inside diameter"),
            Field("height", "length", True, "Height"),
        ),
    ),
    Field("depth_to_top", "length", False, "Depth to the top of the specimen"),
    Field("ends_not_flush", "yes_no", False, "An end is not flush, or has voids or stones in it"),
)


@dataclass(frozen=True)
class DriveCylinderReadings:
    """Readings of one cylinder, in kg, m3 and m: the volume given, or the inside dimensions."""

    cylinder_and_soil_mass_kg: Decimal
    cylinder_mass_kg: Decimal
    cylinder_volume_m3: Decimal | None = None
    inside_diameter_m: Decimal | None = None
    height_m: Decimal | None = None
    depth_to_top_m: Decimal | None = None
    ends_not_flush: bool = False


def read(values: Values) -> DriveCylinderReadings:
    """Readings from the values of `FIELDS`. Source: ASTM D2937, data sheet items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"cylinder_and_soil_mass": "3150 g", "cylinder_mass": "1200 g",
    ...     "cylinder": {"inside_diameter": "100 mm", "height": "130 mm"}}
    >>> read_readings("drive_cylinder", 1, written).height_m
    Decimal('0.130')
    """
    cylinder = values.group("cylinder")
    return DriveCylinderReadings(
        cylinder_and_soil_mass_kg=values.decimal("cylinder_and_soil_mass"),
        cylinder_mass_kg=values.decimal("cylinder_mass"),
        cylinder_volume_m3=values.optional_decimal("cylinder_volume"),
        inside_diameter_m=cylinder.decimal("inside_diameter") if cylinder else None,
        height_m=cylinder.decimal("height") if cylinder else None,
        depth_to_top_m=values.optional_decimal("depth_to_top"),
        ends_not_flush=values.yes("ends_not_flush"),
    )


def work(readings: DriveCylinderReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Wet density of the soil in the cylinder; the dry density needs a water content from elsewhere.

    Raises `ImpossibleReading` for masses or sizes that cannot be, `NotEnoughReadings` without a volume. Source:
    ASTM D2937, section on calculation; BS 1377-9, core cutter method (from memory).

    >>> result = work(DriveCylinderReadings(cylinder_and_soil_mass_kg=Decimal("3.15"),
    ...     cylinder_mass_kg=Decimal("1.2"), cylinder_volume_m3=Decimal("0.001")))
    >>> result.wet_density_kgm3
    Decimal('1.95E+3')
    """
    volume_m3 = _volume_m3(readings, sheet)
    full_kg, empty_kg = readings.cylinder_and_soil_mass_kg, readings.cylinder_mass_kg
    if not 0 < empty_kg < full_kg:
        raise ImpossibleReading(
            "impossible-mass",
            f"The cylinder weighs {full_kg:.4f} kg with soil and {empty_kg:.4f} kg empty; empty must be above zero and "
            "less than full. Check whether the two were exchanged.",
            value=full_kg,
            limit=empty_kg,
            unit="kg",
        )
    soil_kg = full_kg - empty_kg
    wet_kgm3 = soil_kg / volume_m3
    sheet.add(
        "cylinder-wet-density",
        result_name="wet_density_kgm3",
        result=wet_kgm3,
        cylinder_and_soil_mass_kg=full_kg,
        cylinder_mass_kg=empty_kg,
        cylinder_volume_m3=volume_m3,
    )
    return InPlace(wet_density_kgm3=wet_kgm3, soil_wet_mass_kg=soil_kg, findings=tuple(_findings(readings, volume_m3)))


def _volume_m3(readings: DriveCylinderReadings, sheet: Worksheet) -> Decimal:
    volume_m3 = readings.cylinder_volume_m3
    if volume_m3 is not None:
        if volume_m3 <= 0:
            raise ImpossibleReading(
                "impossible-volume",
                f"The volume of the cylinder is {volume_m3 * 1_000_000:.1f} cm3; it must be greater than zero.",
                value=volume_m3,
                limit=Decimal(0),
                unit="m3",
            )
        return volume_m3
    diameter_m, height_m = readings.inside_diameter_m, readings.height_m
    if diameter_m is None or height_m is None:
        raise NotEnoughReadings(
            "cylinder-volume-needed",
            "Give the volume of the cylinder, or its inside diameter and height.",
            missing=("cylinder_volume", "cylinder"),
        )
    if diameter_m <= 0 or height_m <= 0:
        raise ImpossibleReading(
            "impossible-volume",
            f"The cylinder is {diameter_m * 1000:.2f} mm wide and {height_m * 1000:.2f} mm high; both must be greater "
            "than zero.",
            value=min(diameter_m, height_m),
            limit=Decimal(0),
            unit="m",
        )
    volume_m3 = cylinder_volume_m3(diameter_m=diameter_m, height_m=height_m)
    sheet.add(
        "cylinder-volume",
        result_name="cylinder_volume_m3",
        result=volume_m3,
        inside_diameter_m=diameter_m,
        height_m=height_m,
    )
    return volume_m3


def _findings(readings: DriveCylinderReadings, volume_m3: Decimal) -> list[Finding]:
    findings = []
    if volume_m3 < SMALLEST_CYLINDER_M3:
        findings.append(
            Finding(
                code="cylinder-too-small",
                severity="validity",
                sentence=f"The cylinder of {volume_m3 * 1_000_000:.0f} cm3 is smaller than the "
                f"{SMALLEST_CYLINDER_M3 * 1_000_000:.0f} cm3 that ASTM D2937 wants. Use a larger one.",
                numbers={"cylinder_volume_cm3": f"{volume_m3 * 1_000_000:.0f}"},
            )
        )
    if readings.ends_not_flush:
        findings.append(
            Finding(
                code="ends-not-flush",
                severity="validity",
                sentence="The ends of the specimen were not flush with the cylinder, or had voids or stones in them: "
                "its volume is not that of the cylinder (a void reads low). Discard it and take another.",
            )
        )
    return findings


def particle_findings(
    readings: DriveCylinderReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Particles (mm) too large for a driven cylinder. Source: ASTM D2937, scope (from memory).

    >>> readings = DriveCylinderReadings(Decimal("3.15"), Decimal("1.2"), Decimal("0.001"))
    >>> [finding.code for finding in particle_findings(readings, work(readings), Decimal(25))]
    ['particle-beyond-method']
    """
    if maximum_particle_mm <= LARGEST_PARTICLE_MM:
        return ()
    remedy = "Use a method that digs a hole."
    return (particle_beyond(maximum_particle_mm, LARGEST_PARTICLE_MM, standard="ASTM D2937", remedy=remedy),)
