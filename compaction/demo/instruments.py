"""What gauges, sand cone and oven show of a soil with a known dry density and water content."""

import math
import random
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from compaction.calculations.quantities import UNITS
from compaction.demo import site
from compaction.demo.material import HUNDRED, PCF_KGM3

GCM3_PCF = UNITS["density"]["g/cm3"] / PCF_KGM3
#: serial number -> standard counts of the first day (density, moisture)
STANDARD_COUNTS = {"TG-0417": (2874, 661), "TG-0892": (2911, 648)}
ONE_DECAY_A_DAY = 2874 * (1 - 0.5 ** (1 / (30.1 * 365.25)))  # caesium-137, half-life about 30.1 years (from memory)


@dataclass(frozen=True)
class Shown:
    """A reading: the members of a test's body, and the figures that follow from it (pcf, percent)."""

    members: dict[str, Any]
    wet_pcf: Decimal
    dry_pcf: Decimal
    water_pct: Decimal


def number(value: float, places: int = 1) -> Decimal:
    """A float as an instrument shows it."""
    return Decimal(f"{value:.{places}f}")


def standard_counts(serial: str, day: int) -> tuple[int, int]:
    """The two standard counts of a gauge on a working day: decay and scatter, well inside one percent."""
    dice = random.Random(f"counts {serial} {day}")
    density, moisture = STANDARD_COUNTS[serial]
    return round(density - ONE_DECAY_A_DAY * day * 1.4 + dice.gauss(0, 5)), round(moisture + dice.gauss(0, 2))


def gauge(*, serial: str, day: int, dry_pcf: float, water_pct: float) -> Shown:
    """A gauge test at 6 in. One gauge shows the water content, the other the water per volume."""
    wet = number(dry_pcf * (1 + water_pct / 100))
    density_standard, moisture_standard = standard_counts(serial, day)
    readings: dict[str, Any] = {
        "mode": "direct_transmission",
        "depth": "6 in",
        "serial": serial,
        "density_standard_count": density_standard,
        "moisture_standard_count": moisture_standard,
        "count_time": "1 min",
        "density_count": round(density_standard * math.exp(0.62 - 0.0113 * float(wet))),
        "moisture_count": round(moisture_standard * (0.03 + 0.0121 * dry_pcf * water_pct / 100)),
        "wet_density": f"{wet} pcf",
    }
    if serial == "TG-0892":
        water = number(dry_pcf * water_pct / 100)
        dry = wet - water
        readings["water"] = f"{water} pcf"
        readings["water_offset"] = {"value": "-0.4 pcf", "in_display": True}
        shown_water = HUNDRED * water / dry
    else:
        shown_water = number(water_pct)
        dry = wet / (1 + shown_water / HUNDRED)
        readings["water_content"] = f"{shown_water} %"
    return Shown({"method": "nuclear_gauge", "readings": readings}, wet, dry, shown_water)


def sand_cone(dice: random.Random, *, dry_pcf: float, water_pct: float, coarse: bool) -> Shown:
    """A sand cone with its water content from the microwave oven on site; larger holes in coarse soil."""
    hole_cm3 = dice.uniform(2880, 3050) if coarse else dice.uniform(1470, 1640)
    sand = float(site.SAND_GCM3)
    before = 9000 + dice.randrange(0, 400)
    after = round(before - site.CONE_G - hole_cm3 * sand)
    hole = (before - after - site.CONE_G) / Decimal(site.SAND_GCM3)
    soil_g = round(float(hole) * dry_pcf / float(GCM3_PCF) * (1 + water_pct / 100))
    water = number(water_pct)
    wet = soil_g / hole * GCM3_PCF
    members = {
        "method": "sand_cone",
        "readings": {
            "mass_before": f"{before} g",
            "mass_after": f"{after} g",
            "cone_and_plate_mass": f"{site.CONE_G} g",
            "sand_bulk_density": f"{site.SAND_GCM3} g/cm3",
            "soil_wet_mass": f"{soil_g} g",
        },
        "water_contents": [{"method": "microwave", "fraction": "total", "value": f"{water} %"}],
        "maximum_particle": "37.5 mm" if coarse else "12.5 mm",
        "apparatus": {"cone": "SC-3"},
    }
    return Shown(members, wet, wet / (1 + water / HUNDRED), water)


def with_oven(shown: Shown, oven_pct: Decimal) -> Shown:
    """The same reading with the oven's water content of the whole material, which then counts."""
    oven = {"method": "oven", "fraction": "total", "value": f"{oven_pct} %"}
    members = {**shown.members, "water_contents": [*shown.members.get("water_contents", ()), oven]}
    return Shown(members, shown.wet_pcf, shown.wet_pcf / (1 + oven_pct / HUNDRED), oven_pct)
