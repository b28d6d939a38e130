"""The specimens of the rapid method, as reported with a test (ASTM D5080)."""

from decimal import Decimal
from typing import Any, Final

from compaction.calculations.rapid_method import CONVENTIONS
from compaction.facts import RapidReading, RapidSpecimen
from compaction.observation.members import Members

SPECIMENS: Final = 3
SIGNS: Final = {"dry_positive": "dry of optimum is positive", "wet_positive": "wet of optimum is positive"}


def read_rapid(members: Members | None) -> RapidReading | None:
    """Three specimens: water added (or dried off, below zero), and a wet density or what it follows from."""
    if members is None:
        return None
    items = members.items("points", most=SPECIMENS, required=True)
    specimens = tuple(_specimen(item) for item in items)
    convention = members.choice("convention", CONVENTIONS)
    estimate = members.quantity("estimated_water_content", "percent")
    members.finish()
    if items and len(items) != SPECIMENS:
        members.problem("points", "missing", f"The rapid method wants {SPECIMENS} points; {len(items)} are given.")
    if estimate is not None and not 0 <= estimate <= 200:
        members.problem("estimated_water_content", "out-of-range", "A water content lies between 0 and 200 %.")
    return RapidReading(specimens, convention or "dry_positive", estimate)


def _specimen(members: Members) -> RapidSpecimen:
    added = members.quantity("added_water", "percent", required=True)
    wet = members.quantity("wet_density", "density")
    converted = members.quantity("converted_wet_density", "density")
    mass = members.quantity("soil_wet_mass", "mass")
    volume = members.quantity("mould_volume", "volume")
    members.finish()
    given = [name for name in ("wet_density", "converted_wet_density", "soil_wet_mass") if members.has(name)]
    if not given:
        members.problem(
            "wet_density", "missing", "State 'wet_density', 'converted_wet_density', or 'soil_wet_mass' and its mould."
        )
    for name in given[1:]:
        members.problem(name, "stated-twice", f"'{given[0]}' and '{name}' are both stated; send what was measured.")
    for one, other in (("soil_wet_mass", "mould_volume"), ("mould_volume", "soil_wet_mass")):
        if members.has(one) and not members.has(other):
            members.problem(other, "missing", f"'{one}' is stated without '{other}'; a density needs both.")
    for name, value in (("soil_wet_mass", mass), ("mould_volume", volume)):
        if value is not None and value <= 0:
            members.problem(name, "out-of-range", "This must be above zero.")
    return RapidSpecimen(Decimal(0) if added is None else added, wet, converted, mass, volume)  # refused if None


def schema(quantity: Any) -> dict[str, Any]:
    """JSON Schema of the member "rapid"; `quantity` makes that of a quantity of some kinds."""
    properties = {
        "added_water": {
            "title": "Water added (+) or dried off (-), of the wet mass of the fill",
            **quantity(["percent"]),
            "examples": ["2.65 %"],
        },
        "wet_density": quantity(["density"]),
        "converted_wet_density": quantity(["density"]),
        "soil_wet_mass": quantity(["mass"]),
        "mould_volume": quantity(["volume"]),
    }
    point = {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "required": ["added_water"],
        "oneOf": [
            {"required": ["wet_density"]},
            {"required": ["converted_wet_density"]},
            {"required": ["soil_wet_mass", "mould_volume"]},
        ],
    }
    return {
        "type": "object",
        "title": "Rapid method (ASTM D5080): three specimens of the fill itself",
        "properties": {
            "points": {"type": "array", "minItems": SPECIMENS, "maxItems": SPECIMENS, "items": point},
            "convention": {
                "title": "How the sheet signs the difference from optimum; dry positive where it is left out",
                "type": "string",
                "enum": list(CONVENTIONS),
            },
            "estimated_water_content": {
                "title": "Estimated water content of the fill, until one is determined",
                **quantity(["percent"]),
            },
        },
        "additionalProperties": False,
        "required": ["points"],
    }
