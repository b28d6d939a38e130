"""The chain from readings to percent compaction a second time, in plain floats from the textbook forms.

Nothing here comes from `compaction.calculations`: units, formulas and their order are written anew. 10,000 random
cases, each compared to a relative 1e-9 (figures are kept with nine decimals, hence the same as a smallest distance).
"""

import math
import random
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache
from typing import Any

import pytest

from compaction import evaluation, observation
from compaction.facts import EvaluationInputs, PositionFacts, ReferenceFacts, SpecificationFacts

CASES = 5000
POUND, FOOT = 0.45359237, 0.3048
MASSES = {"g": 0.001, "kg": 1.0, "lb": POUND}
DENSITIES = {"kg/m3": 1.0, "g/cm3": 1000.0, "pcf": POUND / FOOT**3}
VOLUMES = {"cm3": 1e-6, "L": 1e-3, "in3": (FOOT / 12) ** 3}
DIGITS = {"g": 1, "kg": 4, "lb": 4, "kg/m3": 1, "g/cm3": 4, "pcf": 2, "cm3": 1, "L": 4, "in3": 3}


@dataclass
class Plain:
    """One case: what is written, and the same in plain kilograms, metres and percent."""

    rng: random.Random
    body: dict[str, Any] = field(default_factory=dict)

    def write(self, value: float, units: dict[str, float]) -> tuple[str, float]:
        """A figure in a unit of its own, as text with a few digits, and what that text is in SI."""
        unit = self.rng.choice(sorted(units))
        text = f"{value / units[unit]:.{DIGITS[unit]}f}"
        return f"{text} {unit}", float(text) * units[unit]

    def percent(self, low: float, high: float) -> tuple[str, float]:
        text = f"{self.rng.uniform(low, high):.2f}"
        return f"{text} %", float(text)


def close(found: Decimal, expected: float) -> bool:
    return math.isclose(float(found), expected, rel_tol=1e-9, abs_tol=1e-9)


def laboratory(rng: random.Random, rule: str) -> tuple[ReferenceFacts, dict[str, float]]:
    """One of sixty references, which many tests share as in a project, and its figures."""
    facts, figures = curves(rule)[rng.randrange(60)]
    return facts, dict(figures)


@lru_cache
def curves(rule: str) -> list[tuple[ReferenceFacts, dict[str, float]]]:
    rng = random.Random(f"curves {rule}")
    return [curve(rng, rule) for _ in range(60)]


def curve(rng: random.Random, rule: str) -> tuple[ReferenceFacts, dict[str, float]]:
    figures = {
        "maximum": rng.randrange(15500, 21500) / 10,
        "optimum": rng.randrange(70, 220) / 10,
        "gravity": rng.randrange(255, 285) / 100,
    }
    maximum, optimum, gravity = (Decimal(str(value)) for value in figures.values())
    facts = ReferenceFacts(
        code="P-1",
        rev=1,
        approved=True,
        method="D698-A",
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        oversize_rule=rule,
        specific_gravity=gravity,
    )
    return facts, figures


def figures_of(body: dict[str, Any], facts: ReferenceFacts, water_kgm3: float) -> dict[str, Decimal]:
    record = {"performed_at": "2026-06-03T09:15:00Z", "purpose": "acceptance", "reference": "P-1", **body}
    inputs = EvaluationInputs(observation.read(record), PositionFacts(), facts, with_water(water_kgm3))
    return dict(evaluation.evaluate(inputs, worksheet=False, named=False).figures)


@lru_cache
def with_water(water_kgm3: float) -> SpecificationFacts:
    return SpecificationFacts("EARTH", 1, True, (), water_density_kgm3=Decimal(str(water_kgm3)))


def check_beside_the_curve(
    figures: dict[str, Decimal], *, lab: dict[str, float], dry: float, water: float, gravity: float, gw: float
) -> None:
    """Percent compaction, deviation, saturation, air voids of one fraction."""
    assert close(figures["percent_compaction"], 100 * dry / lab["maximum"])
    assert close(figures["water_content_deviation_pct"], water - lab["optimum"])
    solids, soil_water = dry / (gravity * gw), dry * water / 100 / gw  # volumes in one cubic metre
    if solids < 0.98:
        assert close(figures["saturation_pct"], 100 * soil_water / (1 - solids))
        assert close(figures["air_voids_pct"], 100 * (1 - solids - soil_water))


