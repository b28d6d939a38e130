"""Schemas of failures, of rework and of their closings."""

from api.components import FREE, ID, LONG, MOMENT, TEXT, Schema, many, of, ref, with_parts
from compaction.chain import CLOSURES
from compaction.records import follow_up


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    return {
        "Rework": with_parts(follow_up.REWORK_FIELDS, {"performed_at": MOMENT, "remarks": LONG}, ("performed_at",)),
        "Closure": {
            **with_parts(
                follow_up.RULING_FIELDS,
                {"meaning": {"type": "string", "enum": sorted(CLOSURES)}, "reason": LONG},
                ("reason",),
            ),
        },
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
    }
