"""What was seen at the spot: codes of a closed list, each alone or with a note of its own."""

from collections.abc import Mapping
from typing import Any, Final

from compaction.calculations.errors import ReadingError
from compaction.calculations.spot_observations import OBSERVATIONS
from compaction.observation.members import Members

LONGEST_NOTE: Final = 300


def read_spot(members: Members) -> tuple[str, ...]:
    """The codes under "spot", in the order written; the notes stay in the record. Twice the same is a problem."""
    codes = members.array("spot", lambda item, at: _code(item, at, members), most=len(OBSERVATIONS))
    for place, code in enumerate(codes):
        if code and code in codes[:place]:
            members.problem("spot", "stated-twice", f"'{code}' is listed twice; once is enough.")
    return tuple(dict.fromkeys(filter(None, codes)))


def _code(item: Any, at: str, members: Members) -> str:
    if isinstance(item, Mapping):
        entry = Members(item, at, members.errors)
        code = entry.choice("what", OBSERVATIONS, required=True)
        entry.text("note", longest=LONGEST_NOTE)
        entry.finish()
        return code
    if not isinstance(item, str) or item not in OBSERVATIONS:
        known = ", ".join(OBSERVATIONS)
        raise ReadingError(at, "not-a-choice", f"{ascii(item)[:60]} is not one of {known}.")
    return item


def spot_schema() -> dict[str, Any]:
    """JSON Schema of "spot"."""
    code = {"type": "string", "enum": list(OBSERVATIONS)}
    noted = {
        "type": "object",
        "properties": {"what": code, "note": {"type": "string", "maxLength": LONGEST_NOTE}},
        "required": ["what"],
        "additionalProperties": False,
    }
    return {
        "title": "Seen at the spot",
        "description": "What may bias the result. Each becomes a finding with its direction; no number is changed.",
        "type": "array",
        "minItems": 1,
        "maxItems": len(OBSERVATIONS),
        "items": {"oneOf": [code, noted]},
        "examples": [["soil_lost", {"what": "vibration", "note": "roller two lanes away"}]],
    }
