"""Alignments, areas, previews of them, positions to convert."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Alignment": {
        "baseline": {
            "name": "Dike baseline",
            "content": {
                "kind": "baseline",
                "unit": "ft",
                "start_station": "1000",
                "points": [["20000", "10000"], ["24000", "10000"]],
            },
        }
    },
    "AlignmentToPreview": {
        "pi_table": {
            "content": {
                "kind": "pi_table",
                "unit": "ft",
                "start_station": "1000",
                "pis": [
                    {"point": ["20000", "10000"]},
                    {
                        "point": ["21000", "10000"],
                        "degree_deg": "6",
                        "degree_definition": "arc",
                        "spiral_in_length": "150",
                        "spiral_out_length": "150",
                    },
                    {"point": ["21800", "10600"]},
                ],
            }
        }
    },
    "PositionsToConvert": {
        "three_ways": {
            "alignment": "main",
            "rows": [
                {"label": "1", "station": "12+34.56", "offset": "15 L"},
                {"label": "2", "easting": "20300.00 ft", "northing": "10020.00 ft"},
                {"label": "3", "latitude": "41.123456", "longitude": "-81.123456"},
            ],
        }
    },
    "Area": {
        "zone": {
            "name": "Core",
            "kind": "zone",
            "content": {
                "alignment": "main",
                "station_from_m": "304.8",
                "station_to_m": "1524",
                "offset_from_m": "-30",
                "offset_to_m": "30",
            },
        }
    },
    "GeometryQuestion": {
        "smaller_zone": {
            "area": "core",
            "kind": "zone",
            "content": {
                "alignment": "main",
                "station_from_m": "304.8",
                "station_to_m": "1400",
                "offset_from_m": "-30",
                "offset_to_m": "30",
            },
        }
    },
}
