"""Rework and closings of failures."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Rework": {
        "rerolled": {
            "performed_at": "2026-06-03T11:00:00-06:00",
            "method": "rerolled",
            "passes": 4,
            "equipment": "padfoot roller",
        }
    },
    "Closure": {"after_a_passing_retest": {"meaning": "closed", "reason": "Retest passes on final moisture."}},
}
