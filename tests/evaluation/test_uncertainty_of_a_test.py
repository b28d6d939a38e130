"""Budgets of whole tests against the `uncertainties` package, the chain written again for each way to a volume, and
against Monte Carlo through the evaluation itself."""

from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from math import sqrt
from typing import Any

import numpy as np
import pytest
from scipy import stats
from uncertainties import ufloat

from compaction import evaluation
from compaction.calculations.input_uncertainties import OF_READINGS, uncertainty_of_reading
from compaction.calculations.methods import METHODS
from compaction.calculations.quantities import to_si
from compaction.calculations.water_density import water_density_at_kgm3
from compaction.evaluation import uncertainty
from compaction.evaluation.uncertain_inputs import uncertain_inputs
from compaction.facts import EvaluationInputs
from tests.evaluation import builders
from tests.evaluation.builders import DENSITY_95, OVERSIZE, D
from tests.field_readings import IN_PLACE

CONE = {
    "mass_before": "6842 g", "mass_after": "2871 g", "cone_and_plate_mass": "1612 g", "sand_bulk_density": "1412 kg/m3",
    "soil_wet_mass": "3421 g",
}  # fmt: skip
BODIES: dict[str, dict[str, Any]] = {**IN_PLACE, "sand_cone": CONE}
REFERENCE = builders.reference(
    specific_gravity=D("2.70"), oversize_rule="correct_maximum", oversize_bulk_specific_gravity=D("2.62")
)


def inputs_of(code: str, *, rule: str = "correct_maximum", **changes: Any) -> EvaluationInputs:
    body = builders.cone_body(**{"method": code, "readings": BODIES[code], "oversize": OVERSIZE} | changes)
    deviation = builders.criterion(2, "water_content_deviation", "-2", "2")
    return builders.inputs(
        body,
        reference=replace(REFERENCE, oversize_rule=rule),
        specification=builders.specification(DENSITY_95, deviation, rounding=(builders.to_tenth_percent(),)),
    )


def drawn(inputs: EvaluationInputs) -> dict[str, Any]:
    """Every input with its standard uncertainty, for the package."""
    given = uncertain_inputs(inputs, stated={})
    return {one.input.name: ufloat(float(one.input.value), float(one.input.standard_uncertainty)) for one in given}


def _water_kgm3(degc: Any) -> Any:
    """The density of water as a straight line about 15 deg C, its slope by hand."""
    at, beside = (float(water_density_at_kgm3(temperature_degc=D(text))) for text in ("15", "15.001"))
    return at + (degc - 15) * (beside - at) / 0.001


#: code -> wet density, written again
WET: dict[str, Callable[[dict[str, Any]], Any]] = {
    "sand_cone": lambda x: x["soil_wet_mass_kg"] * x["sand_bulk_density_kgm3"]
    / (x["mass_before_kg"] - x["mass_after_kg"] - x["cone_and_plate_mass_kg"]),
    "sand_replacement": lambda x: x["soil_wet_mass_kg"] * x["sand_bulk_density_kgm3"]
    / (x["mass_before_kg"] - x["mass_after_kg"] - x["cone_mass_kg"]),
    "rubber_balloon": lambda x: x["soil_wet_mass_kg"] / (x["final_volume_m3"] - x["initial_volume_m3"]),
    "drive_cylinder": lambda x: (x["cylinder_and_soil_mass_kg"] - x["cylinder_mass_kg"]) / x["cylinder_volume_m3"],
    "test_pit_sand": lambda x: x["soil_wet_mass_kg"] * x["sand_bulk_density_kgm3"]
    / (x["sand_poured_kg"] - x["frame_sand_kg"]),
    "test_pit_water": lambda x: x["soil_wet_mass_kg"]
    / (
        (x["pit_water_mass_kg"] - x["ring_water_mass_kg"]) / _water_kgm3(x["water_temperature_degc"])
        + x["liner_volume_m3"]
    ),
    "stated_wet_density": lambda x: x["wet_density_kgm3"],
}  # fmt: skip


