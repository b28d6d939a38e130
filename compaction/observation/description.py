"""The body of a test described for machines: fields for forms, a JSON Schema for the API's document."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from compaction.calculations import methods
from compaction.calculations.moisture_standards import MOISTURE_STANDARDS
from compaction.calculations.quantities import UNITS
from compaction.calculations.readings import MOST_GROUPS
from compaction.calculations.readings import Field as ReadingField
from compaction.observation import choices, one_point, rapid
from compaction.observation.choices import LENGTHS
from compaction.observation.spot import spot_schema

_PRINTED_EXAMPLES: Final = {"volume": "1671 cm3", "density": "113.7 pcf", "percent": "96.4 %"}
_NUMBER: Final = r"-?(0|[1-9][0-9]{0,6})(\.[0-9]{1,6})?"
_UUID: Final = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"


@dataclass(frozen=True)
class FieldDescription:
    """One member of the body. `kind`: text, lines, choice, quantity, number, whole, flag, time, uuid."""

    pointer: str
    kind: str
    label: str
    required: bool = False
    unit_kind: str = ""  # of a quantity: a key of `quantities.UNITS`
    choices: Mapping[str, str] | None = None
    longest: int | None = None
    example: str = ""


def _field(pointer: str, kind: str, label: str, **more: Any) -> FieldDescription:
    return FieldDescription(pointer, kind, label, **more)


def _quantity(pointer: str, unit_kind: str, label: str, example: str, **more: Any) -> FieldDescription:
    return FieldDescription(pointer, "quantity", label, unit_kind=unit_kind, example=example, **more)


#: the members of a test apart from readings and water contents, in the order of the entry form
FIELDS: Final[tuple[FieldDescription, ...]] = (
    _field("/performed_at", "time", "Performed at", required=True, example="2026-06-03T09:15:00-06:00"),
    _field("/label", "text", "Test number", longest=LENGTHS["label"], example="1201"),
    _field("/technician", "text", "Technician", longest=LENGTHS["name"], example="m.okafor"),
    _field("/purpose", "choice", "Purpose", required=True, choices=choices.PURPOSES, example="acceptance"),
    _field(
        "/method",
        "choice",
        "Method",
        required=True,
        choices={code: method.title for code, method in methods.METHODS.items()},
        example="sand_cone",
    ),
    _field("/oversize/sieve", "choice", "Sieve", choices=choices.SIEVES, example="no4"),
    _field("/oversize/basis", "choice", "Basis of the oversize", choices=choices.OVERSIZE_BASES, example="this_hole"),
    _quantity("/oversize/percent", "percent", "Oversize, of the dry mass", "18 %"),
    _quantity("/oversize/wet_mass", "mass", "Oversize, wet mass", "612 g"),
    _field("/oversize/bulk_specific_gravity", "number", "Bulk specific gravity of the oversize", example="2.62"),
    _quantity("/oversize/water_content", "percent", "Water content of the oversize", "1.5 %"),
    _quantity("/maximum_particle", "length", "Largest particle", "25 mm"),
    _field("/reference", "text", "Reference curve", longest=LENGTHS["code"], example="P-2207"),
    _field("/reference_basis", "choice", "Reference chosen by", choices=choices.REFERENCE_BASES, example="visual"),
    _field("/reference_choice/basis", "choice", "One point on", choices=one_point.BASES, example="one_point"),
    _quantity("/reference_choice/wet_density", "density", "One point: wet density", "118.4 pcf"),
    _quantity("/reference_choice/water_content", "percent", "One point: water content", "14.2 %"),
    _field("/reference_choice/family", "text", "Family of curves", longest=LENGTHS["code"], example="F-1"),
    _field("/position/alignment", "text", "Alignment", longest=LENGTHS["code"], example="main"),
    _field("/position/station", "text", "Station", longest=LENGTHS["station"], example="12+34.56"),
    _field("/position/offset", "text", "Offset", longest=LENGTHS["offset"], example="15 L"),
    _quantity("/position/easting", "length", "Easting", "602113.25 ftUS"),
    _quantity("/position/northing", "length", "Northing", "448210.10 ftUS"),
    _quantity("/position/elevation", "length", "Elevation", "1316.10 ft"),
    _field(
        "/position/elevation_from", "choice", "Elevation got by", choices=choices.ELEVATION_SOURCES, example="level"
    ),
    _quantity("/position/depth_below_grade", "length", "Depth below grade", "0.38 ft"),
    _field("/position/gps/latitude", "number", "Latitude, degrees", example="41.123456"),
    _field("/position/gps/longitude", "number", "Longitude, degrees", example="-81.123456"),
    _quantity("/position/gps/accuracy", "length", "Accuracy of the fix", "4.9 m"),
    _quantity("/position/gps/confidence", "percent", "Confidence of that accuracy", "68 %"),
    _field("/position/gps/fixed_at", "time", "Time of the fix", example="2026-06-03T09:14:40-06:00"),
    _field("/position/rtk/latitude", "degrees", "Latitude by survey receiver, degrees", example="41.123456789"),
    _field("/position/rtk/longitude", "degrees", "Longitude by survey receiver, degrees", example="-81.123456789"),
    _quantity("/position/rtk/accuracy", "length", "Accuracy that the receiver shows", "0.02 m"),
    _quantity("/position/rtk/ellipsoid_height", "length", "Height above the ellipsoid (kept, never used)", "212.40 m"),
    _field("/lift", "whole", "Lift", example="4"),
    _quantity("/lift_thickness", "length", "Lift thickness", "8 in"),
    _field("/structure", "text", "Beside which structure", longest=LENGTHS["name"], example="wall 3"),
    _quantity("/structure_distance", "length", "Distance to the structure", "3 ft"),
    *(
        _field(f"/apparatus/{kind}", "text", label.capitalize(), longest=LENGTHS["serial"], example="G-1187")
        for kind, label in choices.APPARATUS_KINDS.items()
    ),
    *(
        _quantity(f"/printed/{name}", kind, f"Printed {name.replace('_', ' ')}", _PRINTED_EXAMPLES[kind])
        for name, kind in choices.PRINTED_FIGURES.items()
    ),
    _field("/retest_of", "uuid", "Retest of", example="3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"),
    _field("/check_of", "uuid", "Check of", example="3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"),
    _field("/location", "uuid", "Planned location", example="3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"),
    _field("/notified/person", "text", "Told to", longest=LENGTHS["name"], example="grading foreman"),
    _field("/notified/at", "time", "Told at", example="2026-06-03T09:40:00-06:00"),
    _field("/notified/how", "choice", "Told how", choices=choices.NOTICE_WAYS, example="spoken"),
    *(
        _field(f"/{name}", "lines", name.capitalize(), longest=LENGTHS[name])
        for name in ("soil", "weather", "witness", "remarks")
    ),
)

_REQUIRED_WITHIN: Final = {
    "oversize": ["sieve", "basis"],
    "reference_choice": ["basis", "wet_density", "water_content"],
    "gps": ["latitude", "longitude", "accuracy"],
    "rtk": ["latitude", "longitude", "accuracy"],
    "notified": ["person", "at", "how"],
}


def quantity_schema(kinds: Iterable[str]) -> dict[str, Any]:
    """JSON Schema of a quantity of the given kinds: number, blank and a unit of the closed list."""
    units = sorted({unit for kind in kinds for unit in UNITS[kind]})
    return {"type": "string", "pattern": f"^{_NUMBER} ({'|'.join(units)})$"}


def json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12, as OpenAPI 3.1 uses it) of the body of a test."""
    root: dict[str, Any] = _object({}, ["performed_at", "purpose", "method", "readings"])
    for description in FIELDS:
        *parents, name = description.pointer.lstrip("/").split("/")
        place = root
        for parent in parents:
            place = place["properties"].setdefault(parent, _object({}, _REQUIRED_WITHIN.get(parent, [])))
        place["properties"][name] = _schema(description)
    root["properties"]["water_contents"] = {
        "type": "array",
        "minItems": 1,
        "maxItems": choices.MOST_WATER_CONTENTS,
        "items": _water_content_schema(),
    }
    root["properties"]["spot"] = spot_schema()
    root["properties"]["rapid"] = rapid.schema(quantity_schema)
    root["properties"]["readings"] = {"type": "object"}
    root["allOf"] = [
        {
            "if": {"properties": {"method": {"const": code}}},
            "then": {"properties": {"readings": readings_schema(method.fields)}},
        }
        for code, method in methods.METHODS.items()
    ]
    return root


