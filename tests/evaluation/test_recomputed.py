"""The chain worked a second time in plain floats, straight from the textbook forms, over random cases."""

import math
import random

import pytest

from compaction import evaluation
from compaction.calculations.quantities import parse_quantity
from compaction.facts import ReferenceFacts
from tests.evaluation import builders
from tests.evaluation.builders import D

PCF = 0.45359237 / 0.3048**3
CASES = 400


def close(found: object, expected: float) -> bool:
    return math.isclose(float(found), expected, rel_tol=1e-9, abs_tol=1e-9)  # type: ignore[arg-type]


def reference(rng: random.Random, rule: str) -> tuple[ReferenceFacts, dict[str, float]]:
    maximum, optimum, gravity = (
        rng.randrange(950, 1350) / 10,
        rng.randrange(80, 220) / 10,
        rng.randrange(255, 285) / 100,
    )
    facts = builders.reference(f"{maximum}", f"{optimum}", oversize_rule=rule, specific_gravity=D(str(gravity)))
    return facts, {"maximum": maximum * PCF, "optimum": optimum, "gravity": gravity}


@pytest.mark.parametrize("rule", ["none", "correct_maximum", "correct_field"])
@pytest.mark.parametrize("fraction", ["total", "control"])
def test_sand_cone_with_oversize(rule: str, fraction: str) -> None:
    rng = random.Random(f"{rule} {fraction}")
    checked = 0
    for _ in range(CASES):
        sand, cone = rng.randrange(1300, 1650), rng.randrange(1000, 2000)
        volume = rng.randrange(1400, 3200)  # cm3, aimed at
        before = 9000
        after = before - cone - round(volume * sand / 1000)
        soil = round(volume * rng.uniform(1.8, 2.25))
        w = rng.randrange(40, 250) / 10
        percent, gm, wc = rng.randrange(60, 295) / 10, rng.randrange(250, 280) / 100, rng.randrange(0, 40) / 10
        body = builders.cone_body(
            readings={
                "mass_before": f"{before} g",
                "mass_after": f"{after} g",
                "cone_and_plate_mass": f"{cone} g",
                "sand_bulk_density": f"{sand} kg/m3",
                "soil_wet_mass": f"{soil} g",
            },
            water_contents=[{"method": "oven", "fraction": fraction, "value": f"{w} %"}],
            oversize={
                "sieve": "no4",
                "basis": "this_hole",
                "percent": f"{percent} %",
                "bulk_specific_gravity": f"{gm}",
                "water_content": f"{wc} %",
            },
        )
        facts, lab = reference(rng, rule)
        outcome = evaluation.evaluate(builders.inputs(body, reference=facts, specification=builders.specification()))
        hole = (before - after - cone) / 1000 / sand
        pc, pf = percent / 100, 1 - percent / 100
        total_w = w if fraction == "total" else w * pf + wc * pc
        dry = soil / 1000 / hole / (1 + total_w / 100)
        figures = outcome.figures
        assert close(figures["hole_volume_m3"], round(hole, 9))
        assert close(figures["water_content_pct"], total_w)
        assert close(figures["dry_density_kgm3"], dry)
        maximum, optimum, compared_w, compared = lab["maximum"], lab["optimum"], total_w, dry
        if rule == "correct_maximum":
            maximum = 1 / (pf / maximum + pc / (gm * 1000))
            optimum = optimum * pf + wc * pc
        elif rule == "correct_field":
            if pc * dry >= gm * 1000 or total_w < wc * pc:
                continue
            compared = pf / (1 / dry - pc / (gm * 1000))
            compared_w = (total_w - wc * pc) / pf
        checked += 1
        assert close(figures["percent_compaction"], 100 * compared / maximum)
        assert close(figures["water_content_deviation_pct"], compared_w - optimum)
        gravity = lab["gravity"] if rule == "correct_field" else 1 / (pf / lab["gravity"] + pc / gm)
        if gravity * 1000 > compared * 1.001:
            void_ratio = gravity * 1000 / compared - 1
            assert math.isclose(float(figures["saturation_pct"]), compared_w * gravity / void_ratio, rel_tol=1e-7)
            air = 100 * (void_ratio - compared_w / 100 * gravity) / (1 + void_ratio)
            assert math.isclose(float(figures["air_voids_pct"]), air, rel_tol=1e-9, abs_tol=1e-8)
    assert checked > CASES * 0.9


def test_gauge_with_water_per_volume_and_points() -> None:
    rng = random.Random(5)
    for _ in range(CASES):
        wet, water, offset = rng.randrange(1000, 1500) / 10, rng.randrange(40, 250) / 10, rng.randrange(-20, 20) / 10
        facts, lab = reference(rng, "none")
        body = builders.gauge_body(wet=f"{wet} pcf", water=f"{water} pcf")
        in_display = rng.random() < 0.5
        body["readings"]["water_offset"] = {"value": f"{offset} pcf", "in_display": in_display}
        figures = evaluation.evaluate(builders.inputs(body, reference=facts)).figures
        true_water = water if in_display else water + offset
        dry = (wet - true_water) * PCF
        assert close(figures["dry_density_kgm3"], dry)
        assert close(figures["water_content_pct"], 100 * true_water / (wet - true_water))
        assert close(figures["percent_compaction"], 100 * dry / lab["maximum"])


def test_the_margin_is_the_distance_to_the_nearer_limit() -> None:
    rng = random.Random(9)
    for _ in range(CASES):
        dry = rng.randrange(880, 1120) / 10
        body = builders.sheet_body(dry=f"{dry} pcf", water_content="12.0 %")
        two_sided = builders.criterion(1, "percent_compaction", "95", "100")
        outcome = evaluation.evaluate(
            builders.inputs(
                body, reference=builders.reference("100.0"), specification=builders.specification(two_sided)
            )
        )
        (one,) = outcome.criteria
        assert one.margin is not None
        assert close(one.margin, min(dry - 95, 100 - dry))
        assert outcome.result == ("pass" if 95 <= dry <= 100 else "fail")
        assert parse_quantity(f"{dry} pcf", "density") > 0