@pytest.mark.parametrize("code", WET)
def test_the_chain_of_every_method_agrees_with_the_package(code: str) -> None:
    inputs = inputs_of(code)
    x = drawn(inputs)
    wet = WET[code](x)
    water = x["total_oven_water_content_pct"]
    dry = wet / (1 + water / 100)
    coarse = x["oversize_pct"] / 100
    maximum = 1 / (
        (1 - coarse) / x["reference_maximum_dry_density_kgm3"] + coarse / (x["oversize_bulk_specific_gravity"] * 1000)
    )
    optimum = x["reference_optimum_water_content_pct"] * (1 - coarse) + x["oversize_water_content_pct"] * coarse
    theirs = {
        "wet_density_kgm3": wet, "water_content_pct": water, "dry_density_unrounded_kgm3": dry,
        "percent_compaction": 100 * dry / maximum, "water_content_deviation_pct": water - optimum,
    }  # fmt: skip
    found = {one.name: one for one in uncertainty.report(inputs).budgets}
    assert set(found) == set(theirs)
    for name, other in theirs.items():
        assert float(found[name].value) == pytest.approx(other.nominal_value, rel=1e-9)
        assert float(found[name].standard_uncertainty) == pytest.approx(other.std_dev, rel=1e-5)
        assert abs(sum(line.share_pct for line in found[name].lines) - 100) < D("1e-9")


def test_what_enters_twice_is_followed_with_its_correlation() -> None:
    """Correcting the field density: the water content is in the dry density and in the control fraction of it."""
    inputs = inputs_of("sand_cone", rule="correct_field")
    x = drawn(inputs)
    water, coarse = x["total_oven_water_content_pct"], x["oversize_pct"] / 100
    dry = WET["sand_cone"](x) / (1 + water / 100)
    fine = (1 - coarse) / (1 / dry - coarse / (x["oversize_bulk_specific_gravity"] * 1000))
    fine_water = (water - x["oversize_water_content_pct"] * coarse) / (1 - coarse)
    found = {one.name: one for one in uncertainty.report(inputs).budgets}
    for name, other in (
        ("percent_compaction", 100 * fine / x["reference_maximum_dry_density_kgm3"]),
        ("water_content_deviation_pct", fine_water - x["reference_optimum_water_content_pct"]),
    ):
        assert float(found[name].standard_uncertainty) == pytest.approx(other.std_dev, rel=1e-5)


def test_monte_carlo_through_the_evaluation_itself_agrees() -> None:
    """1,500 draws: the standard deviation is known to 1.8 %; three of its standard errors are allowed."""
    inputs = inputs_of("sand_cone")
    given = uncertain_inputs(inputs, stated={})
    dice = np.random.default_rng(20260604)
    percents = []
    for _ in range(1500):
        put = inputs
        for one in given:
            value = dice.normal(float(one.input.value), float(one.input.standard_uncertainty))
            put = one.put(put, Decimal(repr(float(value))))
        percents.append(float(evaluation.evaluate(put, worksheet=False).figures["percent_compaction"]))
    found = uncertainty.report(inputs)
    percent = next(one for one in found.budgets if one.name == "percent_compaction")
    assert float(percent.standard_uncertainty) == pytest.approx(float(np.std(percents)), rel=0.055)
    (density, _) = found.conformities
    assert float(density.probability_pct) == pytest.approx(100 * np.mean(np.array(percents) >= 95), abs=1.0)


@pytest.mark.parametrize("mode", ["direct_transmission", "backscatter"])
def test_a_gauge_with_its_own_water(mode: str) -> None:
    body = builders.gauge_body(wet="130.0 pcf", water="14.0 pcf")
    body["readings"] = {key: value for key, value in body["readings"].items() if key != "depth"} | {"mode": mode}
    inputs = builders.inputs(body, reference=builders.reference(), specification=builders.specification())
    x = drawn(inputs)
    dry = x["wet_density_kgm3"] - x["water_density_in_soil_kgm3"]
    found = {one.name: one for one in uncertainty.report(inputs).budgets}
    for name, other in (
        ("dry_density_unrounded_kgm3", dry),
        ("water_content_pct", 100 * x["water_density_in_soil_kgm3"] / dry),
        ("percent_compaction", 100 * dry / x["reference_maximum_dry_density_kgm3"]),
    ):
        assert float(found[name].standard_uncertainty) == pytest.approx(other.std_dev, rel=1e-5)


