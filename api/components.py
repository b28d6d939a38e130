"""Schemas and examples of bodies and answers. What is read is described by the readers' own lists of fields."""

from typing import Any, Final

from api import problems
from compaction import register
from compaction.actions.amendments import REASONS as AMENDMENT_REASONS
from compaction.actions.voids import REASONS as VOID_REASONS
from compaction.chain import CLOSURES
from compaction.observation.choices import PURPOSES
from compaction.observation.description import json_schema, readings_schema
from compaction.records import (
    bench_points,
    criterion,
    follow_up,
    kinds,
    reference,
    sample,
    specification,
)

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


def _bodies() -> dict[str, Schema]:
    revision_parts = {"effective_from": DAY, "reason": LONG, "remarks": LONG}
    test = json_schema()
    return {
        "Test": test,
        "Amendment": of(
            {
                "replaces": {"type": "integer", "minimum": 1},
                "reason_code": {"type": "string", "enum": list(AMENDMENT_REASONS)},
                "reason": LONG,
                "test": ref("Test"),
            },
            optional=("replaces",),
        ),
        "Void": of({"reason_code": {"type": "string", "enum": list(VOID_REASONS)}, "reason": LONG}),
        "Reason": of({"reason": LONG}),
        "HoldRelease": of({"hold": {"type": "string", "description": "Code of the hold."}, "reason": LONG}),
        "TestBatch": of({"items": many(of({"id": ID, "test": ref("Test")}), minItems=1, maxItems=500)}),
        "TestHave": of({"items": many(of({"id": ID, "sha256": DIGEST}, optional=("sha256",)), maxItems=1000)}),
        "Reference": {"oneOf": [ref(name) for name in ("MoistureDensityReference", *kinds.schemas())]},
        **kinds.schemas(),
        "MoistureDensityReference": with_parts(
            reference.FIELDS, {"valid_until": DAY, "points": many(bench_points.schema(), maxItems=40), **revision_parts}
        ),
        "Sample": with_parts(
            sample.FIELDS,
            {
                "gradation": many(readings_schema(sample.SIZE_FIELDS), maxItems=sample.MOST_SIZES),
                "sampled_on": DAY,
                "reason": LONG,
                "remarks": LONG,
            },
        ),
        "Specification": with_parts(
            specification.FIELDS,
            {
                "criteria": many(_criterion(), minItems=1, maxItems=criterion.MOST),
                "rounding": many(readings_schema(specification.STEP_FIELDS), maxItems=20),
                "held_findings": many({"type": "string", "maxLength": 40}, maxItems=specification.MOST_HELD),
                "purposes": many({"type": "string", "enum": list(PURPOSES)}, minItems=1),
                "observation_accepts": many(
                    {"type": "string", "minLength": 1, "maxLength": 40},
                    minItems=1,
                    maxItems=specification.MOST_OBSERVED,
                ),
                "frequency": many(ref("FrequencyRule"), minItems=1),
                **revision_parts,
            },
            ("criteria",),
        ),
        "Rework": with_parts(follow_up.REWORK_FIELDS, {"performed_at": MOMENT, "remarks": LONG}, ("performed_at",)),
        "Closure": {
            **with_parts(
                follow_up.RULING_FIELDS,
                {"meaning": {"type": "string", "enum": sorted(CLOSURES)}, "reason": LONG},
                ("reason",),
            ),
        },
    }


def _criterion() -> Schema:
    lists = {
        name: many(
            {"type": "string", "minLength": 1, "maxLength": criterion.LONGEST_WORD}
            | ({} if allowed is None else {"enum": list(allowed)}),
            minItems=1,
            maxItems=most,
        )
        for name, (most, allowed) in criterion.LISTS.items()
    }
    clause = {"type": "string", "maxLength": criterion.LONGEST_CLAUSE, "title": "Clause, as it reads"}
    return with_parts(criterion.FIELDS, {**lists, "clause": clause})


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


