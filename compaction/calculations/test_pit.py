"""Test pits in coarse or rocky fill: the volume by sand poured in, or by water on a liner.

Both methods report the whole material and the control fraction; the control fraction follows from the oversize that
is sent with the test (`oversize`), so that it is worked in one place for every method.
Sources: ASTM D4914 (sand), ASTM D5030 (water); sections on calculation from memory.
"""

from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.formula import Formula
from compaction.calculations.hole_sizes import hole_findings, pit_volume_findings
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values
from compaction.calculations.water_density import water_density_at_kgm3
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

BY_SAND = "ASTM D4914"
BY_WATER = "ASTM D5030"

FORMULAS = (
    Formula(
        "pit-volume-by-sand", "Volume of the pit by sand", "V = (M - Mf) / rho_s", "ASTM D4914, section on calculation"
    ),
    Formula("pit-filling-by-mass", "Water as a volume", "V = m / rho_w(T)", "ASTM D5030, section on calculation"),
    Formula(
        "pit-volume-by-water",
        "Volume of the pit by water, liner added",
        "V = Vpit - Vring + Vliner",
        "ASTM D5030, section on calculation",
    ),
    Formula(
        "pit-wet-density", "Wet density of the whole", "rho = m / V", "ASTM D4914 and D5030, section on calculation"
    ),
)

SAND_FIELDS = (
    Field("sand_poured", "mass", True, "Sand poured into pit and frame"),
    Field("frame_sand", "mass", True, "Sand that fills the frame above the ground"),
    Field("sand_bulk_density", "density", True, "Bulk density of the sand"),
    Field("soil_wet_mass", "mass", True, "Wet mass of all that was dug out"),
)
WATER_FIELDS = (
    Field("pit_water_mass", "mass", False, "Water that fills pit and ring, mass", one_of="pit"),
    Field("pit_water_volume", "volume", False, "Water that fills pit and ring, metered", one_of="pit"),
    Field("ring_water_mass", "mass", False, "Water that fills the ring before digging, mass", one_of="ring"),
    Field("ring_water_volume", "volume", False, "Water that fills the ring before digging, metered", one_of="ring"),
    Field("water_temperature", "temperature", True, "Temperature of the water"),
    Field("liner_volume", "volume", True, "Volume of the liner inside the pit"),
    Field("soil_wet_mass", "mass", True, "Wet mass of all that was dug out"),
)


@dataclass(frozen=True)
class SandPitReadings:
    """Readings of a pit filled with sand, in kg and kg/m3."""

    sand_poured_kg: Decimal
    frame_sand_kg: Decimal
    sand_bulk_density_kgm3: Decimal
    soil_wet_mass_kg: Decimal


@dataclass(frozen=True)
class WaterPitReadings:
    """Readings of a lined pit filled with water, in kg, m3 and deg C. Each filling is weighed or metered."""

    water_temperature_degc: Decimal
    liner_volume_m3: Decimal
    soil_wet_mass_kg: Decimal
    pit_water_mass_kg: Decimal | None = None
    pit_water_volume_m3: Decimal | None = None
    ring_water_mass_kg: Decimal | None = None
    ring_water_volume_m3: Decimal | None = None


def read_sand(values: Values) -> SandPitReadings:
    """Readings from the values of `SAND_FIELDS`. Source: ASTM D4914, data sheet items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"sand_poured": "98 kg", "frame_sand": "14 kg", "sand_bulk_density": "1400 kg/m3",
    ...     "soil_wet_mass": "132 kg"}
    >>> read_readings("test_pit_sand", 1, written).frame_sand_kg
    Decimal('14')
    """
    return SandPitReadings(
        sand_poured_kg=values.decimal("sand_poured"),
        frame_sand_kg=values.decimal("frame_sand"),
        sand_bulk_density_kgm3=values.decimal("sand_bulk_density"),
        soil_wet_mass_kg=values.decimal("soil_wet_mass"),
    )


