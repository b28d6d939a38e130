"""Budgets against Monte Carlo and against the `uncertainties` package; the probability of conformity at its ends."""

from decimal import Decimal
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

from compaction.calculations import uncertainty
from compaction.calculations.errors import ImpossibleReading, OutsideValidity
from compaction.calculations.uncertainty import Input

D = Decimal
#: a sand-cone test with its standard uncertainties: readings in kg, kg/m3 and percent
READINGS = {
    "mass_before": (6.842, 0.001),
    "mass_after": (2.871, 0.001),
    "cone_and_plate_mass": (1.612, 0.005),
    "sand_bulk_density": (1412.0, 10.0),
    "soil_wet_mass": (3.421, 0.001),
    "water_content": (12.4, 0.3),
    "maximum": (1890.2, 16.0),
}


def given_input(name: str) -> Input:
    value, standard = READINGS[name]
    return Input(name, D(str(value)), D(str(standard)))


def chain() -> tuple[uncertainty.Budget, uncertainty.Budget, uncertainty.Budget]:
    wet = uncertainty.sand_cone_wet_density_budget(
        mass_before=given_input("mass_before"),
        mass_after=given_input("mass_after"),
        cone_and_plate_mass=given_input("cone_and_plate_mass"),
        sand_bulk_density=given_input("sand_bulk_density"),
        soil_wet_mass=given_input("soil_wet_mass"),
    )
    dry = uncertainty.dry_density_budget(wet_density=wet.as_input(), water_content=given_input("water_content"))
    percent = uncertainty.percent_compaction_budget(
        dry_density=dry.as_input(), maximum_dry_density=given_input("maximum")
    )
    return wet, dry, percent


def by_hand(x: dict) -> tuple:
    """The chain written out again, for floats, arrays or figures with uncertainty."""
    hole = (x["mass_before"] - x["mass_after"] - x["cone_and_plate_mass"]) / x["sand_bulk_density"]
    wet = x["soil_wet_mass"] / hole
    dry = wet / (1 + x["water_content"] / 100)
    return wet, dry, 100 * dry / x["maximum"]


def test_the_whole_chain_agrees_with_the_uncertainties_package() -> None:
    theirs = by_hand({name: ufloat(value, standard) for name, (value, standard) in READINGS.items()})
    for ours, other in zip(chain(), theirs, strict=True):
        assert float(ours.value) == pytest.approx(other.nominal_value, rel=1e-12)
        assert float(ours.standard_uncertainty) == pytest.approx(other.std_dev, rel=1e-7)


def test_the_whole_chain_agrees_with_monte_carlo() -> None:
    """400,000 draws: the standard deviation itself is known to 0.11 %, and curvature adds less; 0.5 % is allowed."""
    dice = np.random.default_rng(20260603)
    drawn = {name: dice.normal(value, standard, 400_000) for name, (value, standard) in READINGS.items()}
    for ours, sample in zip(chain(), by_hand(drawn), strict=True):
        assert float(ours.standard_uncertainty) == pytest.approx(float(np.std(sample)), rel=0.005)
        assert float(ours.value) == pytest.approx(float(np.mean(sample)), rel=0.0005)
    *_, percent = chain()
    probability = uncertainty.conformity_probability_pct(
        value=percent.value, standard_uncertainty=percent.standard_uncertainty, lower=D(95)
    )
    share = 100 * float(np.mean(by_hand(drawn)[2] >= 95))
    assert float(probability) == pytest.approx(share, abs=0.5)


def test_a_water_content_from_masses_agrees_with_the_package() -> None:
    wet, dry, can = (ufloat(value, 0.0001) for value in (0.150, 0.134, 0.034))
    theirs = 100 * (wet - dry) / (dry - can)  # the dry mass stands twice: correlated with itself
    ours = uncertainty.water_content_budget(
        wet_and_can=Input("wet", D("0.150"), D("0.0001")),
        dry_and_can=Input("dry", D("0.134"), D("0.0001")),
        can=Input("can", D("0.034"), D("0.0001")),
    )
    assert float(ours.standard_uncertainty) == pytest.approx(theirs.std_dev, rel=1e-7)


