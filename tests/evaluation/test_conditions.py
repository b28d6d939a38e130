"""Conditions of criteria in an evaluation: precedence, facts that are not known, method binding, purposes, units."""

from dataclasses import replace
from typing import Any

import pytest

from compaction import evaluation
from compaction.calculations.criteria_at_point import standings
from compaction.calculations.criteria_selection import select
from compaction.calculations.criterion_conditions import Circumstances, told, within
from compaction.calculations.quantities import parse_quantity
from compaction.facts import Bounds, Conditions, CriterionFacts, Outcome, PositionFacts, ReferenceFacts, SoilFacts
from compaction.queries.derivation import margin_text
from tests.evaluation.builders import D, criterion, gauge_body, inputs, pcf, reference, sheet_body, specification

PC = "percent_compaction"
CLAY = Conditions(ranges=(("plasticity_index", Bounds(above=D(15))),))
SLIDING = Conditions(ranges=(("reference_maximum", Bounds(at_least=pcf("105"), below=pcf("120"))),))


def on_soil(**facts: Any) -> ReferenceFacts:
    return reference("100.0", "12.0", soil=SoilFacts("S-1", 1, **facts))


def judged(*criteria: CriterionFacts, body: dict[str, Any] | None = None, **given: Any) -> Outcome:
    spec = specification(*criteria, **given.pop("spec", {}))
    facts = {"reference": reference("100.0", "12.0")} | given
    return evaluation.evaluate(
        inputs(body or sheet_body(dry="96.0 pcf", water_content="12.0 %"), specification=spec, **facts)
    )


def results(outcome: Outcome) -> dict[int, str]:
    return {one.number: one.result for one in outcome.criteria}


def codes(outcome: Outcome) -> set[str]:
    return {one.code for one in outcome.findings}


# ---- precedence ----------------------------------------------------------------------------------
def test_more_conditions_go_before_fewer_and_a_zone_before_a_condition() -> None:
    plain, clay = criterion(1, PC, "90"), criterion(2, PC, "95", conditions=CLAY)
    core = criterion(3, PC, "96", zone="core")
    both = criterion(4, PC, "98", zone="core", conditions=CLAY)
    at = Circumstances(zone="core", measured={"plasticity_index": D(20)})
    for given, number in (((plain, clay), 2), ((clay, core), 3), ((plain, clay, core, both), 4)):
        assert [one.number for one in select(given, zone="core", depth_m=None, at=at).criteria] == [number]
    assert select((clay, core), zone="core", depth_m=None, at=at).contested == ()


def test_two_that_are_equally_specific_are_contested_and_the_lower_number_holds() -> None:
    clay = criterion(2, PC, "95", conditions=CLAY)
    sliding = criterion(1, PC, "100", conditions=SLIDING)
    outcome = judged(
        sliding, clay, reference=replace(on_soil(plasticity_index_pct=D(20)), maximum_dry_density_kgm3=pcf("110"))
    )
    assert results(outcome) == {1: "fail"}
    assert "criteria-overlap" in codes(outcome)


def test_of_two_bound_to_methods_the_one_of_this_reference_holds() -> None:
    standard = criterion(1, PC, "95", reference_methods=("D698",))
    modified = criterion(2, PC, "90", reference_methods=("D1557",))
    outcome = judged(standard, modified, reference=reference("100.0", "12.0", method="D1557-C"))
    assert results(outcome) == {2: "pass"}
    assert "criteria-overlap" not in codes(outcome)


def test_a_less_specific_limit_never_stands_in_for_one_that_refuses_the_method() -> None:
    everywhere = criterion(1, PC, "90", reference_methods=("D1557",))
    core = criterion(2, PC, "98", zone="core", reference_methods=("D698",))
    outcome = judged(
        everywhere, core, reference=reference("100.0", "12.0", method="D1557-A"), position=PositionFacts(zone="core")
    )
    assert results(outcome) == {2: "no_criterion"}
    assert outcome.result == "no_criterion"
    assert "reference-method-not-bound" in codes(outcome)


