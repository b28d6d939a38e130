"""Digests name the numbers used: they move with every number that counts and with nothing else."""

import json
from dataclasses import replace
from typing import Any

import pytest

from compaction import evaluation, observation
from compaction.facts import CriterionFacts, CurvePoint, EvaluationInputs, Finding, PositionFacts, RoundingStep
from tests.evaluation import builders
from tests.evaluation.builders import OVERSIZE, D, cone_body

UUID = "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"
BODY = cone_body(oversize=OVERSIZE, maximum_particle="25 mm", lift_thickness="8 in")
REFERENCE = builders.reference(
    oversize_rule="correct_maximum",
    specific_gravity=D("2.70"),
    points=(CurvePoint(D(9), D(1800)), CurvePoint(D(15), D(1850))),
)
SPECIFICATION = builders.specification(rounding=(builders.to_tenth_percent(),))
POSITION = PositionFacts(zone="core", depth_below_grade_m=D("0.8"))


def given(body: dict[str, Any] = BODY, **changes: Any) -> EvaluationInputs:
    facts = {"reference": REFERENCE, "specification": SPECIFICATION, "position": POSITION}
    return builders.inputs(body, **facts | changes)


BEFORE = evaluation.inputs_digest(given())


@pytest.mark.parametrize(
    "body",
    [
        dict(reversed(BODY.items())),
        BODY | {"label": "1201A"},
        BODY | {"technician": "b.technician"},
        BODY | {"remarks": "windy", "soil": "clay", "weather": "dry", "witness": "nobody"},
        BODY | {"performed_at": "2026-06-03T10:15:00-06:00"},
        BODY | {"reference_basis": "visual"},
        BODY | {"notified": {"person": "foreman", "at": "2026-06-03T10:15:00-06:00", "how": "spoken"}},
        BODY | {"water_contents": [{"value": "12.40 %", "fraction": "total", "method": "oven"}]},
        BODY | {"readings": BODY["readings"] | {"mass_before": "6.842 kg"}},
    ],
)
def test_words_spelling_and_order_change_nothing(body: dict[str, Any]) -> None:
    assert evaluation.inputs_digest(given(body)) == BEFORE


@pytest.mark.parametrize(
    "changes",
    [
        {"reference": replace(REFERENCE, rev=2, digest="x")},
        {"reference": replace(REFERENCE, maximum_dry_density_kgm3=REFERENCE.maximum_dry_density_kgm3 * D("1.000"))},
        {"specification": replace(SPECIFICATION, rev=9, code="OTHER", digest="y")},
        {"specification": replace(SPECIFICATION, criteria=(replace(builders.DENSITY_95, clause="203.07"),))},
        {"specification": replace(SPECIFICATION, criteria=(replace(builders.DENSITY_95, minimum=D("95.0")),))},
        {"position": replace(POSITION, easting_m=D(1), northing_m=D(2), elevation_m=D(3), station_m=D(4))},
        {"sibling_references": (builders.reference("121.0", code="P-9"),)},
    ],
)
def test_revisions_without_new_numbers_change_nothing(changes: dict[str, Any]) -> None:
    assert evaluation.inputs_digest(given(**changes)) == BEFORE


@pytest.mark.parametrize(
    "body",
    [
        BODY | {"purpose": "information"},
        BODY | {"readings": BODY["readings"] | {"mass_after": "2872 g"}},
        BODY | {"water_contents": [{"method": "oven", "fraction": "total", "value": "12.5 %"}]},
        BODY | {"water_contents": [{"method": "microwave", "fraction": "total", "value": "12.4 %"}]},
        BODY | {"water_contents": [{"method": "oven", "fraction": "control", "value": "12.4 %"}]},
        BODY | {"oversize": OVERSIZE | {"percent": "19 %"}},
        BODY | {"maximum_particle": "24 mm"},
        BODY | {"lift": 5},
        BODY | {"lift_thickness": "9 in"},
        BODY | {"printed": {"percent_compaction": "96.4 %"}},
        BODY | {"retest_of": UUID},
        BODY | {"apparatus": {"cone": "C-3"}},
    ],
)
def test_every_number_that_counts_changes_it(body: dict[str, Any]) -> None:
    assert evaluation.inputs_digest(given(body)) != BEFORE


