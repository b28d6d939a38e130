"""Points of a curve as the bench writes them: mould and soil, cans from top and bottom, or figures from before."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values, read_fields
from compaction.observation.description import readings_schema
from compaction.records.reading import list_of

MOST_POINTS, MOST_CANS = 40, 6
POINT_FIELDS: Final = (
    Field("dry_density", "density", False, "Dry density", one_of="density"),
    Field("wet_density", "density", False, "Wet density", one_of="density"),
    Field("mould_and_soil", "mass", False, "Mould with moist soil", one_of="density"),
    Field("water_content", "percent", False, "Water content"),
    Field("mould", "text", False, "Serial number of the mould"),
    Field("mould_volume", "volume", False, "Volume of the mould"),
    Field("mould_mass", "mass", False, "Mass of the empty mould"),
    Field("rejected", "yes_no", False, "Rejected"),
    Field("why", "text", False, "Why it is rejected"),
)
CAN_FIELDS: Final = (
    Field("can", "text", False, "Can"),
    Field("place", "choice", False, "Taken from", ("top", "middle", "bottom", "whole")),
    Field("wet_and_can", "mass", True, "Moist soil with can"),
    Field("dry_and_can", "mass", True, "Dry soil with can"),
    Field("can_mass", "mass", True, "Empty can"),
)
#: what a reference states once for all of its points
MOULD_FIELDS: Final = (
    Field("mould", "text", False, "Serial number of the mould"),
    Field("mould_volume", "volume", False, "Volume of the mould"),
    Field("mould_mass", "mass", False, "Mass of the empty mould"),
)


@dataclass(frozen=True)
class Can:
    """One can: where its soil came from and its three masses, kg."""

    label: str
    place: str
    masses_kg: Mapping[str, Decimal]


@dataclass(frozen=True)
class BenchPoint:
    """One compacted specimen as written."""

    number: int
    values: Values
    cans: tuple[Can, ...] = ()

    @property
    def raw(self) -> bool:
        """Whether anything is left to be worked out."""
        return self.values.optional_decimal("dry_density") is None or bool(self.cans)


def read_points(written: Any, pointer: str) -> list[BenchPoint]:
    """The points as written. Raises `ReadingError`, `ReadingsError` with every problem."""
    if not isinstance(written, list) or len(written) > MOST_POINTS:
        raise ReadingError(pointer, "not-a-list", f"A list of at most {MOST_POINTS} entries is wanted here.")
    errors: list[ReadingError] = []
    points: list[BenchPoint] = []
    for index, entry in enumerate(written):
        try:
            points.append(_read(entry, f"{pointer}/{index}", index + 1))
        except ReadingError as error:
            errors.append(error)
        except ReadingsError as several:
            errors.extend(several.errors)
    if errors:
        raise ReadingsError(errors)
    return points


def _read(entry: Any, pointer: str, number: int) -> BenchPoint:
    if not isinstance(entry, Mapping):
        raise ReadingError(pointer, "not-an-object", "An object with named members is wanted here, {...}.")
    values = read_fields(POINT_FIELDS, {name: value for name, value in entry.items() if name != "cans"}, pointer)
    cans = list_of(_can, CAN_FIELDS, at_most=MOST_CANS)(entry["cans"], f"{pointer}/cans") if "cans" in entry else []
    if ("water_content" in entry) == bool(cans):
        found = "both are given" if cans else "none is given"
        sentence = f"Give 'water_content' or 'cans', exactly one; {found}."
        raise ReadingError(f"{pointer}/water_content", "exactly-one-of", sentence)
    return BenchPoint(number, values, tuple(cans))


def _can(values: Values) -> Can:
    masses = {
        "wet_and_can_kg": values.decimal("wet_and_can"),
        "dry_and_can_kg": values.decimal("dry_and_can"),
        "can_kg": values.decimal("can_mass"),
    }
    return Can(values.text("can"), values.text("place"), masses)


def schema() -> dict[str, Any]:
    """JSON Schema of one point."""
    made = readings_schema(POINT_FIELDS)
    made["properties"]["cans"] = {
        "type": "array",
        "minItems": 1,
        "maxItems": MOST_CANS,
        "items": readings_schema(CAN_FIELDS),
    }
    made["allOf"] = [*made.get("allOf", []), {"oneOf": [{"required": [name]} for name in ("water_content", "cans")]}]
    return made
