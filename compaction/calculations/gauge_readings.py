"""What is read at a nuclear gauge: one reading, or several turned about the rod, with the offsets that belong to it.

Sources: ASTM D6938, AASHTO T 310, sections on procedure and report (clauses from memory).
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import LATER, Field, Values

MODES: Final = ("direct_transmission", "backscatter", "air_gap")
ROTATIONS: Final = ("average", "apart")
FACTOR_OF: Final = ("water", "water_content")
#: Four readings at right angles take the gauge once round.
MOST_TURNED: Final = 3

_WATER = (
    Field("water", "density", False, "Mass of water per volume as displayed", one_of="water"),
    Field("water_content", "percent", False, "Water content as displayed", one_of="water"),
)
_COUNTS = (
    Field("density_count", "count", False, "Density count"),
    Field("moisture_count", "count", False, "Moisture count"),
)

FIELDS: Final = (
    Field("mode", "choice", True, "Mode", choices=MODES),
    Field("depth", "length", False, "Depth of the source rod"),
    Field("serial", "text", False, "Serial number of the gauge"),
    Field("density_standard_count", "count", False, "Density standard count of the day"),
    Field("moisture_standard_count", "count", False, "Moisture standard count of the day"),
    Field("count_time", "time", False, "Count time"),
    *_COUNTS,
    Field("wet_density", "density", True, "Wet density as displayed"),
    *_WATER,
    Field(
        "water_offset",
        "group",
        False,
        "Moisture offset",
        fields=(
            Field("value", "density|percent", False, "Offset, added to the display", one_of="offset"),
            Field("factor", "number", False, "Factor on the display", one_of="offset"),
            Field("factor_of", "choice", False, "What the factor belongs to", choices=FACTOR_OF),
            Field("in_display", "yes_no", True, "Already in the display"),
        ),
    ),
    Field(
        "density_offset",
        "group",
        False,
        "Wet density offset",
        fields=(
            Field("value", "density", False, "Offset, added to the display", one_of="offset"),
            Field("factor", "number", False, "Factor on the display", one_of="offset"),
            Field("in_display", "yes_no", True, "Already in the display"),
        ),
    ),
    Field(
        "rotated",
        "groups",
        False,
        "Further readings, the gauge turned about the rod",
        fields=(
            Field("turned", "count", False, "Turned by, degrees"),
            Field("wet_density", "density", True, "Wet density as displayed"),
            *_WATER,
            *_COUNTS,
        ),
    ),
    Field("rotation", "choice", False, "Turned readings are", choices=ROTATIONS),
    Field(
        "trench",
        "group",
        False,
        "Trench or wall",
        fields=(
            Field("moisture_count", "count", True, "Moisture count on the block at the spot"),
            Field("in_display", "yes_no", True, "Already in the display"),
        ),
    ),
    Field("wall_distance", "length", False, "Distance to the nearest wall"),
    Field("other_source_distance", "length", False, "Distance to the nearest other gauge"),
)


@dataclass(frozen=True)
class TurnedReading:
    """A further reading at the same hole, the gauge turned, in kg/m3 and percent; water in the form of the first."""

    wet_density_kgm3: Decimal
    water_density_in_soil_kgm3: Decimal | None = None
    water_content_pct: Decimal | None = None
    turned_deg: int | None = None
    density_count: int | None = None
    moisture_count: int | None = None


@dataclass(frozen=True)
class NuclearGaugeReadings:
    """Readings of one gauge test, as displayed, in kg/m3, m, s and percent. One of the two forms of water is given.

    An offset is a mass of water per volume OR points of water content OR a factor on one of them, as it was determined;
    it is applied to the display unless the display has it already. `correction` names an adopted correction that
    supplied the offsets (see `gauge_adopted.with_correction`); crews never write it.
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
    offset_factor: Decimal | None = field(default=None, metadata=LATER)
    offset_factor_of: str = field(default="", metadata=LATER)  # "water" or "water_content"
    density_offset_kgm3: Decimal | None = field(default=None, metadata=LATER)
    density_factor: Decimal | None = field(default=None, metadata=LATER)
    density_offset_in_display: bool = field(default=False, metadata=LATER)
    rotated: tuple[TurnedReading, ...] = field(default=(), metadata=LATER)
    rotation: str = field(default="", metadata=LATER)  # "average" or "apart"
    trench_moisture_count: int | None = field(default=None, metadata=LATER)
    trench_in_display: bool = field(default=False, metadata=LATER)
    wall_distance_m: Decimal | None = field(default=None, metadata=LATER)
    other_source_distance_m: Decimal | None = field(default=None, metadata=LATER)
    correction: str = field(default="", metadata=LATER)

    @property
    def has_water_offset(self) -> bool:
        """Whether the test carries a moisture offset of its own, in the display or to be applied."""
        return self.offset_kgm3 is not None or self.offset_pct is not None or self.offset_factor is not None

    @property
    def has_density_offset(self) -> bool:
        """The same for the wet density."""
        return self.density_offset_kgm3 is not None or self.density_factor is not None


