"""Tests, alone and in a batch; amendments, voids, releases of holds."""

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
}
