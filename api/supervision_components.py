"""Schemas of observed areas, and of the day's findings for the supervisor."""

from typing import Any, Final

from api.components import DAY, DIGEST, FREE, ID, LONG, MOMENT, TEXT, YES_NO, Schema, many, maybe, of, ref, with_parts
from compaction.queries.supervision import KIND_CODES
from compaction.records import observed_area

_LIMITS: Final = {
    "alignment": "main",
    "station_from": "12+00",
    "station_to": "14+00",
    "offset_from": "20 L",
    "offset_to": "20 R",
}
EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "ObservedArea": {
        "proof_roll": {
            "kind": "proof_roll",
            "area": "core",
            "lift": 4,
            "observed_at": "2026-06-03T15:10:00-06:00",
            **_LIMITS,
            "equipment": "loaded tandem dumper, 25 t",
            "passes": 2,
            "verdict": "pumping",
            "deflection": "1.5 in",
            "watched_by": "t.moss",
            "remarks": "wet pocket at 13+20 left",
        },
        "observed_only": {
            "kind": "observed_only",
            "area": "core",
            "lift": 5,
            "observed_at": "2026-06-03T16:30:00-06:00",
            **_LIMITS,
            "equipment": "vibrating roller, 15 t",
            "passes": 6,
            "reason_code": "rock_fill",
            "watched_by": "t.moss",
            "watched": "rock to 18 in, 24 in lift, six passes counted, water added",
        },
    }
}


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
        "Supervision": of(
            {
                "day": maybe(DAY),
                "switches": of(dict.fromkeys(KIND_CODES, YES_NO)),
                "items": many(of(finding)),
            }
        ),
    }