@pytest.mark.parametrize("rule", ["none", "correct_maximum", "correct_field"])
def test_sand_cone(rule: str) -> None:
    rng = random.Random(rule)
    compared = 0
    for _ in range(CASES // 3 + 1):
        case = Plain(rng)
        sand_text, sand = case.write(rng.uniform(1320, 1620), DENSITIES)
        cone_text, cone = case.write(rng.uniform(0.9, 1.9), MASSES)
        cone_name = "cone_and_plate_mass"
        if rng.random() < 0.4:
            cone_name = "cone_and_plate_volume"
            cone_text, cone_volume = case.write(rng.uniform(0.0007, 0.0013), VOLUMES)
            cone = cone_volume * sand
        hole = rng.uniform(0.0014, 0.0032)
        before_text, before = case.write(9.0, MASSES)
        after_text, after = case.write(before - cone - hole * sand, MASSES)
        soil_text, soil = case.write(hole * rng.uniform(1750, 2250), MASSES)
        water, w = water_content(case, fraction := rng.choice(["total", "control"]))
        oversize, pc, gm, wc = stones(case)
        gw = rng.choice([1000.0, 999.5, 998.2])
        facts, lab = laboratory(rng, rule)
        figures = figures_of(
            {
                "method": "sand_cone",
                "readings": {
                    "mass_before": before_text,
                    "mass_after": after_text,
                    cone_name: cone_text,
                    "sand_bulk_density": sand_text,
                    "soil_wet_mass": soil_text,
                },
                "water_contents": [water],
                "oversize": oversize,
            },
            facts,
            gw,
        )
        pf = 1 - pc
        hole = (before - after - cone) / sand
        total = w if fraction == "total" else w * pf + wc * pc
        dry = soil / hole / (1 + total / 100)
        assert abs(float(figures["hole_volume_m3"]) - hole) < 1e-9
        assert close(figures["wet_density_kgm3"], soil / hole)
        assert close(figures["water_content_pct"], total)
        assert close(figures["dry_density_kgm3"], dry)
        whole_gravity = 1 / (pf / lab["gravity"] + pc / gm)
        if rule == "correct_maximum":
            lab["maximum"] = 1 / (pf / lab["maximum"] + pc / (gm * gw))
            lab["optimum"] = lab["optimum"] * pf + wc * pc
            assert close(figures["maximum_dry_density_kgm3"], lab["maximum"])
        if rule == "correct_field":
            if pc * dry > 0.98 * gm * gw or total <= wc * pc:
                continue  # stones alone would fill the hole or hold all the water: refused, tested elsewhere
            total = (total - wc * pc) / pf
            dry = pf / (1 / dry - pc / (gm * gw))
            whole_gravity = lab["gravity"]
        check_beside_the_curve(figures, lab=lab, dry=dry, water=total, gravity=whole_gravity, gw=gw)
        compared += 1
    assert compared > CASES // 3 * 0.95


def water_content(case: Plain, fraction: str) -> tuple[dict[str, Any], float]:
    """A water content outright, or from a can."""
    if case.rng.random() < 0.5:
        text, value = case.percent(4, 24)
        return {"method": "oven", "fraction": fraction, "value": text}, value
    can, dry = case.rng.randrange(150, 400) / 10, case.rng.randrange(1500, 6000) / 10
    wet = round(dry * (1 + case.rng.uniform(0.04, 0.24)), 1)
    line = {
        "can": "A1",
        "wet_and_can": f"{wet + can:.1f} g",
        "dry_and_can": f"{dry + can:.1f} g",
        "can_mass": f"{can:.1f} g",
    }
    return {"method": "oven", "fraction": fraction, "cans": [line]}, 100 * (wet - dry) / dry


def stones(case: Plain) -> tuple[dict[str, Any], float, float, float]:
    """Oversize between the limits of the correction: share of the dry mass, bulk specific gravity, water content."""
    percent_text, percent = case.percent(6, 39)
    water_text, water = case.percent(0, 3)
    gravity = f"{case.rng.uniform(2.5, 2.8):.3f}"
    body = {
        "sieve": "no4",
        "basis": "this_hole",
        "percent": percent_text,
        "bulk_specific_gravity": gravity,
        "water_content": water_text,
    }
    return body, percent / 100, float(gravity), water


def test_nuclear_gauge() -> None:
    rng = random.Random("gauge")
    for _ in range(CASES):
        case = Plain(rng)
        wet_text, wet = case.write(rng.uniform(1700, 2300), DENSITIES)
        readings: dict[str, Any] = {"mode": "direct_transmission", "depth": "6 in", "wet_density": wet_text}
        mass = rng.random() < 0.5
        if mass:
            readings["water"], shown = case.write(rng.uniform(90, 350), DENSITIES)
        else:
            readings["water_content"], shown = case.percent(5, 24)
        offset_as_mass, in_display = rng.random() < 0.5, rng.random() < 0.3
        if offset_as_mass:
            offset_text, offset = case.write(rng.uniform(-30, 30), DENSITIES)
        else:
            offset_text, offset = case.percent(-2, 2)
        if rng.random() < 0.7:
            readings["water_offset"] = {"value": offset_text, "in_display": in_display}
        else:
            in_display = True
        body: dict[str, Any] = {"method": "nuclear_gauge", "readings": readings}
        water = gauge_water(wet, shown, mass=mass, offset=0.0 if in_display else offset, offset_as_mass=offset_as_mass)
        if rng.random() < 0.3:
            oven, water = water_content(case, "total")
            body["water_contents"] = [oven]
        facts, lab = laboratory(rng, "none")
        figures = figures_of(body, facts, 1000.0)
        dry = wet / (1 + water / 100)
        assert close(figures["wet_density_kgm3"], wet)
        assert close(figures["water_content_pct"], water)
        assert close(figures["dry_density_kgm3"], dry)
        check_beside_the_curve(figures, lab=lab, dry=dry, water=water, gravity=lab["gravity"], gw=1000.0)


def gauge_water(wet: float, shown: float, *, mass: bool, offset: float, offset_as_mass: bool) -> float:
    """Water content (percent) of a display with its offset, which is a mass per volume or points, as it was found."""
    if offset_as_mass:
        water = (shown if mass else wet * shown / (100 + shown)) + offset
        return 100 * water / (wet - water)
    return (100 * shown / (wet - shown) if mass else shown) + offset
