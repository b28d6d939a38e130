"""Schemas of projects, fill as placed, the journal, work that waits, and of problems."""

from api import problems
from api.components import DIGEST, FREE, ID, TEXT, WHOLE, YES_NO, Schema, many, maybe, of, ref


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    page = {"next": maybe(TEXT)}
    return {
        "Placement": of({"uuid": ID, "area": TEXT, "lift": WHOLE, "version": WHOLE}, more=True),
        "PlacementList": of({"items": many(ref("Placement"))}),
        "RecordedPlacement": of({"id": ID, "version": WHOLE, "receipt": ref("Receipt"), "limits": FREE}),
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