# ---- facts that are not known --------------------------------------------------------------------
def test_what_is_not_known_is_named_and_nothing_passes_without_its_density() -> None:
    clay, moisture = criterion(1, PC, "95", conditions=CLAY), criterion(2, "water_content_deviation", "-2", "2")
    outcome = judged(clay, moisture)
    assert results(outcome) == {1: "no_criterion", 2: "pass"}
    assert outcome.result == "no_criterion"
    [finding] = [one for one in outcome.findings if one.code == "fact-needed-for-criterion"]
    assert "plasticity index" in finding.sentence
    assert judged(clay, moisture, reference=on_soil(plasticity_index_pct=D(20))).result == "pass"


def test_where_another_criterion_holds_it_judges_and_the_missing_fact_is_remarked() -> None:
    outcome = judged(criterion(1, PC, "95"), criterion(2, PC, "98", conditions=CLAY))
    assert results(outcome) == {1: "pass"}
    assert "fact-needed-for-criterion" in codes(outcome)


def test_an_unmet_condition_makes_other_facts_unimportant() -> None:
    conditions = replace(CLAY, methods=("sand_cone",))
    assert told(conditions, Circumstances(method="nuclear_gauge")).wanted == ()
    assert told(conditions, Circumstances(method="sand_cone")).wanted == ("plasticity index",)


@pytest.mark.parametrize(
    ("conditions", "at", "met"),
    [
        (Conditions(group_symbols=("CL", "CH")), Circumstances(group_symbol="ch"), True),
        (Conditions(group_symbols=("CL",)), Circumstances(group_symbol="SM"), False),
        (Conditions(aashto_groups=("A-2-4",)), Circumstances(aashto_group="A-2-4"), True),
        (Conditions(methods=("sand_cone",)), Circumstances(method="nuclear_gauge"), False),
        (Conditions(structure="Wall 3"), Circumstances(structure="wall 3"), True),
        (Conditions(structure="wall 3"), Circumstances(), False),
        (SLIDING, Circumstances(measured={"reference_maximum": pcf("119.999")}), True),
        (SLIDING, Circumstances(measured={"reference_maximum": pcf("120")}), False),
    ],
)
def test_each_kind_of_condition(conditions: Conditions, at: Circumstances, met: bool) -> None:
    assert (told(conditions, at).unmet == ()) is met


def test_a_change_of_unit_moves_no_end_of_a_range() -> None:
    # 105 pcf written in kg/m3 to six decimals, as a laboratory may have stored it
    assert within(parse_quantity("105.0 pcf", "density"), Bounds(at_least=parse_quantity("105 pcf", "density")))
    assert not within(D("15.000000001"), Bounds(at_most=D(15)))
    assert within(D("15.0000000001"), Bounds(at_most=D(15)))


# ---- other quantities ----------------------------------------------------------------------------
def test_probe_depth_is_asked_of_gauges_only() -> None:
    equals = criterion(2, "probe_depth", str(D("0.1524")), str(D("0.1524")), unit="in")
    gauge = gauge_body(wet="107.52 pcf", water_content="12.0 %")
    assert results(judged(criterion(1, PC, "95"), equals, body=gauge)) == {1: "pass", 2: "pass"}
    shallow = gauge | {"readings": gauge["readings"] | {"depth": "4 in"}}
    assert results(judged(criterion(1, PC, "95"), equals, body=shallow))[2] == "fail"
    surface = {name: value for name, value in gauge["readings"].items() if name != "depth"} | {"mode": "backscatter"}
    assert results(judged(criterion(1, PC, "95"), equals, body=gauge | {"readings": surface}))[2] == "fail"
    assert results(judged(criterion(1, PC, "95"), equals)) == {1: "pass"}


def test_limits_are_told_in_the_unit_they_are_written_in() -> None:
    thick = criterion(1, "lift_thickness", None, str(D("0.2032")), unit="in")
    outcome = judged(thick, body=sheet_body(dry="96.0 pcf", water_content="12.0 %", lift_thickness="9 in"))
    assert outcome.criteria[0].sentence == "9 in is compared as it is; limit at most 8 in: fail."
    assert margin_text(outcome) == "lift thickness 9 of at most 8 in, 1 over"
    dense = criterion(1, "dry_density", str(pcf("95")), unit="pcf")
    assert margin_text(judged(dense)) == "dry density 96 of 95 pcf, 1 to spare"
    assert evaluation.from_plain(evaluation.to_plain(outcome)).criteria == outcome.criteria


