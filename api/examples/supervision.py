"""Proof rolls and observed areas; what a supervisor says to findings."""

from typing import Any, Final

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
    },
    "FindingDismissal": {
        "looked_at": {"basis_digest": "0" * 64, "reason": "The count of the day stands in the gauge's own book."}
    },
    "SupervisionSwitch": {"off": {"on": False, "reason": "Counts are kept on paper until the end of the month."}},
}
