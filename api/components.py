"""Words of which the document's schemas are made, and what follows from a record, which several of them have."""

from typing import Any, Final

from compaction.observation.description import readings_schema

UUID_PATTERN: Final = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
Schema = dict[str, Any]
TEXT: Final[Schema] = {"type": "string"}
NUMBER: Final[Schema] = {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$"}
MOMENT: Final[Schema] = {"type": "string", "format": "date-time"}
DAY: Final[Schema] = {"type": "string", "format": "date"}
WHOLE: Final[Schema] = {"type": "integer"}
YES_NO: Final[Schema] = {"type": "boolean"}
ID: Final[Schema] = {"type": "string", "format": "uuid", "pattern": UUID_PATTERN}
LONG: Final[Schema] = {"type": "string", "maxLength": 4000}
DIGEST: Final[Schema] = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
FREE: Final[Schema] = {"type": "object"}


def ref(name: str) -> Schema:
    """A reference to a schema of the document."""
    return {"$ref": f"#/components/schemas/{name}"}


def of(properties: Schema, *, optional: tuple[str, ...] = (), more: bool = False) -> Schema:
    """An object whose members are all there but the optional ones."""
    required = [name for name in properties if name not in optional]
    made: Schema = {"type": "object", "properties": properties}
    if required:
        made["required"] = required
    if not more:
        made["additionalProperties"] = False
    return made


def many(item: Schema, **limits: Any) -> Schema:
    """An array."""
    return {"type": "array", "items": item, **limits}


def maybe(schema: Schema) -> Schema:
    """The schema, or null."""
    return {"anyOf": [schema, {"type": "null"}]}


def with_parts(fields: Any, parts: Schema, required: tuple[str, ...] = ()) -> Schema:
    """Flat fields of a record and the members that are lists or days."""
    made = readings_schema(fields)
    made["properties"] = {**made["properties"], **parts}
    made["required"] = sorted({*made.get("required", []), *required})
    return made


def verdict() -> Schema:
    """The members of what follows from a record."""
    judged = of(
        {
            "number": WHOLE,
            "quantity": TEXT,
            "kind": {"type": "string", "enum": ["density", "moisture", "other"]},
            "result": TEXT,
            "found": maybe(NUMBER),
            "judged": maybe(NUMBER),
            "minimum": maybe(NUMBER),
            "maximum": maybe(NUMBER),
            "margin": maybe(NUMBER),
            "contractual": YES_NO,
            "clause": TEXT,
            "sentence": TEXT,
            "unit": TEXT,
        }
    )
    finding = of(
        {
            "code": TEXT,
            "severity": {"type": "string", "enum": ["information", "validity", "hold"]},
            "sentence": TEXT,
            "numbers": {"type": "object", "additionalProperties": TEXT},
        }
    )
    return {
        "result": {"type": "string", "enum": ["pass", "fail", "pending", "no_criterion"]},
        "basis": {"type": "string", "enum": ["final", "provisional"]},
        "basis_reasons": many(TEXT),
        "criteria": many(judged),
        "figures": {
            "type": "object",
            "additionalProperties": NUMBER,
            "description": "Unit in the name: kg, m, kg/m3, percent.",
        },
        "display": {"type": "object", "additionalProperties": of({"value": NUMBER, "unit": TEXT})},
        "findings": many(finding),
        "holds": many(of({"code": TEXT, "sentence": TEXT})),
        "margin": TEXT,
        "reference": TEXT,
        "specification": TEXT,
    }