def test_shares_make_a_hundred_and_the_sand_leads() -> None:
    wet, dry, percent = chain()
    for budget in (wet, dry, percent):
        assert abs(sum(line.share_pct for line in budget.lines) - 100) < D("1e-15")
        assert budget.expanded() == 2 * budget.standard_uncertainty
    assert max(wet.lines, key=lambda line: line.share_pct).input.name == "sand_bulk_density"
    signs = {line.input.name: line.sensitivity > 0 for line in wet.lines}
    assert signs == {
        "mass_before": False, "mass_after": True, "cone_and_plate_mass": True, "sand_bulk_density": True,
        "soil_wet_mass": True,
    }  # fmt: skip


@given(st.integers(1600, 2300), st.integers(0, 300), st.integers(1, 60), st.integers(1, 20))
def test_more_uncertainty_in_is_more_out_and_a_unit_changes_nothing(wet: int, water: int, u: int, more: int) -> None:
    percent = Input("water", D(water) / 10, D("0.3"))
    one, other, in_grams = (
        uncertainty.dry_density_budget(wet_density=Input("wet", value, standard), water_content=percent)
        for value, standard in ((D(wet), D(u)), (D(wet), D(u + more)), (D(wet) / 1000, D(u) / 1000))
    )
    assert other.standard_uncertainty > one.standard_uncertainty
    assert abs(in_grams.standard_uncertainty * 1000 - one.standard_uncertainty) < D("1e-9")


def test_nothing_uncertain_is_certain_and_a_negative_uncertainty_is_refused() -> None:
    sure = uncertainty.dry_density_budget(
        wet_density=Input("wet", D(2200), D(0)), water_content=Input("water", D(10), D(0))
    )
    assert (sure.value, sure.standard_uncertainty) == (2000, 0)
    assert [line.share_pct for line in sure.lines] == [0, 0]
    with pytest.raises(OutsideValidity):
        uncertainty.budget("x", lambda x: x["a"], [Input("a", D(1), D(-1))])
    with pytest.raises(OutsideValidity):
        uncertainty.of_repeats([D(1)])
    with pytest.raises(ImpossibleReading):
        uncertainty.dry_density_budget(wet_density=Input("wet", D(0), D(1)), water_content=Input("w", D(10), D(1)))


@given(st.integers(9000, 10000), st.integers(1, 300))
def test_conformity_is_that_of_a_normal_distribution(hundredths: int, u: int) -> None:
    value, standard = D(hundredths) / 100, D(u) / 100
    found = uncertainty.conformity_probability_pct(value=value, standard_uncertainty=standard, lower=D(95))
    assert float(found) == pytest.approx(100 * stats.norm.sf(95, float(value), float(standard)), abs=1e-7)
    missed = uncertainty.conformity_probability_pct(value=value, standard_uncertainty=standard, upper=D(95))
    assert abs(found + missed - 100) < D("1e-7")
    band = uncertainty.conformity_probability_pct(value=value, standard_uncertainty=standard, lower=D(95), upper=D(98))
    assert band <= found


def test_a_figure_at_the_limit_conforms_by_half_and_without_uncertainty_wholly() -> None:
    at = {"value": D(95), "lower": D(95)}
    assert uncertainty.conformity_probability_pct(standard_uncertainty=D(1), **at) == 50
    assert uncertainty.conformity_probability_pct(standard_uncertainty=D(0), **at) == 100
    below = uncertainty.conformity_probability_pct(value=D("94.9"), standard_uncertainty=D(0), lower=D(95))
    assert below == 0
    with pytest.raises(OutsideValidity):
        uncertainty.conformity_probability_pct(value=D(95), standard_uncertainty=D(1))


def test_a_last_digit_is_a_rectangle() -> None:
    drawn = np.random.default_rng(7).uniform(-0.5, 0.5, 200_000)
    assert float(uncertainty.rectangular(D("0.5"))) == pytest.approx(float(np.std(drawn)), rel=0.005)
    values = [D(text) for text in ("12.1", "12.4", "12.2", "12.6")]
    by_scipy = stats.sem([float(value) for value in values])
    assert float(uncertainty.of_repeats(values)) == pytest.approx(float(by_scipy), rel=1e-9)
    assert sqrt(3) == pytest.approx(float(D("0.5") / uncertainty.rectangular(D("0.5"))))
