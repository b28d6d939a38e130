"""References of every kind, and samples."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
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
}
