"""Schemas of observed areas, and of the day's findings for the supervisor."""

from api.components import DAY, DIGEST, FREE, ID, LONG, MOMENT, TEXT, YES_NO, Schema, many, maybe, of, ref, with_parts
from compaction.queries.supervision import KIND_CODES
from compaction.records import observed_area


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    finding = {
        "id": DIGEST,
        "figures_digest": DIGEST,
        "kind": {"type": "string", "enum": list(KIND_CODES)},
        "code": TEXT,
        "sentence": TEXT,
        "numbers": FREE,
        "tests": many(of({"id": ID, "label": TEXT})),
        "seen": maybe(ref("Decision")),
        "changed_since": YES_NO,
    }
    return {
        "ObservedArea": with_parts(
            observed_area.FIELDS, {"observed_at": MOMENT, "watched": LONG, "remarks": LONG}, ("observed_at",)
        ),
        "ObservedAreaRow": of({"uuid": ID, "kind": TEXT, "area": TEXT, "accepted": YES_NO}, more=True),
        "ObservedAreaList": of({"items": many(ref("ObservedAreaRow"))}),
        "RecordedObservedArea": of({"id": ID, "receipt": ref("Receipt"), "limits": FREE}),
        "FindingDismissal": of({"basis_digest": DIGEST, "reason": LONG}),
        "SupervisionSwitch": of({"on": YES_NO, "reason": LONG}),
        "Supervision": of(
            {
                "day": maybe(DAY),
                "switches": of(dict.fromkeys(KIND_CODES, YES_NO)),
                "items": many(of(finding)),
            }
        ),
    }
