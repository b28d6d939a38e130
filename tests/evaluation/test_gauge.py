"""Corrections in force, what they leave alone, remarks on mode and depth, turned readings judged apart."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from compaction import evaluation
from compaction.calculations import comparison_rules
from compaction.evaluation import digests, gauge, gauge_comparison, gauge_pairs
from compaction.evaluation.gauge_pairs import SpotTest
from compaction.facts import EvaluationInputs, Outcome
from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey
from tests.evaluation import builders
from tests.evaluation.builders import D, cone_body, gauge_body

CORRECTION = GaugeCorrectionFacts(
    ident="c-1",
    gauge="G-7",
    mode="direct_transmission",
    notch=6,
    reference="P-1",
    effective_from=date(2026, 6, 1),
    water_offset_pct=D("-0.7"),
    adopted_at=datetime(2026, 6, 1, tzinfo=UTC),
)
KEY = GaugeKey("G-7", "P-1", "direct_transmission", 6)
BODY = gauge_body(wet="127.8 pcf", water_content="12.4 %")


def given(body: dict[str, Any] = BODY, **more: Any) -> EvaluationInputs:
    facts = {"reference": builders.reference(), "specification": builders.specification()}
    return builders.inputs(body, **facts | more)


def outcome(body: dict[str, Any] = BODY, **more: Any) -> Outcome:
    return evaluation.evaluate(given(body, **more))


def codes(found: Outcome) -> set[str]:
    return {finding.code for finding in found.findings}


def with_readings(**more: Any) -> dict[str, Any]:
    readings = {**BODY["readings"], **more}
    return {**BODY, "readings": {name: value for name, value in readings.items() if value is not None}}


# ---- which correction ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "changes",
    [
        {"gauge": "G-8"},
        {"mode": "backscatter", "notch": None},
        {"notch": 8},
        {"reference": "P-2"},
        {"effective_from": date(2026, 6, 4)},
    ],
)
def test_a_correction_reaches_nothing_but_its_own_key_from_its_day(changes: dict[str, Any]) -> None:
    assert gauge.in_force([CORRECTION], KEY, on=date(2026, 6, 3)) == CORRECTION
    assert gauge.in_force([replace(CORRECTION, **changes)], KEY, on=date(2026, 6, 3)) is None
    assert gauge.in_force([CORRECTION], None, on=date(2026, 6, 3)) is None


def test_own_soil_before_any_soil_then_the_newest_then_the_last_adopted() -> None:
    any_soil = replace(CORRECTION, ident="any", reference="", effective_from=date(2026, 6, 2))
    later = replace(CORRECTION, ident="later", effective_from=date(2026, 6, 2))
    again = replace(later, ident="again", adopted_at=datetime(2026, 6, 5, tzinfo=UTC))
    day = date(2026, 6, 3)
    assert gauge.in_force([any_soil, CORRECTION], KEY, on=day) == CORRECTION
    assert gauge.in_force([later, any_soil, CORRECTION], KEY, on=day) == later
    assert gauge.in_force([again, later, CORRECTION], KEY, on=day) == again


def test_a_gauge_test_without_serial_number_or_notch_has_no_key() -> None:
    assert gauge.key_of(given().observation) == KEY
    assert gauge.key_of(given(with_readings(depth="150 mm")).observation) == KEY
    assert gauge.key_of(given(with_readings(serial=None)).observation) is None
    named = {**with_readings(serial=None), "apparatus": {"gauge": "G-7"}}
    assert gauge.key_of(given(named).observation) == KEY
    assert gauge.key_of(given(with_readings(depth="6.4 in")).observation) is None
    assert gauge.key_of(given(cone_body()).observation) is None


# ---- what it does --------------------------------------------------------------------------------------
def test_it_is_applied_with_a_line_a_figure_and_a_remark() -> None:
    plain, corrected = outcome(), outcome(gauge_corrections=(CORRECTION,))
    assert corrected.figures["water_content_pct"] == D("11.7")
    assert corrected.figures["wet_density_kgm3"] == plain.figures["wet_density_kgm3"]
    assert corrected.figures["dry_density_kgm3"] > plain.figures["dry_density_kgm3"]
    assert corrected.figures["gauge_water_offset_pct"] == D("-0.7")
    [step] = [step for step in corrected.steps if step.id == "gauge-offset-points"]
    assert (step.numbers["displayed_water_content_pct"], step.result) == (D("12.4"), D("11.7"))
    assert codes(corrected) - codes(plain) == {"gauge-correction-applied"}
    assert corrected.inputs_digest != plain.inputs_digest


def test_an_oven_value_still_comes_before_the_corrected_water() -> None:
    with_oven = {**BODY, "water_contents": [{"method": "oven", "fraction": "total", "value": "13.0 %"}]}
    assert outcome(with_oven, gauge_corrections=(CORRECTION,)).figures["water_content_pct"] == 13


def test_what_it_does_not_change_does_not_change_the_digest() -> None:
    in_display = with_readings(water_offset={"value": "-0.7 %", "in_display": True})
    assert outcome(in_display, gauge_corrections=(CORRECTION,)) == outcome(in_display)
    ended = replace(CORRECTION, water_offset_pct=None)
    assert outcome(gauge_corrections=(ended,)) == outcome()
    reworded = replace(CORRECTION, ident="c-2", adopted_at=None, effective_from=date(2026, 5, 1))
    assert (
        outcome(gauge_corrections=(reworded,)).inputs_digest == outcome(gauge_corrections=(CORRECTION,)).inputs_digest
    )


def test_an_own_offset_that_says_something_else_is_used_and_remarked() -> None:
    own = with_readings(water_offset={"value": "-0.3 %", "in_display": False})
    found = outcome(own, gauge_corrections=(CORRECTION,))
    assert found.figures["water_content_pct"] == D("12.1")
    assert "offset-differs-from-adopted" in codes(found)
    assert "gauge-correction-applied" not in codes(found)
    density = replace(CORRECTION, water_offset_pct=None, density_factor=D("1.01"))
    both = outcome(own, gauge_corrections=(density,))
    assert both.figures["wet_density_kgm3"] == pytest.approx(builders.pcf("127.8") * D("1.01"), abs=D("1e-9"))
    assert both.figures["gauge_density_factor"] == D("1.01")
    assert "offset-differs-from-adopted" not in codes(both)


def test_the_digest_of_an_older_body_has_the_members_it_always_had() -> None:
    readings = given(with_readings(water_offset={"value": "-0.3 %", "in_display": False})).observation.readings
    members = digests._plain(readings)
    assert sorted(members) == [
        "count_time_s", "density_count", "density_standard_count", "depth_m", "mode", "moisture_count",
        "moisture_standard_count", "offset_in_display", "offset_kgm3", "offset_pct", "serial", "water_content_pct",
        "water_density_in_soil_kgm3", "wet_density_kgm3",
    ]  # fmt: skip
    newer = given(with_readings(wall_distance="0.4 m")).observation.readings
    assert set(digests._plain(newer)) - set(members) == {"wall_distance_m"}


# ---- remarks -------------------------------------------------------------------------------------------
def test_remarks_on_depth_mode_and_count_time_name_themselves_in_the_digest() -> None:
    surface = {**with_readings(mode="backscatter", depth=None), "lift_thickness": "8 in"}
    assert "backscatter-shallower-than-lift" in codes(outcome(surface))
    thin = {**surface, "lift_thickness": "100 mm"}
    assert "backscatter-shallower-than-lift" not in codes(outcome(thin))
    assert "depth-not-a-notch" in codes(outcome(with_readings(depth="6.4 in")))
    assert "count-time-short" in codes(outcome(with_readings(count_time="15 s")))
    assert gauge.digest_parts(given(with_readings(count_time="15 s")))["gauge_remarks"] == ["count-time-short"]
    assert gauge.digest_parts(given(with_readings(count_time="1 min"))) == {
        "gauge_corrections": [],
        "gauge_remarks": [],
    }


# ---- turned readings -----------------------------------------------------------------------------------
SECOND = {"turned": 90, "wet_density": "124.0 pcf", "water_content": "12.6 %"}


def test_readings_judged_apart_are_decided_by_the_worst() -> None:
    apart = outcome(with_readings(rotated=[SECOND], rotation="apart"))
    alone = outcome(with_readings(wet_density="124.0 pcf", water_content="12.6 %"))
    assert outcome().result == "pass"
    assert (apart.result, alone.result) == ("fail", "fail")
    assert apart.figures["percent_compaction"] == alone.figures["percent_compaction"]
    assert apart.criteria[0].found == alone.criteria[0].found
    assert apart.criteria[0].sentence == f"Reading 2 of 2: {alone.criteria[0].sentence}"
    assert {step.note.partition(";")[0] for step in apart.steps} == {"reading 1", "reading 2"}
    assert "rotated-readings-spread" in codes(apart)
    assert len([one for one in apart.findings if one.code == "standard-count-missing"]) == 0


def test_each_criterion_is_decided_by_its_own_worst_reading() -> None:
    criteria = builders.specification(builders.DENSITY_95, builders.criterion(2, "water_content_deviation", "-1", "1"))
    dense_but_dry = {"wet_density": "128.5 pcf", "water_content": "11.5 %"}
    found = outcome(with_readings(rotated=[dense_but_dry], rotation="apart"), specification=criteria)
    assert [(one.result, one.sentence[:12]) for one in found.criteria] == [
        ("pass", "Reading 1 of"),
        ("fail", "Reading 2 of"),
    ]
    assert found.result == "fail"


def test_a_correction_reaches_each_turned_reading_and_the_mean() -> None:
    for rotation in ("apart", "average"):
        body = with_readings(rotated=[SECOND], rotation=rotation)
        found = outcome(body, gauge_corrections=(CORRECTION,))
        steps = [step.result for step in found.steps if step.id == "gauge-offset-points"]
        assert steps == ([D("11.7"), D("11.9")] if rotation == "apart" else [D("11.8")])


# ---- pairs ---------------------------------------------------------------------------------------------
def spot(body: dict[str, Any], label: str = "1", uuid: str = "") -> SpotTest:
    return SpotTest(uuid or f"id-{label}", label, given(body).observation)


def test_an_offset_in_the_display_is_taken_out_of_a_pair_and_one_beside_it_left_out() -> None:
    cone = spot(cone_body(), "1C")
    plain = gauge_pairs.pair_up(spot(BODY), cone, origin="check")
    assert plain is not None
    assert (plain.gauge_water_pct, plain.oven_water_pct, plain.difference("water_content")) == (D("12.4"), D("12.4"), 0)
    shown = with_readings(water_content="11.7 %", water_offset={"value": "-0.7 %", "in_display": True})
    written = with_readings(water_offset={"value": "-0.7 %", "in_display": False})
    for body, in_display in ((shown, True), (written, False)):
        pair = gauge_pairs.pair_up(spot(body), cone, origin="check")
        assert pair is not None
        assert (pair.gauge_water_pct, pair.offset_in_display) == (D("12.4"), in_display)
    per_volume = gauge_body(wet="127.8 pcf", water=None, water_content=None) | {}
    per_volume["readings"] = {
        **{name: value for name, value in BODY["readings"].items() if name != "water_content"},
        "water": "13.7 pcf",
        "water_offset": {"value": "-0.4 pcf", "in_display": True},
    }
    pair = gauge_pairs.pair_up(spot(per_volume), cone, origin="check")
    assert pair is not None
    assert pair.gauge_water_kgm3 is not None
    assert round(pair.gauge_water_kgm3 / builders.pcf("1"), 6) == D("14.1")
    # 12.4 % beside 127.8 pcf wet are 127.8 x 12.4 / 112.4 pcf of water
    assert pair.oven_water_kgm3 == pytest.approx(builders.pcf("127.8") * D("12.4") / D("112.4"), abs=D("1e-9"))


def test_pairs_of_another_key_are_refused_and_the_digest_names_the_figures() -> None:
    rule = comparison_rules.rule("att-48")
    pair = gauge_pairs.pair_up(spot(BODY), spot(cone_body(), "1C"), origin="check")
    assert pair is not None
    found = gauge_comparison.compare(KEY, [pair], rule=rule)
    assert found.digest != gauge_comparison.compare(KEY, [replace(pair, counts=False)], rule=rule).digest
    assert found.digest == gauge_comparison.compare(KEY, [replace(pair, reason="said otherwise")], rule=rule).digest
    with pytest.raises(ValueError, match="another key"):
        gauge_comparison.compare(replace(KEY, gauge="G-8"), [pair], rule=rule)