def readings_schema(fields: Iterable[ReadingField]) -> dict[str, Any]:
    """JSON Schema of the readings of one method."""
    fields = tuple(fields)
    schema = _object(
        {field.name: {"title": field.label, **_reading_schema(field)} for field in fields},
        [field.name for field in fields if field.required],
    )
    groups: dict[str, list[str]] = {}
    for field in fields:
        if field.one_of:
            groups.setdefault(field.one_of, []).append(field.name)
    if groups:
        schema["allOf"] = [{"oneOf": [{"required": [name]} for name in names]} for names in groups.values()]
    return schema


def _object(properties: dict[str, Any], required: list[str]) -> dict[str, Any]:
    made: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": required} if required else made


def _schema(description: FieldDescription) -> dict[str, Any]:
    schema: dict[str, Any]
    if description.kind == "quantity":
        schema = quantity_schema([description.unit_kind])
    elif description.kind == "degrees":
        schema = {"type": "string", "pattern": r"^-?[0-9]{1,3}(\.[0-9]{1,12})?( ?[NSEW])?$"}
    elif description.kind == "number":
        schema = {"type": "string", "pattern": f"^{_NUMBER}$"}
    elif description.kind == "whole":
        schema = {"type": "integer", "minimum": choices.LIFT_RANGE[0], "maximum": choices.LIFT_RANGE[1]}
    elif description.kind == "time":
        schema = {"type": "string", "format": "date-time"}
    elif description.kind == "uuid":
        schema = {"type": "string", "format": "uuid", "pattern": _UUID}
    else:
        schema = {"type": "string"}
    if description.choices is not None:
        schema["enum"] = list(description.choices)
    if description.longest is not None:
        schema["maxLength"] = description.longest
    if description.example:
        schema["examples"] = [int(description.example) if description.kind == "whole" else description.example]
    return {"title": description.label, **schema}


