"""Lots and their closings."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Lot": {
        "percent_within_limits": {
            "title": "Core, lifts 7 to 9, from 12+00 to 20+00",
            "zone": "core",
            "lift_from": 7,
            "lift_to": 9,
            "alignment": "main",
            "station_from": "12+00",
            "station_to": "20+00",
            "retests": "replace",
            "rules": [
                {
                    "statistic": "percent_within_limits",
                    "quantity": "percent_compaction",
                    "minimum": "95 %",
                    "percent_within": "90 %",
                    "minimum_tests": 7,
                }
            ],
        }
    },
    "LotClosing": {
        "met": {"meaning": "accepted", "basis_digest": "0" * 64, "reason": "The rule is met; no failure of it is open."}
    },
}
