"""A reference of whatever kind, as it was written: the one way in for actions and queries."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.family_of_curves import FEWEST_CURVES
from compaction.observation.description import readings_schema
from compaction.records import control_strip, family, index_density, reference
from compaction.records.bench_work import Mould
from compaction.records.reference import ReferenceRecord
from compaction.records.reference_checks import KIND_WORDS

OTHERS: Final[dict[str, Callable[..., ReferenceRecord]]] = {
    module.KIND: module.read for module in (index_density, control_strip, family)
}


def read(
    body: Mapping[str, Any],
    *,
    code: str,
    rev: int,
    approved: bool = False,
    moulds: Mapping[str, Mould] | None = None,
) -> ReferenceRecord:
    """The record by its member "kind"; a body without one is a moisture-density curve. Raises `ReadingsError`."""
    kind = body.get("kind", "moisture_density") if isinstance(body, Mapping) else "moisture_density"
    if not isinstance(kind, str) or kind not in KIND_WORDS:
        known = ", ".join(KIND_WORDS)
        raise ReadingsError([ReadingError("/kind", "not-a-choice", f"{ascii(kind)[:40]} is not one of {known}.")])
    if kind in OTHERS:
        return OTHERS[kind](body, code=code, rev=rev, approved=approved)
    return reference.read(body, code=code, rev=rev, approved=approved, moulds=moulds)


def schemas() -> dict[str, dict[str, Any]]:
    """JSON Schema of every kind's body beside the moisture-density curve, by name."""
    day, long = {"type": "string", "format": "date"}, {"type": "string", "maxLength": 4000}
    shared = {"valid_until": day, "effective_from": day, "reason": long, "remarks": long}
    code = {"type": "string", "minLength": 1, "maxLength": family.LONGEST_CODE}
    own: dict[str, tuple[Any, dict[str, Any], tuple[str, ...]]] = {
        "IndexDensityReference": (
            index_density.FIELDS,
            {
                name: {"type": "array", "items": readings_schema(index_density.TRIAL_FIELDS), "maxItems": 12}
                for name in ("minimum_trials", "maximum_trials")
            },
            (),
        ),
        "ControlStripReference": (
            control_strip.FIELDS,
            {"readings": {"type": "array", "items": readings_schema(control_strip.READING_FIELDS), "maxItems": 60}},
            ("valid_until",),
        ),
        "FamilyReference": (
            family.FIELDS,
            {
                "curves": {
                    "type": "array",
                    "items": code,
                    "minItems": FEWEST_CURVES,
                    "maxItems": family.MOST_CURVES,
                    "uniqueItems": True,
                }
            },
            ("curves",),
        ),
    }
    made = {}
    for name, (fields, parts, required) in own.items():
        schema = readings_schema(fields)
        schema["properties"] = {**schema["properties"], **shared, **parts}
        schema["required"] = sorted({*schema["required"], *required})
        made[name] = schema
    return made
