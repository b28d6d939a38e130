"""Apparatus, standard counts, certificates; pairs and corrections of gauges."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
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
}
