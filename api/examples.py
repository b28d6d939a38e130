"""Example bodies for the document. Values are invented; a test posts every one of them."""

from typing import Any, Final

SAND_CONE: Final[dict[str, Any]] = {
    "performed_at": "2026-06-03T09:15:00-06:00",
    "label": "201",
    "technician": "t.moss",
    "purpose": "acceptance",
    "method": "sand_cone",
    "readings": {
        "mass_before": "6842 g",
        "mass_after": "2871 g",
        "cone_and_plate_mass": "1612 g",
        "sand_bulk_density": "1.412 g/cm3",
        "soil_wet_mass": "3290 g",
    },
    "water_contents": [{"method": "oven", "fraction": "total", "value": "15.0 %"}],
    "reference": "P-1",
    "reference_basis": "visual",
    "position": {
        "alignment": "main",
        "station": "12+34.56",
        "offset": "15 L",
        "elevation": "5100.5 ft",
        "elevation_from": "level",
    },
    "lift": 4,
    "lift_thickness": "8 in",
}
GAUGE: Final[dict[str, Any]] = {
    **{name: value for name, value in SAND_CONE.items() if name not in ("water_contents", "readings")},
    "label": "101",
    "method": "nuclear_gauge",
    "readings": {
        "mode": "direct_transmission",
        "depth": "6 in",
        "serial": "G-1187",
        "density_standard_count": 2874,
        "moisture_standard_count": 660,
        "wet_density": "121.9 pcf",
        "water_content": "15.0 %",
    },
}
EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Test": {"sand_cone": SAND_CONE, "nuclear_gauge": GAUGE},
    "TestBatch": {
        "two_tests": {
            "items": [
                {"id": "018fd2c4-5b1e-7c3a-9a55-1f6f4f8f7a10", "test": GAUGE},
                {"id": "018fd2c4-5b1e-7c3a-9a55-1f6f4f8f7a11", "test": SAND_CONE},
            ]
        }
    },
    "TestHave": {"one_id": {"items": [{"id": "018fd2c4-5b1e-7c3a-9a55-1f6f4f8f7a10"}]}},
    "Amendment": {
        "wrong_station": {
            "replaces": 1,
            "reason_code": "position",
            "reason": "The station was read from the wrong stake.",
            "test": {**GAUGE, "position": {**GAUGE["position"], "station": "12+44.56"}},
        }
    },
    "Void": {"entered_twice": {"reason_code": "entered-twice", "reason": "Posted from two tablets under two ids."}},
    "Reason": {"words": {"reason": "Points and fit checked against the laboratory sheet."}},
    "HoldRelease": {
        "above_zero_air_voids": {"hold": "above-zero-air-voids", "reason": "Specific gravity is to be measured again."}
    },
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
    "Reference": {
        "standard_effort": {
            "soil": "lean clay, brown",
            "method": "D698-A",
            "maximum_dry_density": "110.0 pcf",
            "optimum_water_content": "15.0 %",
            "specific_gravity": "2.70",
            "specific_gravity_measured": True,
            "points": [
                {"water_content": "11.2 %", "dry_density": "105.1 pcf"},
                {"water_content": "13.1 %", "dry_density": "108.4 pcf"},
                {"water_content": "15.2 %", "dry_density": "110.0 pcf"},
                {"water_content": "17.3 %", "dry_density": "107.6 pcf"},
            ],
        }
    },
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
    "Apparatus": {
        "gauge": {
            "kind": "nuclear_gauge",
            "name": "Gauge of crew 1",
            "valid_from": "2026-01-10",
            "valid_until": "2027-01-10",
        }
    },
    "Rework": {
        "rerolled": {
            "performed_at": "2026-06-03T11:00:00-06:00",
            "method": "rerolled",
            "passes": 4,
            "equipment": "padfoot roller",
        }
    },
    "Closure": {"after_a_passing_retest": {"meaning": "closed", "reason": "Retest passes on final moisture."}},
    "Problem": {
        "content-conflict": {
            "type": "/api/problems/content-conflict",
            "title": "The id is on record with other content",
            "status": 409,
            "detail": "This id is on record with other content. To correct a record send an amendment.",
            "instance": "61367f6163fe40c6ac2f8a930413428f",
            "errors": [],
            "stored_sha256": "0" * 64,
            "sent_sha256": "1" * 64,
        }
    },
}
