"""A test pit reports the whole material and the control fraction, whatever the oversize rule of the reference is."""

from decimal import Decimal

import pytest

from compaction import evaluation
from compaction.calculations.oversize import SIEVE_NAMES
from compaction.facts import Outcome
from tests.evaluation import builders

D = Decimal
PIT = {"sand_poured": "98 kg", "frame_sand": "14 kg", "sand_bulk_density": "1400 kg/m3", "soil_wet_mass": "132 kg"}
WATER = [{"method": "oven", "fraction": "total", "value": "10 %"}]
# Whole: 2200 wet, 2000 dry. By pencil: 70 / (100/2000 - 30/2600) = 70 / 0.0384615 = 1820 kg/m3, and
# (1000 - 30 x 2) / 70 = 13.4286 %.
OVERSIZE = {
    "sieve": "no4", "basis": "this_hole", "percent": "30 %", "bulk_specific_gravity": "2.60", "water_content": "2 %",
}  # fmt: skip


def pit_outcome(*, rule: str = "correct_maximum", **changes: object) -> Outcome:
    body = builders.cone_body(**{"method": "test_pit_sand", "readings": PIT, "water_contents": WATER} | changes)
    return evaluation.evaluate(
        builders.inputs(body, reference=builders.reference(oversize_rule=rule), specification=builders.specification())
    )


def codes(outcome: Outcome) -> list[str]:
    return [finding.code for finding in outcome.findings]


@pytest.mark.parametrize("rule", ["none", "correct_maximum", "correct_field"])
def test_both_fractions_stand_in_the_figures_under_every_rule(rule: str) -> None:
    outcome = pit_outcome(rule=rule, oversize=OVERSIZE)
    assert outcome.figures["dry_density_kgm3"] == 2000
    assert round(outcome.figures["control_fraction_dry_density_kgm3"], 1) == D("1820.0")
    assert round(outcome.figures["control_fraction_water_content_pct"], 4) == D("13.4286")
    assert "control-fraction-not-reported" not in codes(outcome)
    assert [step.id for step in outcome.steps].count("control-fraction-dry-density") == 1


@pytest.mark.parametrize("sieve", ["three", "one_and_half", "twenty_mm"])
def test_the_control_fraction_of_a_pit_may_be_that_of_any_control_sieve(sieve: str) -> None:
    outcome = pit_outcome(rule="none", oversize=OVERSIZE | {"sieve": sieve})
    assert round(outcome.figures["control_fraction_dry_density_kgm3"], 1) == D("1820.0")
    notes = {step.id: step.note for step in outcome.steps}
    assert notes["control-fraction-dry-density"] == f"passing {SIEVE_NAMES[sieve]}"


def test_oversize_on_20_mm_corrects_by_the_british_limits_and_d4718_names_none_for_it() -> None:
    british = builders.reference(
        control_sieve="twenty_mm", oversize_rule="correct_maximum", oversize_practice="bs1377_4"
    )
    found = {}
    for percent in ("30 %", "31 %"):
        body = builders.cone_body(oversize=OVERSIZE | {"sieve": "twenty_mm", "percent": percent})
        found[percent] = evaluation.evaluate(builders.inputs(body, reference=british))
    assert "percent_compaction" in found["30 %"].figures
    assert "oversize-beyond-limit" in codes(found["31 %"])
    american = builders.reference(control_sieve="twenty_mm", oversize_rule="correct_maximum")
    refused = evaluation.evaluate(builders.inputs(body, reference=american))
    assert "oversize-sieve-not-covered" in codes(refused)


def test_the_second_fraction_changes_no_percentage() -> None:
    cone = {"mass_before": "98 kg", "mass_after": "0 kg", "cone_and_plate_mass": "14 kg"}
    as_cone = pit_outcome(
        method="sand_cone",
        readings=cone | {"sand_bulk_density": "1400 kg/m3", "soil_wet_mass": "132 kg"},
        oversize=OVERSIZE,
    )
    pit = pit_outcome(oversize=OVERSIZE)
    assert "control_fraction_dry_density_kgm3" not in as_cone.figures
    assert pit.figures["percent_compaction"] == as_cone.figures["percent_compaction"]
    assert pit.criteria == as_cone.criteria


def test_a_pit_without_its_oversize_is_remarked_and_one_without_any_oversize_is_one_material() -> None:
    assert "control-fraction-not-reported" in codes(pit_outcome())
    without = pit_outcome(oversize={"sieve": "no4", "basis": "none"})
    assert without.figures["control_fraction_dry_density_kgm3"] == without.figures["dry_density_kgm3"]
    assert "control-fraction-not-reported" not in codes(without)


def test_a_water_content_of_the_control_fraction_is_taken_as_it_is() -> None:
    control = [{"method": "oven", "fraction": "control", "value": "13.4 %"}]
    outcome = pit_outcome(oversize=OVERSIZE, water_contents=control)
    assert outcome.figures["control_fraction_water_content_pct"] == D("13.4")


def test_the_largest_particle_is_held_against_the_table_of_the_method() -> None:
    assert "hole-too-small" not in codes(pit_outcome(maximum_particle="125 mm"))
    assert "particle-beyond-method" in codes(pit_outcome(maximum_particle="200 mm"))
    cylinder = {"cylinder_and_soil_mass": "3150 g", "cylinder_mass": "1200 g", "cylinder_volume": "1000 cm3"}
    driven = pit_outcome(method="drive_cylinder", readings=cylinder, maximum_particle="25 mm")
    assert "particle-beyond-method" in codes(driven)
    assert "hole-too-small" not in codes(driven)
