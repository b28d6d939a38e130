"""The sand cone: hole volume and wet density. The smallest hole for a particle size stands in `hole_sizes`.

Sources: ASTM D1556, AASHTO T 191 (clauses from memory).
"""

from dataclasses import dataclass, field
from decimal import Decimal

from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.hole_sizes import hole_findings, large_hole_findings
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import LATER, Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

#: Bulk density of usual sands, kg/m3; outside it the figure is more likely a slip than a sand (common practice).
USUAL_SAND_DENSITY_KGM3 = (Decimal(1300), Decimal(1650))

#: standards that a test may be held to: their tables of holes stand in `hole_sizes`
STANDARDS = ("ASTM D1556", "AASHTO T 191")

_STANDARDS = (
    "ASTM D1556, section on calculation; AASHTO T 191; the same arithmetic in BS 1377-9, clause 2, and IS 2720-28"
)
FORMULAS = (
    Formula("sand-cone-sand-out", "Sand run out", "M = M1 - M2", _STANDARDS),
    Formula("sand-cone-cone-mass", "Sand in cone and plate, given as a volume", "Mc = Vc rho_s", "BS 1377-9, clause 2"),
    Formula("sand-cone-hole-volume", "Volume of the hole", "V = (M - Mc) / rho_s", _STANDARDS),
    Formula("sand-cone-wet-density", "Wet density", "rho = m / V", _STANDARDS),
)

FIELDS = (
    Field("mass_before", "mass", True, "Mass of apparatus and sand before"),
    Field("mass_after", "mass", True, "Mass of apparatus and sand after"),
    Field("cone_and_plate_mass", "mass", False, "Mass of sand in cone and plate", one_of="cone"),
    Field("cone_and_plate_volume", "volume", False, "Volume of cone and plate", one_of="cone"),
    Field("sand_bulk_density", "density", True, "Bulk density of the sand"),
    Field("soil_wet_mass", "mass", True, "Wet mass of soil from the hole"),
    Field("empty_apparatus_mass", "mass", False, "Mass of the empty apparatus"),
    Field("standard", "choice", False, "Standard", choices=STANDARDS),
)


@dataclass(frozen=True)
class SandConeReadings:
    """Readings of one sand-cone test, in kg, m3 and kg/m3. Exactly one of the two cone corrections is given."""

    mass_before_kg: Decimal
    mass_after_kg: Decimal
    sand_bulk_density_kgm3: Decimal
    soil_wet_mass_kg: Decimal
    cone_and_plate_mass_kg: Decimal | None = None
    cone_and_plate_volume_m3: Decimal | None = None
    empty_apparatus_mass_kg: Decimal | None = None
    standard: str = field(default="", metadata=LATER)


def read(values: Values) -> SandConeReadings:
    """Readings from the values of `FIELDS`. Source: ASTM D1556, data sheet items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"mass_before": "6842 g", "mass_after": "2871 g", "cone_and_plate_mass": "1612 g",
    ...     "sand_bulk_density": "1.412 g/cm3", "soil_wet_mass": "3421 g"}
    >>> read_readings("sand_cone", 1, written).mass_before_kg
    Decimal('6.842')
    """
    return SandConeReadings(
        mass_before_kg=values.decimal("mass_before"),
        mass_after_kg=values.decimal("mass_after"),
        sand_bulk_density_kgm3=values.decimal("sand_bulk_density"),
        soil_wet_mass_kg=values.decimal("soil_wet_mass"),
        cone_and_plate_mass_kg=values.optional_decimal("cone_and_plate_mass"),
        cone_and_plate_volume_m3=values.optional_decimal("cone_and_plate_volume"),
        empty_apparatus_mass_kg=values.optional_decimal("empty_apparatus_mass"),
        standard=values.text("standard"),
    )