def read_water(values: Values) -> WaterPitReadings:
    """Readings from the values of `WATER_FIELDS`. Source: ASTM D5030, data sheet items (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"pit_water_mass": "640 kg", "ring_water_mass": "121 kg", "water_temperature": "59 degF",
    ...     "liner_volume": "900 cm3", "soil_wet_mass": "1142 kg"}
    >>> round(read_readings("test_pit_water", 1, written).water_temperature_degc)
    15
    """
    return WaterPitReadings(
        water_temperature_degc=values.decimal("water_temperature"),
        liner_volume_m3=values.decimal("liner_volume"),
        soil_wet_mass_kg=values.decimal("soil_wet_mass"),
        pit_water_mass_kg=values.optional_decimal("pit_water_mass"),
        pit_water_volume_m3=values.optional_decimal("pit_water_volume"),
        ring_water_mass_kg=values.optional_decimal("ring_water_mass"),
        ring_water_volume_m3=values.optional_decimal("ring_water_volume"),
    )


def work_sand(readings: SandPitReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Pit volume and wet density of the whole material, by sand: (poured - frame) / bulk density of the sand.

    Raises `ImpossibleReading`. Source: ASTM D4914, section on calculation (from memory).

    >>> result = work_sand(SandPitReadings(sand_poured_kg=Decimal(98), frame_sand_kg=Decimal(14),
    ...     sand_bulk_density_kgm3=Decimal(1400), soil_wet_mass_kg=Decimal(132)))
    >>> result.hole_volume_m3, result.wet_density_kgm3
    (Decimal('0.06'), Decimal('2.2E+3'))
    """
    if not 0 <= readings.frame_sand_kg < readings.sand_poured_kg:
        raise _impossible(
            f"{readings.sand_poured_kg:.3f} kg of sand was poured and the frame takes {readings.frame_sand_kg:.3f} kg; "
            "nothing is left for the pit. Check both masses.",
            readings.frame_sand_kg,
            readings.sand_poured_kg,
        )
    if readings.sand_bulk_density_kgm3 <= 0:
        raise ImpossibleReading(
            "sand-density-not-positive",
            f"Bulk density of the sand is {readings.sand_bulk_density_kgm3:.1f} kg/m3; it must be greater than zero.",
            value=readings.sand_bulk_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    volume_m3 = (readings.sand_poured_kg - readings.frame_sand_kg) / readings.sand_bulk_density_kgm3
    sheet.add(
        "pit-volume-by-sand",
        result_name="hole_volume_m3",
        result=volume_m3,
        sand_poured_kg=readings.sand_poured_kg,
        frame_sand_kg=readings.frame_sand_kg,
        sand_bulk_density_kgm3=readings.sand_bulk_density_kgm3,
    )
    return _in_place(volume_m3, readings.soil_wet_mass_kg, BY_SAND, sheet)


def work_water(readings: WaterPitReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Pit volume and wet density of the whole material, by water: pit less ring, with the liner added.

    The water stands inside the liner, so the pit is larger than the water by the liner's own volume. Validity: water
    of 0 to 40 deg C. Raises `ImpossibleReading`, `OutsideValidity`, `NotEnoughReadings`. Source: ASTM D5030, section on
    calculation (from memory).

    >>> result = work_water(WaterPitReadings(water_temperature_degc=Decimal(15), liner_volume_m3=Decimal("0.0009"),
    ...     soil_wet_mass_kg=Decimal(1142), pit_water_mass_kg=Decimal(640), ring_water_mass_kg=Decimal(121)))
    >>> round(result.hole_volume_m3, 4), round(result.wet_density_kgm3)
    (Decimal('0.5204'), 2195)
    """
    water_kgm3 = water_density_at_kgm3(temperature_degc=readings.water_temperature_degc)
    pit_m3 = _filling_m3(readings.pit_water_mass_kg, readings.pit_water_volume_m3, water_kgm3, "pit", sheet)
    ring_m3 = _filling_m3(readings.ring_water_mass_kg, readings.ring_water_volume_m3, water_kgm3, "ring", sheet)
    if not 0 <= ring_m3 < pit_m3:
        raise ImpossibleReading(
            "impossible-volume",
            f"The ring took {ring_m3:.4f} m3 of water before digging and the pit with the ring {pit_m3:.4f} m3; the "
            "first must be at least zero and less than the second. Check whether the two were exchanged.",
            value=ring_m3,
            limit=pit_m3,
            unit="m3",
        )
    if not 0 <= readings.liner_volume_m3 < pit_m3 - ring_m3:
        raise ImpossibleReading(
            "impossible-volume",
            f"A liner of {readings.liner_volume_m3:.4f} m3 does not go into a pit that took {pit_m3 - ring_m3:.4f} m3 "
            "of water. Its volume is its area inside the pit times its thickness.",
            value=readings.liner_volume_m3,
            limit=pit_m3 - ring_m3,
            unit="m3",
        )
    volume_m3 = pit_m3 - ring_m3 + readings.liner_volume_m3
    sheet.add(
        "pit-volume-by-water",
        result_name="hole_volume_m3",
        result=volume_m3,
        pit_filling_m3=pit_m3,
        ring_filling_m3=ring_m3,
        liner_volume_m3=readings.liner_volume_m3,
    )
    return _in_place(volume_m3, readings.soil_wet_mass_kg, BY_WATER, sheet)


def _filling_m3(
    mass_kg: Decimal | None, volume_m3: Decimal | None, water_kgm3: Decimal, name: str, sheet: Worksheet
) -> Decimal:
    if volume_m3 is not None:
        return volume_m3
    if mass_kg is None:
        raise NotEnoughReadings(
            "water-filling-needed",
            f"Give the water that fills the {name}, as a mass or as a metered volume.",
            missing=(f"{name}_water_mass", f"{name}_water_volume"),
        )
    result = mass_kg / water_kgm3
    numbers = {f"{name}_water_mass_kg": mass_kg, "water_density_kgm3": water_kgm3}
    sheet.add_named("pit-filling-by-mass", numbers, result_name=f"{name}_filling_m3", result=result)
    return result


def _impossible(sentence: str, value: Decimal, limit: Decimal) -> ImpossibleReading:
    return ImpossibleReading("impossible-mass", sentence, value=value, limit=limit, unit="kg")


def _in_place(volume_m3: Decimal, soil_kg: Decimal, standard: str, sheet: Worksheet) -> InPlace:
    if soil_kg <= 0:
        raise _impossible(
            f"The material from the pit weighs {soil_kg:.3f} kg; it must be greater than zero.", soil_kg, Decimal(0)
        )
    wet_kgm3 = soil_kg / volume_m3
    sheet.add(
        "pit-wet-density",
        result_name="wet_density_kgm3",
        result=wet_kgm3,
        soil_wet_mass_kg=soil_kg,
        hole_volume_m3=volume_m3,
    )
    return InPlace(
        wet_density_kgm3=wet_kgm3,
        hole_volume_m3=volume_m3,
        soil_wet_mass_kg=soil_kg,
        findings=pit_volume_findings(pit_volume_m3=volume_m3, standard=standard),
    )


def sand_particle_findings(
    readings: SandPitReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Whether the pit by sand is large enough for the largest particle (mm). Source: ASTM D4914 (from memory).

    >>> readings = SandPitReadings(Decimal(70), Decimal(14), Decimal(1400), Decimal(88))
    >>> [finding.code for finding in sand_particle_findings(readings, work_sand(readings), Decimal(125))]
    ['hole-too-small']
    """
    return _particles(in_place, maximum_particle_mm, BY_SAND, editions, sheet)


def water_particle_findings(
    readings: WaterPitReadings,
    in_place: InPlace,
    maximum_particle_mm: Decimal,
    *,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Whether the pit by water is large enough for the largest particle (mm). Source: ASTM D5030 (from memory).

    >>> readings = WaterPitReadings(Decimal(15), Decimal(0), Decimal(1142), pit_water_mass_kg=Decimal(640),
    ...     ring_water_mass_kg=Decimal(121))
    >>> [finding.code for finding in water_particle_findings(readings, work_water(readings), Decimal(300))]
    ['hole-too-small']
    """
    return _particles(in_place, maximum_particle_mm, BY_WATER, editions, sheet)


def _particles(
    in_place: InPlace, maximum_particle_mm: Decimal, standard: str, editions: Editions, sheet: Worksheet
) -> tuple[Finding, ...]:
    if in_place.hole_volume_m3 is None:
        return ()
    return hole_findings(
        hole_volume_m3=in_place.hole_volume_m3,
        maximum_particle_mm=maximum_particle_mm,
        standard=standard,
        editions=editions,
        sheet=sheet,
    )