def test_oversize_that_is_limited_and_not_known_is_awaited() -> None:
    limit = criterion(1, "oversize", None, "10")
    assert results(judged(limit)) == {1: "pending_oversize"}
    stated = sheet_body(
        dry="96.0 pcf", water_content="12.0 %", oversize={"sieve": "no4", "basis": "this_hole", "percent": "11 %"}
    )
    assert results(judged(limit, body=stated)) == {1: "fail"}


def test_tests_for_other_purposes_only_inform() -> None:
    body = sheet_body(dry="90.0 pcf", water_content="12.0 %", purpose="quality_control")
    outcome = judged(criterion(1, PC, "95"), body=body, spec={"purposes": ("acceptance",)})
    assert (outcome.result, results(outcome)) == ("no_criterion", {1: "fail"})
    assert not outcome.criteria[0].contractual
    assert "purpose-does-not-count" in codes(outcome)
    assert judged(criterion(1, PC, "95"), body=body).result == "fail"


# ---- digests -------------------------------------------------------------------------------------
def test_a_specification_without_conditions_has_the_digest_it_had() -> None:
    given = inputs(
        sheet_body(dry="96.0 pcf", water_content="12.0 %"),
        reference=reference("100.0", "12.0"),
        specification=specification(criterion(1, PC, "95"), criterion(2, PC, "98", zone="core")),
    )
    # from the code as it was before conditions existed
    assert evaluation.inputs_digest(given) == DIGEST_BEFORE
    elsewhere = replace(given, position=PositionFacts(elevation_m=D(5)))
    assert evaluation.inputs_digest(elsewhere) == DIGEST_BEFORE


DIGEST_BEFORE = "e13243d71264d2e86b63b95a406e109b58eae4d40f0d711afe8b4d06f7cae960"


def test_every_condition_moves_the_digest_and_so_does_what_it_looks_at() -> None:
    def named(one: CriterionFacts, **more: Any) -> str:
        facts = {"reference": reference("100.0", "12.0")} | more
        return evaluation.inputs_digest(
            inputs(sheet_body(dry="96.0 pcf", water_content="12.0 %"), specification=specification(one), **facts)
        )

    plain = criterion(1, PC, "95")
    others = [
        replace(plain, conditions=CLAY),
        replace(plain, conditions=Conditions(ranges=(("plasticity_index", Bounds(at_least=D(15))),))),
        replace(plain, conditions=Conditions(group_symbols=("CL",))),
        replace(plain, conditions=Conditions(structure="wall 3")),
        replace(plain, reference_methods=("D698",)),
        replace(plain, statistic="moving_average"),
    ]
    assert len({named(one) for one in [plain, *others]}) == len(others) + 1
    assert named(replace(plain, unit="pcf", clause="other words")) == named(plain)
    bound = replace(plain, reference_methods=("D698",))
    other = reference("100.0", "12.0", method="D1557-A")
    assert named(bound) != named(bound, reference=other)
    assert named(plain) == named(plain, reference=other)
    assert named(bound) != named(bound, position=PositionFacts(elevation_m=D(5)))


def test_standings_say_of_every_criterion_why_it_does_not_govern() -> None:
    given = (
        criterion(1, PC, "90"),
        criterion(2, PC, "95", depth_to_m=D("0.6")),
        criterion(3, PC, "98", conditions=CLAY),
        criterion(4, PC, "97", zone="shell"),
        criterion(5, "saturation", None, "95", reference_methods=("D698",)),
    )
    found = standings(given, Circumstances(zone="core", depth_m=D("0.5"), reference_method="D1557-A"))
    assert [one.state for one in found] == ["displaced", "governs", "unknown", "elsewhere", "refused"]
    assert found[0].because == ("criterion 2 names more conditions",)
    assert found[3].because == ("zone shell",)
