"""A family of curves: which references of the project belong together, by one procedure (AASHTO R 75).

The curves stay references of their own; what they say together is looked at where they are known
(`calculations.family_of_curves.family_findings`).
"""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError
from compaction.calculations.family_of_curves import FEWEST_CURVES
from compaction.calculations.readings import Field
from compaction.facts import ReferenceFacts
from compaction.records.reading import Part, read_record
from compaction.records.reference import ReferenceRecord
from compaction.records.reference_checks import OVERSIZE_FIELDS, check, common_fields, digest, oversize_facts
from compaction.records.reference_checks import PARTS as COMMON_PARTS

KIND: Final = "family"
MOST_CURVES: Final = 40
LONGEST_CODE: Final = 40
FIELDS: Final = (
    *common_fields(KIND),
    Field("method", "text", True, "The one method of its curves"),
    *OVERSIZE_FIELDS,
)


def _curves(written: Any, pointer: str) -> tuple[str, ...]:
    if not isinstance(written, list) or len(written) > MOST_CURVES:
        raise ReadingError(pointer, "not-a-list", f"At most {MOST_CURVES} codes of references, as a list, are wanted.")
    for place, code in enumerate(written):
        if not isinstance(code, str) or not 1 <= len(code) <= LONGEST_CODE or not code.isprintable():
            raise ReadingError(f"{pointer}/{place}", "not-a-code", "The code of a reference of this project is wanted.")
    if len(set(written)) != len(written):
        raise ReadingError(pointer, "named-twice", "A curve is named twice; name each once.")
    if len(written) < FEWEST_CURVES:
        raise ReadingError(
            pointer,
            "family-too-small",
            f"{len(written)} curves make no family; at least {FEWEST_CURVES} do (AASHTO R 75).",
        )
    return tuple(written)


PARTS: Final = (*COMMON_PARTS, Part("curves", _curves, required=True))


def read(body: Mapping[str, Any], *, code: str, rev: int, approved: bool = False) -> ReferenceRecord:
    """The record and its facts, which have no maximum of their own. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    facts = ReferenceFacts(
        code=code,
        rev=rev,
        approved=approved,
        method=values.text("method"),
        maximum_dry_density_kgm3=Decimal(0),
        optimum_water_content_pct=Decimal(0),
        specific_gravity=values.optional_decimal("specific_gravity"),
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        kind=KIND,
        family=parts["curves"],
        valid_until=parts.get("valid_until"),
        **oversize_facts(values),
    )
    check(values, parts, facts)
    return ReferenceRecord(
        facts=replace(facts, digest=digest(facts)),
        findings=(),
        soil=values.text("soil"),
        fit="",
        reach=values.text("reach") or "all",
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        remarks=parts.get("remarks", ""),
    )