@pytest.mark.parametrize(
    "changes",
    [
        {"reference": None},
        {"reference": replace(REFERENCE, approved=False)},
        {"reference": replace(REFERENCE, optimum_water_content_pct=D("13.1"))},
        {"reference": replace(REFERENCE, oversize_rule="none")},
        {"reference": replace(REFERENCE, control_sieve="three_quarters")},
        {"reference": replace(REFERENCE, specific_gravity=D("2.71"))},
        {"reference": replace(REFERENCE, specific_gravity_measured=True)},
        {"reference": replace(REFERENCE, standing_oversize_pct=D(3))},
        {"reference": replace(REFERENCE, points=REFERENCE.points[:1])},
        {"specification": None},
        {"specification": replace(SPECIFICATION, approved=False)},
        {"specification": replace(SPECIFICATION, oven_required=True)},
        {"specification": replace(SPECIFICATION, absolute=True)},
        {"specification": replace(SPECIFICATION, rounding=(builders.to_tenth_percent(tie="half_up"),))},
        {"specification": replace(SPECIFICATION, rounding=(RoundingStep("optimum", D(1), "%"),))},
        {"specification": replace(SPECIFICATION, hold_above_percent_compaction=D(112))},
        {"specification": replace(SPECIFICATION, water_density_kgm3=D("998.2"))},
        {"specification": replace(SPECIFICATION, criteria=(replace(builders.DENSITY_95, minimum=D(96)),))},
        {"specification": replace(SPECIFICATION, criteria=(replace(builders.DENSITY_95, contractual=False),))},
        {"specification": replace(SPECIFICATION, criteria=(CriterionFacts(1, "air_voids", None, D(95)),))},
        {"position": replace(POSITION, zone="shell")},
        {"position": replace(POSITION, exempt=True)},
        {"position": replace(POSITION, depth_below_grade_m=None)},
        {"position": replace(POSITION, findings=(Finding("off", "validity", "Off the fill.", {}),))},
        {"technician_on_roster": False},
    ],
)
def test_every_fact_that_counts_changes_it(changes: dict[str, Any]) -> None:
    assert evaluation.inputs_digest(given(**changes)) != BEFORE


def test_another_curve_counts_only_where_a_figure_was_printed() -> None:
    body = BODY | {"printed": {"percent_compaction": "96.4 %"}}
    other = builders.reference("121.0", code="P-9")
    assert evaluation.inputs_digest(given(body)) != evaluation.inputs_digest(given(body, sibling_references=(other,)))
    own = replace(REFERENCE, rev=3)  # an older revision of the curve in use is no other curve
    assert evaluation.inputs_digest(given(body)) == evaluation.inputs_digest(given(body, sibling_references=(own,)))


def test_the_digest_of_an_outcome_leaves_words_out() -> None:
    outcome = evaluation.evaluate(given())
    same = replace(
        outcome,
        findings=tuple(replace(one, sentence="said otherwise") for one in outcome.findings),
        criteria=tuple(one._replace(sentence="said otherwise", clause="1.2") for one in outcome.criteria),
    )
    assert evaluation.digest(same) == evaluation.digest(outcome)
    figures = dict(outcome.figures) | {"percent_compaction": outcome.figures["percent_compaction"] + D("1e-9")}
    for other in (
        replace(outcome, result="pass"),
        replace(outcome, basis="provisional"),
        replace(outcome, figures=figures),
        replace(outcome, findings=outcome.findings[1:]),
        replace(outcome, findings=tuple(replace(one, severity="hold") for one in outcome.findings)),
    ):
        assert evaluation.digest(other) != evaluation.digest(outcome)


def test_an_outcome_comes_back_from_storage_as_it_went() -> None:
    outcome = evaluation.evaluate(given(BODY | {"printed": {"percent_compaction": "96.4 %"}}))
    stored = json.dumps(evaluation.to_plain(outcome))
    back = evaluation.from_plain(json.loads(stored))
    assert back == outcome
    assert evaluation.digest(back) == evaluation.digest(outcome)
    assert json.dumps(evaluation.to_plain(back)) == stored
    assert "E-" not in stored  # no number with an exponent


def test_reading_the_stored_body_again_gives_the_same_outcome() -> None:
    """The rebuild check in small: from the body as written, through JSON, to the same digest."""
    again = observation.read(json.loads(json.dumps(BODY)))
    assert evaluation.digest(evaluation.evaluate(given())) == evaluation.digest(
        evaluation.evaluate(replace(given(), observation=again))
    )
