"""Readings of methods in place, one set each: plausible, invented, in whole SI units."""

from typing import Any, Final

IN_PLACE: Final[dict[str, dict[str, Any]]] = {
    "sand_replacement": {
        "pouring_cylinder": "small", "mass_before": "7000 g", "mass_after": "4200 g", "cone_mass": "450 g",
        "sand_bulk_density": "1450 kg/m3", "soil_wet_mass": "3300 g",
    },
    "rubber_balloon": {"initial_volume": "538 cm3", "final_volume": "2288 cm3", "soil_wet_mass": "3465 g"},
    "drive_cylinder": {"cylinder_and_soil_mass": "3150 g", "cylinder_mass": "1200 g", "cylinder_volume": "1000 cm3"},
    "test_pit_sand": {
        "sand_poured": "98000 g", "frame_sand": "14000 g", "sand_bulk_density": "1400 kg/m3",
        "soil_wet_mass": "132000 g",
    },
    "test_pit_water": {
        "pit_water_mass": "640000 g", "ring_water_mass": "121000 g", "water_temperature": "15 degC",
        "liner_volume": "900 cm3", "soil_wet_mass": "1142000 g",
    },
    "stated_wet_density": {"by": "electrical gauge", "wet_density": "2000 kg/m3", "standard_uncertainty": "20 kg/m3"},
}  # fmt: skip