def _water_content_schema() -> dict[str, Any]:
    can = _object(
        {
            "can": {"type": "string", "maxLength": LENGTHS["label"]},
            "wet_and_can": quantity_schema(["mass"]),
            "dry_and_can": quantity_schema(["mass"]),
            "can_mass": quantity_schema(["mass"]),
        },
        ["wet_and_can", "dry_and_can", "can_mass"],
    )
    schema = _object(
        {
            "method": {"type": "string", "enum": list(choices.WATER_CONTENT_METHODS)},
            "fraction": {"type": "string", "enum": list(choices.FRACTIONS)},
            "value": quantity_schema(["percent"]),
            "cans": {"type": "array", "minItems": 1, "maxItems": choices.MOST_CANS, "items": can},
            "dial": quantity_schema(["percent"]),
            "half_specimen": {"type": "boolean"},
            "specimen_mass": {**quantity_schema(["mass"]), "description": "Moist, without its can."},
            "weighings": {
                "type": "array",
                "minItems": 2,
                "maxItems": choices.MOST_WEIGHINGS,
                "items": quantity_schema(["mass"]),
                "description": "While it dries, in order: with its can beside one can, else without (specimen_mass).",
            },
            "standard": {
                "type": "string",
                "enum": list(MOISTURE_STANDARDS),
                "description": "What the determination is held against; nothing where it is left out.",
            },
        },
        ["method", "fraction"],
    )
    schema["anyOf"] = [{"required": names} for names in (["value"], ["cans"], ["dial"], ["weighings"])]
    return schema


def _reading_schema(field: ReadingField) -> dict[str, Any]:
    if field.kind == "group":
        return readings_schema(field.fields)
    if field.kind == "groups":
        return {"type": "array", "minItems": 1, "maxItems": MOST_GROUPS, "items": readings_schema(field.fields)}
    if field.kind == "count":
        return {"type": "integer", "minimum": 0, "maximum": 9_999_999}
    if field.kind == "yes_no":
        return {"type": "boolean"}
    if field.kind == "number":
        return {"type": "string", "pattern": f"^{_NUMBER}$"}
    if field.kind == "choice":
        return {"type": "string", "enum": list(field.choices)}
    if field.kind == "text":
        return {"type": "string"}
    return quantity_schema(field.kind.split("|"))
