"""Whatever is sent: an outcome or a `ContentError`, and nothing else; every outcome survives storage."""

import json
from dataclasses import replace
from datetime import date
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from compaction import evaluation, observation
from compaction.calculations.oversize import SIEVE_NAMES
from compaction.calculations.quantities import quantise
from compaction.facts import (
    CriterionFacts,
    CriterionResult,
    CurvePoint,
    Outcome,
    PositionFacts,
    ReferenceFacts,
    RoundingStep,
    SpecificationFacts,
)
from tests.evaluation import bodies, builders
from tests.evaluation.builders import D

decimals = st.decimals(allow_nan=False, allow_infinity=False, places=2, min_value=D("-5"), max_value=D("60"))
REFERENCES = st.none() | st.builds(
    ReferenceFacts,
    code=st.sampled_from(["P-1", "P-2"]),
    rev=st.just(1),
    approved=st.booleans(),
    method=st.just("D698-A"),
    maximum_dry_density_kgm3=st.sampled_from([D(1890), D("0"), D("1585.827874022"), D(2400)]),
    optimum_water_content_pct=decimals,
    control_sieve=st.sampled_from(list(SIEVE_NAMES)),
    oversize_rule=st.sampled_from(["none", "correct_maximum", "correct_field"]),
    oversize_bulk_specific_gravity=st.none() | st.sampled_from([D("2.62"), D(0)]),
    oversize_water_content_pct=st.none() | decimals,
    standing_oversize_pct=st.none() | st.sampled_from([D(0), D(5), D(18), D(45), D(100)]),
    specific_gravity=st.none() | st.sampled_from([D("2.70"), D("1.2"), D(0)]),
    specific_gravity_measured=st.booleans(),
    points=st.lists(st.builds(CurvePoint, decimals, st.sampled_from([D(1700), D(1850)])), max_size=4).map(tuple),
)
REFERENCES |= st.builds(
    ReferenceFacts,
    code=st.just("R-1"),
    rev=st.just(1),
    approved=st.booleans(),
    method=st.just("D4253-1A, D4254-A"),
    maximum_dry_density_kgm3=st.sampled_from([D(1800), D(1500)]),
    optimum_water_content_pct=st.just(D(0)),
    kind=st.just("index_density"),
    minimum_index_density_kgm3=st.sampled_from([D(1400), D(1500), D(1900)]),
    specific_gravity=st.none() | st.just(D("2.65")),
) | st.builds(
    ReferenceFacts,
    code=st.just("F-1"),
    rev=st.just(1),
    approved=st.booleans(),
    method=st.just("D698-A"),
    maximum_dry_density_kgm3=st.just(D(0)),
    optimum_water_content_pct=st.just(D(0)),
    kind=st.just("family"),
    family=st.just(("P-1", "P-2")),
    valid_until=st.none() | st.just(date(2026, 1, 1)),
)
CRITERIA = st.builds(
    CriterionFacts,
    number=st.integers(1, 9),
    quantity=st.sampled_from(
        [
            "percent_compaction",
            "relative_density",
            "water_content_deviation",
            "water_content",
            "air_voids",
            "saturation",
        ]
    ),
    minimum=st.none() | decimals,
    maximum=st.none() | decimals,
    contractual=st.booleans(),
    zone=st.sampled_from(["", "core"]),
    depth_from_m=st.none() | st.just(D("0.5")),
)
STEPS = st.builds(
    RoundingStep,
    quantity=st.sampled_from(["dry_density", "wet_density", "maximum", "corrected_maximum"]),
    increment=st.sampled_from([D("0.1"), D(1), D("0.5")]),
    unit=st.sampled_from(["pcf", "kg/m3"]),
    method=st.sampled_from(["round", "truncate"]),
    tie=st.sampled_from(["half_even", "half_up"]),
) | st.builds(
    RoundingStep,
    quantity=st.sampled_from(
        ["water_content", "optimum", "corrected_optimum", "percent_compaction", "water_content_deviation"]
    ),
    increment=st.sampled_from([D("0.1"), D(1), D("0.05")]),
    unit=st.just("%"),
)
SPECIFICATIONS = st.none() | st.builds(
    SpecificationFacts,
    code=st.just("EARTH"),
    rev=st.just(1),
    approved=st.booleans(),
    criteria=st.lists(CRITERIA, max_size=4).map(tuple),
    rounding=st.lists(STEPS, max_size=3).map(tuple),
    absolute=st.booleans(),
    oven_required=st.booleans(),
)
POSITIONS = st.builds(
    PositionFacts,
    zone=st.sampled_from(["", "core"]),
    depth_below_grade_m=st.none() | st.sampled_from([D("0.2"), D("1.2")]),
    exempt=st.booleans(),
)


def bare(outcome: Outcome) -> Outcome:
    """An outcome without what only a reader of its worksheet wants."""
    return replace(outcome, steps=(), criteria=tuple(one._replace(sentence=said(one)) for one in outcome.criteria))


def said(one: CriterionResult) -> str:
    return one.sentence if one.judged is None else ""  # why a figure is missing is said either way


@settings(max_examples=300, deadline=None)
@given(
    content=bodies.BODIES,
    reference=REFERENCES,
    specification=SPECIFICATIONS,
    position=POSITIONS,
    siblings=st.lists(REFERENCES, max_size=2),
)
def test_a_readable_body_has_an_outcome_that_survives_storage(
    content: Any,
    reference: ReferenceFacts | None,
    specification: SpecificationFacts | None,
    position: PositionFacts,
    siblings: list[ReferenceFacts | None],
) -> None:
    try:
        read = observation.read(content)
    except observation.ContentError as error:
        assert error.errors  # noqa: PT017 - what is refused says why
        return
    inputs = builders.inputs(
        read,
        reference=reference,
        specification=specification,
        position=position,
        sibling_references=tuple(one for one in siblings if one is not None),
    )
    outcome = evaluation.evaluate(inputs)
    assert outcome.result in ("pass", "fail", "pending", "no_criterion")
    assert evaluation.evaluate(inputs) == outcome
    without = evaluation.evaluate(inputs, worksheet=False)
    assert evaluation.digest(without) == evaluation.digest(outcome)
    assert {name: str(value) for name, value in without.figures.items()} == {
        name: str(value) for name, value in outcome.figures.items()
    }
    assert without == bare(outcome)
    assert evaluation.evaluate(inputs, worksheet=False, named=False) == replace(bare(outcome), inputs_digest="")
    stored = json.dumps(evaluation.to_plain(outcome), allow_nan=False)
    back = evaluation.from_plain(json.loads(stored))
    assert back == outcome
    assert evaluation.digest(back) == evaluation.digest(outcome)
    for value in outcome.figures.values():
        assert value == quantise(value)
    for one in outcome.criteria:
        assert (one.margin is None) or ((one.margin >= 0) == (one.result == "pass"))
        assert one.sentence


@settings(max_examples=400, deadline=None)
@given(content=bodies.spoilt() | bodies.HOSTILE)
@example(content={"readings": {"\ud800": "\ud800"}, "method": "sand_cone"})
def test_a_hostile_body_is_refused_with_pointers_that_can_be_sent(content: Any) -> None:
    try:
        read = observation.read(content)
        observation.read_position(content)
        observation.read_notice(content)
    except observation.ContentError as error:
        for pointer, code, sentence in error.errors:
            assert pointer == "" or pointer.startswith("/")
            assert code
            (pointer + sentence).encode("utf-8")
        return
    evaluation.evaluate(builders.inputs(read, reference=builders.reference(), specification=builders.specification()))