def test_two_densities_with_a_pound_each_make_a_percent_uncertain_by_1_2_points() -> None:
    """PC-05 (constructed): 110 and 115 lb/ft3, one pound each; 1.203 points."""
    pound = to_si(D(1), "pcf")
    inputs = builders.inputs(
        builders.sheet_body(dry="110.0 pcf", water_content="12.0 %"),
        reference=builders.reference("115.0"),
        specification=builders.specification(),
    )
    found = uncertainty.report(inputs, stated={"dry_density_kgm3": pound, "reference_maximum_dry_density_kgm3": pound})
    percent = next(one for one in found.budgets if one.name == "percent_compaction")
    assert round(percent.standard_uncertainty, 3) == D("1.203")
    assert {line.input.basis for line in percent.lines} == {"stated by whoever asks"}
    (conformity,) = found.conformities
    assert float(conformity.probability_pct) == pytest.approx(100 * stats.norm.sf(95, 95.652, 1.203), abs=0.05)
    assert conformity.guarded_minimum == D(95) + 2 * percent.standard_uncertainty
    assert not conformity.beyond_guard_band  # it passes; the band says only how surely


def test_no_verdict_follows_from_it() -> None:
    for dry in ("112.0 pcf", "112.2 pcf"):  # 94.9 and 95.1 of 118
        inputs = builders.inputs(
            builders.sheet_body(dry=dry, water_content="12.0 %"),
            reference=builders.reference(),
            specification=builders.specification(),
        )
        before = evaluation.digest(evaluation.evaluate(inputs))
        assert not uncertainty.report(inputs).conformities[0].beyond_guard_band
        assert evaluation.digest(evaluation.evaluate(inputs)) == before


def test_readings_that_cannot_be_worked_have_no_budget() -> None:
    spilled = CONE | {"mass_after": "6842 g"}
    found = uncertainty.report(inputs_of("sand_cone", readings=spilled))
    assert (found.budgets, found.conformities) == ((), ())


def test_each_reading_of_each_method_has_an_uncertainty_or_none_by_its_nature() -> None:
    """Names end in their unit, so that a new method needs no row; times, counts and factors do not scatter."""
    for method in METHODS.values():
        for field in fields(method.readings_type):
            if "Decimal" not in str(field.type) or field.name.endswith(("_s", "_factor")):
                continue
            standard, basis = uncertainty_of_reading(field.name, D(10))
            assert standard > 0
            assert basis
    assert sqrt(3) * float(OF_READINGS["_kg"].of(D(10))) == pytest.approx(0.01)


def test_readings_judged_apart_get_the_budget_of_the_reading_that_decides() -> None:
    """The second is the looser and drier one: density and moisture budgets are its own, not those of the first."""
    readings = {
        "mode": "direct_transmission", "depth": "6 in", "serial": "G-1",
        "wet_density": "126.0 pcf", "water": "15.0 pcf",
    }  # fmt: skip
    second = {"wet_density": "122.0 pcf", "water": "15.6 pcf"}
    criteria = (DENSITY_95, builders.criterion(2, "water_content_deviation", "-2", "1"))

    def asked(first: dict[str, str], *turned: dict[str, str]) -> EvaluationInputs:
        more = {"rotated": list(turned), "rotation": "apart"} if turned else {}
        body = builders.cone_body(method="nuclear_gauge", readings=readings | first | more)
        del body["water_contents"]
        return builders.inputs(body, reference=builders.reference(), specification=builders.specification(*criteria))

    together = uncertainty.report(asked({}, second))
    alone = uncertainty.report(asked(second))
    assert together.budgets == alone.budgets
    assert together.conformities == alone.conformities
    assert together.budgets != uncertainty.report(asked({})).budgets
    assert "reading 2" in together.notes[0]
    # dense but too wet: the moisture limit is told with the first reading, the density with the second
    wet = {"water": "17.5 pcf", "wet_density": "134.0 pcf"}
    mixed = uncertainty.report(asked(wet, second))
    density, moisture = mixed.conformities
    assert density == alone.conformities[0]
    assert moisture == uncertainty.report(asked(wet)).conformities[1]
    assert "told with that reading" in mixed.notes[0]
