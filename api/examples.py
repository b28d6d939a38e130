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
RAPID: Final[dict[str, Any]] = {
    **{name: value for name, value in SAND_CONE.items() if name not in ("reference", "reference_basis")},
    "label": "301",
    "rapid": {
        "points": [
            {"added_water": "0 %", "wet_density": "122.4 pcf"},
            {"added_water": "2 %", "wet_density": "126.9 pcf"},
            {"added_water": "4 %", "soil_wet_mass": "4.24 lb", "mould_volume": "0.0333 ft3"},
        ],
        "convention": "dry_positive",
    },
}
ONE_POINT: Final[dict[str, Any]] = {
    **GAUGE,
    "label": "401",
    "reference_basis": "one_point",
    "reference_choice": {
        "basis": "family",
        "wet_density": "124.1 pcf",
        "water_content": "13.6 %",
        "family": "F-1",
    },
}
EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Test": {"sand_cone": SAND_CONE, "nuclear_gauge": GAUGE, "rapid_method": RAPID, "one_point": ONE_POINT},
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
        },
        "from_bench_masses": {
            "soil": "lean clay, brown",
            "sample": "S-1",
            "method": "D698-A",
            "maximum_dry_density": "110.0 pcf",
            "optimum_water_content": "15.0 %",
            "mould_volume": "943.9 cm3",
            "mould_mass": "4205 g",
            "points": [
                {
                    "mould_and_soil": "6012 g",
                    "cans": [
                        {
                            "place": "top",
                            "wet_and_can": "152.40 g",
                            "dry_and_can": "140.11 g",
                            "can_mass": "31.20 g",
                        }
                    ],
                },
                {"mould_and_soil": "6121 g", "water_content": "15.2 %"},
                {"dry_density": "107.6 pcf", "water_content": "17.3 %", "rejected": True, "why": "mould leaked"},
            ],
        },
    },
    "IndexDensityReference": {
        "clean_sand": {
            "kind": "index_density",
            "soil": "poorly graded sand",
            "minimum_index_density": "93.0 pcf",
            "maximum_index_density": "115.0 pcf",
            "minimum_method": "D4254-A",
            "maximum_method": "D4253-1A",
            "minimum_trials": [{"index_density": "92.8 pcf"}, {"index_density": "93.2 pcf"}],
            "specific_gravity": "2.65",
            "fines": "4 %",
        }
    },
    "ControlStripReference": {
        "strip": {
            "kind": "control_strip",
            "soil": "crushed aggregate",
            "method": "nuclear gauge, 10 spots",
            "maximum_dry_density": "138.2 pcf",
            "area": "station 14+00 to 17+00, first lift",
            "readings": [{"dry_density": "137.9 pcf"}, {"dry_density": "138.5 pcf"}],
            "valid_until": "2026-09-30",
        }
    },
    "FamilyReference": {
        "river_clays": {"kind": "family", "method": "T99-A", "curves": ["P-1", "P-2", "P-3"], "soil": "river clays"}
    },
    "Sample": {
        "from_the_borrow": {
            "description": "lean clay, brown",
            "source": "borrow area west",
            "sampled_by": "l.finch",
            "sampled_on": "2026-05-20",
            "liquid_limit": "38 %",
            "plastic_limit": "19 %",
            "specific_gravity": "2.70",
            "specific_gravity_measured": True,
            "natural_water_content": "16.2 %",
            "gradation": [
                {"sieve": "no4", "passing": "100 %"},
                {"sieve": "no40", "passing": "94 %"},
                {"sieve": "no200", "passing": "81 %"},
                {"size": "0.02 mm", "passing": "57 %"},
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
    "Apparatus": {
        "gauge": {
            "kind": "nuclear_gauge",
            "name": "Gauge of crew 1",
            "valid_from": "2026-01-10",
            "valid_until": "2027-01-10",
        },
        "cone_and_plate": {
            "kind": "sand_cone",
            "name": "Cone and plate 3",
            "valid_from": "2026-05-18",
            "values": {"cone_and_plate_mass": "1612 g"},
            "calibrations": [{"quantity": "cone_and_plate_mass", "repeats": ["1611 g", "1613 g", "1612 g"]}],
        },
        "sand": {
            "kind": "sand",
            "belongs_to": "SC-3",
            "valid_from": "2026-06-01",
            "interval_days": 14,
            "calibrations": [
                {"quantity": "sand_bulk_density", "repeats": ["1.411 g/cm3", "1.413 g/cm3", "1.412 g/cm3"]}
            ],
        },
    },
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
    "StandardCount": {
        "before_use": {
            "serial": "G-1187",
            "taken_at": "2026-06-03T07:30:00-06:00",
            "density_counts": [2874],
            "moisture_counts": [660],
            "count_time": "4 min",
            "person": "t.moss",
        }
    },
    "Certificate": {
        "gauge": {
            "person": "t.moss",
            "subject": "nuclear_gauge",
            "issuer": "State technician programme",
            "number": "4471",
            "valid_from": "2024-04-02",
            "valid_until": "2027-04-01",
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
    "GaugePair": {
        "side_by_side": {
            "gauge_test": "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10",
            "counts": True,
            "reason": "Oven specimen dug from under the gauge.",
        }
    },
    "GaugeRule": {"by_agency": {"rule": "att-48", "reason": "Special provisions, density testing."}},
    "GaugeCorrection": {
        "moisture_in_points": {
            "gauge": "G-1187",
            "reference": "P-1",
            "mode": "direct_transmission",
            "depth": "6 in",
            "water_offset": {"value": "-0.7 %"},
            "effective_from": "2026-06-03",
            "reason": "Ten pairs with sand cone and oven.",
        },
        "density_by_factor": {
            "gauge": "G-1187",
            "mode": "backscatter",
            "density_offset": {"factor": "1.012"},
            "water_offset": {"factor": "0.94", "factor_of": "water"},
            "effective_from": "2026-06-03",
            "reason": "Ten pairs with the rubber balloon, all soils of this pit.",
        },
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