def read(values: Values) -> NuclearGaugeReadings:
    """Readings from the values of `FIELDS`. Raises `ReadingsError` for what contradicts itself.

    Source: ASTM D6938, section on report (from memory).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"mode": "backscatter", "wet_density": "120.2 pcf", "water_content": "26.8 %",
    ...     "water_offset": {"value": "-0.5 %", "in_display": False}}
    >>> read_readings("nuclear_gauge", 1, written).offset_pct
    Decimal('-0.5')
    """
    offset, density_offset, trench = (values.group(name) for name in ("water_offset", "density_offset", "trench"))
    given = "value" if offset and offset.optional_decimal("value") is not None else ""
    offset_kgm3 = offset.decimal("value") if offset and given and offset.kind("value") == "density" else None
    offset_pct = offset.decimal("value") if offset and given and offset.kind("value") == "percent" else None
    readings = NuclearGaugeReadings(
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
        offset_factor=offset.optional_decimal("factor") if offset else None,
        offset_factor_of=offset.text("factor_of") if offset else "",
        density_offset_kgm3=density_offset.optional_decimal("value") if density_offset else None,
        density_factor=density_offset.optional_decimal("factor") if density_offset else None,
        density_offset_in_display=density_offset.yes("in_display") if density_offset else False,
        rotated=tuple(_turned(one) for one in values.groups("rotated")),
        rotation=values.text("rotation"),
        trench_moisture_count=trench.optional_count("moisture_count") if trench else None,
        trench_in_display=trench.yes("in_display") if trench else False,
        wall_distance_m=values.optional_decimal("wall_distance"),
        other_source_distance_m=values.optional_decimal("other_source_distance"),
    )
    errors = _contradictions(readings)
    if errors:
        raise ReadingsError(errors)
    return readings


def _turned(values: Values) -> TurnedReading:
    return TurnedReading(
        wet_density_kgm3=values.decimal("wet_density"),
        water_density_in_soil_kgm3=values.optional_decimal("water"),
        water_content_pct=values.optional_decimal("water_content"),
        turned_deg=values.optional_count("turned"),
        density_count=values.optional_count("density_count"),
        moisture_count=values.optional_count("moisture_count"),
    )


def _contradictions(readings: NuclearGaugeReadings) -> list[ReadingError]:
    errors = []
    if (readings.offset_factor is None) != (not readings.offset_factor_of):
        sentence = "A factor belongs to 'water' (per volume) or to 'water_content'; a constant says so by its unit."
        errors.append(ReadingError("/water_offset/factor_of", "factor-of-what", sentence))
    for name, factor in (("water_offset", readings.offset_factor), ("density_offset", readings.density_factor)):
        if factor is not None and not Decimal("0.5") <= factor <= 2:
            errors.append(ReadingError(f"/{name}/factor", "out-of-range", "A factor lies between 0.5 and 2."))
    if len(readings.rotated) > MOST_TURNED:
        errors.append(ReadingError("/rotated", "too-many", f"At most {MOST_TURNED} further readings go round."))
    if bool(readings.rotated) != bool(readings.rotation):
        sentence = "Turned readings need 'rotation': are they averaged ('average') or judged 'apart'?"
        errors.append(ReadingError("/rotation", "rotation-and-readings", sentence))
    first_per_volume = readings.water_density_in_soil_kgm3 is not None
    for place, one in enumerate(readings.rotated):
        if (one.water_density_in_soil_kgm3 is not None) != first_per_volume:
            sentence = "All readings of a test show the water in the same form, per volume or as water content."
            errors.append(ReadingError(f"/rotated/{place}", "water-forms-differ", sentence))
        if one.turned_deg is not None and one.turned_deg not in (90, 180, 270):
            sentence = "The gauge is turned by 90, 180 or 270 degrees."
            errors.append(ReadingError(f"/rotated/{place}/turned", "out-of-range", sentence))
    return errors
