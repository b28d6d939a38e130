"""Sand replacement with a pouring cylinder: the same arithmetic as the sand cone, in the words of its own standards.

The sand in the hole is what ran out less what stands in the cone; over the bulk density of the sand that is the volume.
BS 1377-9 and IS 2720-28 write wet density as (mass of soil / mass of sand in the hole) x bulk density of the sand,
which is mass over volume: the worksheet therefore shows the sand cone's steps. Sources: BS 1377-9 clause 2,
IS 2720-28 (from memory).
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations import sand_cone
from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.hole_sizes import particle_beyond
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

#: pouring cylinder -> largest particle, mm: the small one serves fine- and medium-grained soils, the large one also
#: coarse-grained soils (BS 1377-9 clauses 2.1 and 2.2, grain sizes of BS 1377-1; from memory).
LARGEST_PARTICLES_MM: Final = {"small": Decimal(20), "large": Decimal("37.5")}

FIELDS = (
    Field("pouring_cylinder", "choice", True, "Pouring cylinder", choices=tuple(LARGEST_PARTICLES_MM)),
    Field("mass_before", "mass", True, "Cylinder and sand before pouring"),
    Field("mass_after", "mass", True, "Cylinder and sand after pouring"),
    Field("cone_mass", "mass", False, "Sand in the cone (and tray)", one_of="cone"),
    Field("cone_volume", "volume", False, "Volume of the cone (and tray)", one_of="cone"),
    Field("sand_bulk_density", "density", True, "Bulk density of the sand"),
    Field("soil_wet_mass", "mass", True, "Wet mass of soil from the hole"),
)


@dataclass(frozen=True)
class SandReplacementReadings:
    """Readings of one test with a pouring cylinder, in kg, m3 and kg/m3. Exactly one form of the cone is given."""

    pouring_cylinder: str
    mass_before_kg: Decimal
    mass_after_kg: Decimal
    sand_bulk_density_kgm3: Decimal
    soil_wet_mass_kg: Decimal
    cone_mass_kg: Decimal | None = None
    cone_volume_m3: Decimal | None = None


def read(values: Values) -> SandReplacementReadings:
    """Readings from the values of `FIELDS`. Source: BS 1377-9 clause 2, test report items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"pouring_cylinder": "small", "mass_before": "7.0 kg", "mass_after": "4.2 kg", "cone_mass": "450 g",
    ...     "sand_bulk_density": "1.45 Mg/m3", "soil_wet_mass": "3.3 kg"}
    >>> read_readings("sand_replacement", 1, written).pouring_cylinder
    'small'
    """
    return SandReplacementReadings(
        pouring_cylinder=values.text("pouring_cylinder"),
        mass_before_kg=values.decimal("mass_before"),
        mass_after_kg=values.decimal("mass_after"),
        sand_bulk_density_kgm3=values.decimal("sand_bulk_density"),
        soil_wet_mass_kg=values.decimal("soil_wet_mass"),
        cone_mass_kg=values.optional_decimal("cone_mass"),
        cone_volume_m3=values.optional_decimal("cone_volume"),
    )


def work(readings: SandReplacementReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Hole volume and wet density, worked as `sand_cone.work`; errors as there.

    Source: BS 1377-9 clause 2; IS 2720-28, section on calculation (from memory).

    >>> result = work(SandReplacementReadings("small", mass_before_kg=Decimal(7), mass_after_kg=Decimal("4.2"),
    ...     cone_mass_kg=Decimal("0.45"), sand_bulk_density_kgm3=Decimal(1450), soil_wet_mass_kg=Decimal("3.3")))
    >>> round(result.wet_density_kgm3)  # 3.3 / 2.35 x 1450
    2036
    """
    return sand_cone.work(
        sand_cone.SandConeReadings(
            mass_before_kg=readings.mass_before_kg,
            mass_after_kg=readings.mass_after_kg,
            sand_bulk_density_kgm3=readings.sand_bulk_density_kgm3,
            soil_wet_mass_kg=readings.soil_wet_mass_kg,
            cone_and_plate_mass_kg=readings.cone_mass_kg,
            cone_and_plate_volume_m3=readings.cone_volume_m3,
        ),
        sheet,
    )


def particle_findings(
    readings: SandReplacementReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Particles (mm) too large for the pouring cylinder. Source: BS 1377-9 clauses 2.1 and 2.2 (from memory).

    >>> readings = SandReplacementReadings("small", Decimal(7), Decimal("4.2"), Decimal(1450), Decimal("3.3"),
    ...     Decimal("0.45"))
    >>> [finding.code for finding in particle_findings(readings, work(readings), Decimal(28))]
    ['particle-beyond-method']
    """
    limit_mm = LARGEST_PARTICLES_MM[readings.pouring_cylinder]
    if maximum_particle_mm <= limit_mm:
        return ()
    standard = f"the {readings.pouring_cylinder} pouring cylinder (BS 1377-9)"
    remedy = "Use the large cylinder, or a test pit." if readings.pouring_cylinder == "small" else "Use a test pit."
    return (particle_beyond(maximum_particle_mm, limit_mm, standard=standard, remedy=remedy),)