def _answers() -> dict[str, Schema]:
    failure = of({"uuid": ID, "kind": TEXT, "state": TEXT}, optional=("kind",))
    chain = of(
        {
            "link": {"type": "string", "enum": ["none", "linked", "pending-parent"]},
            "settled": YES_NO,
            "failures": many(failure),
        }
    )
    current = of({"version": WHOLE, **verdict(), "voided": YES_NO, "chain": chain, "stale": YES_NO})
    test_story = {
        "row": ref("TestRow"),
        "content": FREE,
        "position": FREE,
        "worksheet": many(FREE),
        "versions": many(FREE),
        "decisions": many(ref("Decision")),
        "relatives": many(ref("TestRow")),
    }
    recorded = {
        "id": ID,
        "receipt": maybe(ref("Receipt")),
        "current": ref("Current"),
        "links": {"type": "object", "additionalProperties": TEXT},
    }
    batch_result = of(
        {
            "index": WHOLE,
            "id": maybe(TEXT),
            "status": WHOLE,
            "receipt": ref("Receipt"),
            "current": ref("Current"),
            "problem": ref("Problem"),
        },
        optional=("receipt", "current", "problem"),
    )
    page = {"next": maybe(TEXT)}
    return {
        "Receipt": of({"project": TEXT, "seq": WHOLE, "hash": DIGEST, "version": WHOLE, "received_at": MOMENT}),
        "Current": current,
        "RecordedTest": of(recorded),
        "TestStory": of({**recorded, **test_story}),
        "TestRow": of(
            {"uuid": ID, "mark": {"type": "string", "enum": list(register.MARK_WORDS)}, "result": TEXT, "basis": TEXT},
            more=True,
        ),
        "TestList": of({"items": many(ref("TestRow")), **page}),
        "TestBatchResults": of(
            {
                "results": many(batch_result),
                "summary": of({"items": WHOLE, "recorded": WHOLE, "repeated": WHOLE, "refused": WHOLE}),
            }
        ),
        "Preview": of(
            {
                "current": of({**verdict(), "would_open_failures": many(TEXT)}),
                "position": FREE,
                "worksheet": many(FREE),
            }
        ),
        "TestHaveResults": of({"have": many(ID), "missing": many(ID), "different": many(ID)}),
        "Decision": of(
            {
                "id": ID,
                "subject_kind": TEXT,
                "subject": TEXT,
                "meaning": TEXT,
                "detail": TEXT,
                "reason_code": TEXT,
                "reason": TEXT,
                "person": TEXT,
                "second_person": TEXT,
                "basis_digest": TEXT,
                "decided_at": MOMENT,
            }
        ),
        "Ruled": of({"receipt": ref("Receipt"), "decision": ref("Decision")}),
        "Issued": of({"created": YES_NO, "rev": WHOLE, "receipt": maybe(ref("Receipt"))}),
        "Placement": of({"uuid": ID, "area": TEXT, "lift": WHOLE, "version": WHOLE}, more=True),
        "PlacementList": of({"items": many(ref("Placement"))}),
        "RecordedPlacement": of({"id": ID, "version": WHOLE, "receipt": ref("Receipt"), "limits": FREE}),
        "Revision": of(
            {
                "code": TEXT,
                "rev": WHOLE,
                "title": TEXT,
                "author": TEXT,
                "received_at": MOMENT,
                "reach": TEXT,
                "reason": TEXT,
                "approval": maybe(ref("Decision")),
                "facts": FREE,
                "findings": many(FREE),
                "content": FREE,
            }
        ),
        "ReferenceRevision": of(
            {"code": TEXT, "rev": WHOLE, "points": many(FREE), "fits": maybe(FREE), "findings": many(FREE)}, more=True
        ),
        "SampleRevision": of({"code": TEXT, "rev": WHOLE, "group_symbol": TEXT, "group_name": TEXT}, more=True),
        "SampleList": of({"items": many(of({"code": TEXT, "revisions": many(ref("SampleRevision"))}))}),
        "RevisionList": of({"items": many(of({"code": TEXT, "revisions": many(ref("Revision"))}))}),
        "ApprovalPreview": of(
            {
                **{
                    name: WHOLE
                    for name in ("total", "changed", "pass_to_fail", "fail_to_pass", "becomes_final", "buried")
                },
                "sentence": TEXT,
                "rows": many(FREE),
            }
        ),
        "Failure": of({"uuid": ID, "kind": TEXT, "state": TEXT}, more=True),
        "FailureList": of({"items": many(ref("Failure"))}),
        "FailureStory": of(
            {
                "uuid": ID,
                "kind": TEXT,
                "state": TEXT,
                "tests": many(FREE),
                "reworks": many(FREE),
                "decisions": many(ref("Decision")),
            },
            more=True,
        ),
        "RecordedRework": of({"id": ID, "receipt": ref("Receipt")}),
        "Event": of(
            {"seq": WHOLE, "event_id": ID, "kind": TEXT, "body": TEXT, "prev_hash": DIGEST, "hash": DIGEST}, more=True
        ),
        "Journal": of({"items": many(ref("Event")), **page}),
        "JournalVerification": of({"holds": YES_NO, "breaks": many(of({"seq": WHOLE, "what": TEXT}))}),
        "Project": of(
            {"code": TEXT, "name": TEXT, "units": TEXT, "time_zone": TEXT, "roles": many(TEXT), "may": many(TEXT)},
            optional=("roles", "may"),
            more=True,
        ),
        "ProjectList": of({"items": many(ref("Project"))}),
        "WorkLeft": of(
            {
                "up_to_date": YES_NO,
                "waiting": {"type": "object", "additionalProperties": WHOLE},
                "failures_unsettled": WHOLE,
                "parked": WHOLE,
            }
        ),
        "Problem": of(
            {
                "type": {"type": "string", "enum": [problems.type_of(code) for code in problems.KINDS]},
                "title": TEXT,
                "status": WHOLE,
                "detail": TEXT,
                "instance": {"type": "string", "description": "Number of the request."},
                "errors": many(
                    of({"pointer": {"type": "string", "format": "json-pointer"}, "code": TEXT, "detail": TEXT})
                ),
                "stored_sha256": TEXT,
                "sent_sha256": TEXT,
            },
            optional=("stored_sha256", "sent_sha256"),
        ),
    }


def schemas() -> dict[str, Schema]:
    """Every schema of the document, by name."""
    return {**_bodies(), **_answers()}