def work(readings: SandConeReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Hole volume and wet density of one test; the dry density needs a water content from elsewhere.

    Raises `ImpossibleReading` for masses that cannot be true. Source: ASTM D1556 section on calculation; AASHTO
    T 191 (from memory).

    >>> result = work(SandConeReadings(mass_before_kg=Decimal("6.842"), mass_after_kg=Decimal("2.871"),
    ...     sand_bulk_density_kgm3=Decimal(1412), soil_wet_mass_kg=Decimal("3.421"),
    ...     cone_and_plate_mass_kg=Decimal("1.612")))
    >>> round(result.wet_density_kgm3)
    2048
    """
    empty_kg = readings.empty_apparatus_mass_kg
    if empty_kg is not None and readings.mass_after_kg < empty_kg:
        raise _impossible(
            f"The apparatus weighs {readings.mass_after_kg:.4f} kg with the remaining sand but {empty_kg:.4f} kg "
            "empty. Check both masses.",
            readings.mass_after_kg,
            empty_kg,
        )
    volume_m3 = hole_volume_m3(
        mass_before_kg=readings.mass_before_kg,
        mass_after_kg=readings.mass_after_kg,
        sand_bulk_density_kgm3=readings.sand_bulk_density_kgm3,
        cone_and_plate_mass_kg=readings.cone_and_plate_mass_kg,
        cone_and_plate_volume_m3=readings.cone_and_plate_volume_m3,
        sheet=sheet,
    )
    if readings.soil_wet_mass_kg <= 0:
        raise _impossible(
            f"The soil from the hole weighs {readings.soil_wet_mass_kg:.4f} kg; it must be greater than zero.",
            readings.soil_wet_mass_kg,
            Decimal(0),
        )
    wet_kgm3 = readings.soil_wet_mass_kg / volume_m3
    if sheet.keeps:
        sheet.add(
            "sand-cone-wet-density",
            result_name="wet_density_kgm3",
            result=wet_kgm3,
            soil_wet_mass_kg=readings.soil_wet_mass_kg,
            hole_volume_m3=volume_m3,
        )
    return InPlace(
        wet_density_kgm3=wet_kgm3,
        hole_volume_m3=volume_m3,
        soil_wet_mass_kg=readings.soil_wet_mass_kg,
        findings=(
            *_sand_findings(readings.sand_bulk_density_kgm3),
            *large_hole_findings(hole_volume_m3=volume_m3, standard=readings.standard),
        ),
    )


def _impossible(sentence: str, value: Decimal, limit: Decimal) -> ImpossibleReading:
    return ImpossibleReading("impossible-mass", sentence, value=value, limit=limit, unit="kg")


def hole_volume_m3(
    *,
    mass_before_kg: Decimal,
    mass_after_kg: Decimal,
    sand_bulk_density_kgm3: Decimal,
    cone_and_plate_mass_kg: Decimal | None = None,
    cone_and_plate_volume_m3: Decimal | None = None,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Volume of the hole (m3): sand run out, less cone and plate, over the bulk density of the sand.

    The cone is given as a mass (kg) or as a volume (m3), exactly one. Raises `NotEnoughReadings` for none or both,
    `ImpossibleReading` where no sand remains for the hole. Source: ASTM D1556 section on calculation; AASHTO T 191
    (from memory); cone as a volume: BS 1377-9 and common practice (no source).

    >>> round(hole_volume_m3(mass_before_kg=Decimal("7.59"), mass_after_kg=Decimal("4.78"),
    ...     sand_bulk_density_kgm3=Decimal(1570), cone_and_plate_mass_kg=Decimal("0.545")), 7)
    Decimal('0.0014427')
    """
    if (cone_and_plate_mass_kg is None) == (cone_and_plate_volume_m3 is None):
        raise NotEnoughReadings(
            "cone-correction-needed",
            "Give the sand in cone and plate as a mass or as a volume, exactly one of them.",
            missing=("cone_and_plate_mass", "cone_and_plate_volume"),
        )
    if mass_after_kg < 0 or mass_after_kg >= mass_before_kg:
        raise _impossible(
            f"The apparatus weighs {mass_before_kg:.4f} kg before and {mass_after_kg:.4f} kg after the sand has run "
            "out; after must be at least zero and less than before. Check whether the two were exchanged.",
            mass_after_kg,
            mass_before_kg,
        )
    if sand_bulk_density_kgm3 <= 0:
        raise ImpossibleReading(
            "sand-density-not-positive",
            f"Bulk density of the sand is {sand_bulk_density_kgm3:.1f} kg/m3; it must be greater than zero.",
            value=sand_bulk_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    sand_out_kg = mass_before_kg - mass_after_kg
    if sheet.keeps:
        sheet.add(
            "sand-cone-sand-out",
            result_name="sand_out_kg",
            result=sand_out_kg,
            mass_before_kg=mass_before_kg,
            mass_after_kg=mass_after_kg,
        )
    cone_kg = cone_and_plate_mass_kg
    if cone_kg is None:
        assert cone_and_plate_volume_m3 is not None
        cone_kg = cone_and_plate_volume_m3 * sand_bulk_density_kgm3
        sheet.add(
            "sand-cone-cone-mass",
            result_name="cone_and_plate_mass_kg",
            result=cone_kg,
            cone_and_plate_volume_m3=cone_and_plate_volume_m3,
            sand_bulk_density_kgm3=sand_bulk_density_kgm3,
        )
    if cone_kg < 0 or cone_kg >= sand_out_kg:
        raise _impossible(
            f"{sand_out_kg:.4f} kg of sand ran out and cone and plate take {cone_kg:.4f} kg; nothing is left for the "
            "hole. Check the masses and the constant of cone and plate.",
            cone_kg,
            sand_out_kg,
        )
    volume_m3 = (sand_out_kg - cone_kg) / sand_bulk_density_kgm3
    if sheet.keeps:
        sheet.add(
            "sand-cone-hole-volume",
            result_name="hole_volume_m3",
            result=volume_m3,
            sand_out_kg=sand_out_kg,
            cone_and_plate_mass_kg=cone_kg,
            sand_bulk_density_kgm3=sand_bulk_density_kgm3,
        )
    return volume_m3


def _sand_findings(sand_bulk_density_kgm3: Decimal) -> tuple[Finding, ...]:
    low, high = USUAL_SAND_DENSITY_KGM3
    if low <= sand_bulk_density_kgm3 <= high:
        return ()
    return (
        Finding(
            code="sand-density-unusual",
            severity="validity",
            sentence=f"Bulk density of the sand is {sand_bulk_density_kgm3 / 1000:.3f} g/cm3; usual sands lie between "
            f"{low / 1000} and {high / 1000} g/cm3. Check the calibration of the sand.",
            numbers={"sand_bulk_density_kgm3": f"{sand_bulk_density_kgm3:.1f}"},
        ),
    )


def particle_findings(
    readings: SandConeReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Whether the hole is large enough for the largest particle (mm), by the standard named, else by ASTM D1556.

    Source: ASTM D1556 and AASHTO T 191, table 1 (from memory).

    >>> readings = SandConeReadings(Decimal(8), Decimal(5), Decimal(1500), Decimal(2), Decimal("1.5"))
    >>> [finding.code for finding in particle_findings(readings, work(readings), Decimal(12))]
    ['hole-too-small']
    """
    if in_place.hole_volume_m3 is None:
        return ()
    return hole_findings(
        hole_volume_m3=in_place.hole_volume_m3,
        maximum_particle_mm=maximum_particle_mm,
        standard=readings.standard or STANDARDS[0],
        editions=editions,
        sheet=sheet,
    )
