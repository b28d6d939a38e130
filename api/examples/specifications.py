"""Specifications, and the question what governs at a place."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Specification": {
        "embankment": {
            "title": "Embankment",
            "criteria": [
                {
                    "quantity": "percent_compaction",
                    "minimum": "95 %",
                    "clause": "Each test at least 95 percent of D698.",
                },
                {"quantity": "water_content_deviation", "minimum": "-2 %", "maximum": "3 %"},
            ],
            "rounding": [{"quantity": "percent_compaction", "increment": "0.1", "unit": "%"}],
        }
    },
    "GoverningQuestion": {
        "place_and_reading": {
            "at": "2026-06-03T09:15:00-06:00",
            "position": {"alignment": "main", "station": "12+50", "offset": "15 L", "depth_below_grade": "1.5 ft"},
            "reference": "P-1",
            "method": "nuclear_gauge",
            "plasticity_index": "22 %",
            "dry_density": "106.0 pcf",
            "water_content": "15.0 %",
        }
    },
}
