"""Schemas of tests: bodies, answers, decisions about them."""

from api.components import DIGEST, FREE, ID, LONG, MOMENT, TEXT, WHOLE, YES_NO, Schema, many, maybe, of, ref, verdict
from compaction import register
from compaction.actions.amendments import REASONS as AMENDMENT_REASONS
from compaction.actions.voids import REASONS as VOID_REASONS
from compaction.observation.description import json_schema


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    test = json_schema()
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
    }
