"""Placements, signatures, reasons, the question what a frequency asks for; locations to test."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "PlacementBody": {
        "lift": {
            "area": "core",
            "lift": 4,
            "placed_at": "2026-06-03T08:00:00-06:00",
            "alignment": "main",
            "station_from": "12+00",
            "station_to": "14+00",
            "offset_from": "40 L",
            "offset_to": "40 R",
            "thickness": "8 in",
            "elevation_top": "5100.7 ft",
        }
    },
    "LiftRelease": {
        "signed": {"meaning": "released", "basis_digest": "0" * 64, "reason": "Walked the lift with the foreman."}
    },
    "NotTestedBody": {
        "weather": {
            "area": "core",
            "lift": 4,
            "noted_at": "2026-06-03T17:30:00-06:00",
            "reason_code": "weather",
            "reason": "Thunderstorm from four o'clock; the lift is covered tomorrow.",
        }
    },
    "FrequencyQuestion": {
        "three_lifts": {
            "lifts": 3,
            "quantity": "1200 yd3",
            "frequency": [
                {
                    "name": "Embankment",
                    "counters": [{"basis": "volume", "interval": "500 yd3", "within": "lift", "minimum": 1}],
                }
            ],
        }
    },
    "LocationDrawBody": {
        "two_tests": {"area": "core", "lift": 4, "tests": 2, "edge_margin": "2 ft", "done_within": "10 ft"},
        "again": {
            "area": "core",
            "lift": 4,
            "tests": 6,
            "edge_margin": "2 ft",
            "done_within": "10 ft",
            "replaces": "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10",
            "reason_code": "fill_placed_since",
            "reason": "300 ft more were placed in the afternoon.",
        },
    },
    "LocationSubstitution": {
        "drawn_again": {"reason_code": "stones", "reason": "Cobbles over the whole spot; the cone can't be seated."},
        "stated": {
            "reason_code": "structure",
            "reason": "On the culvert's wing wall.",
            "station": "12+40",
            "offset": "5 L",
        },
    },
}
