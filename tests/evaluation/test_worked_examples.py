"""Published and constructed examples through the whole path from body to outcome; sources stand in the fixtures."""

from dataclasses import replace
from decimal import Decimal

import pytest

from compaction import evaluation
from compaction.calculations.quantities import from_si, parse_quantity
from compaction.facts import Outcome, RoundingStep
from tests.evaluation import builders, fixtures

D = Decimal
NG_01 = fixtures.example("nuclear_gauge_ng01")
DS_01 = fixtures.example("transcribed_ds01")
RT_01 = fixtures.example("retest_rt01")
RT_05 = fixtures.example("wrong_curve_rt05")
PC_CHAIN = fixtures.example("oversize_pc_chain")
NG_01_RULE = tuple(RoundingStep(step["quantity"], D(step["increment"]), step["unit"]) for step in NG_01["rounding"])


def by_label(one: dict, key: str = "label") -> list:
    return [pytest.param(test, id=test[key]) for test in one["tests"]]


def codes(outcome: Outcome) -> list[str]:
    return [finding.code for finding in outcome.findings]


# ---- NG-01: 21 gauge tests -------------------------------------------------------------------------
def gauge_outcome(test: dict, rule: tuple[RoundingStep, ...]) -> Outcome:
    body = builders.gauge_body(wet=test["wet_density"], water_content=test["water_content"], printed=test["printed"])
    return evaluation.evaluate(
        builders.inputs(
            body,
            reference=fixtures.references_of(NG_01)[test["reference"]],
            specification=builders.specification(*fixtures.criteria_of(NG_01), rounding=rule),
            sibling_references=tuple(fixtures.references_of(NG_01).values()),
        )
    )


@pytest.mark.parametrize("test", by_label(NG_01))
def test_ng_01_every_published_figure_comes_back(test: dict) -> None:
    outcome = gauge_outcome(test, NG_01_RULE)
    dry_pcf = from_si(outcome.figures["dry_density_kgm3"], "pcf")
    assert f"{dry_pcf:.1f} pcf" == test["printed"]["dry_density"]
    assert abs(dry_pcf - round(dry_pcf, 1)) < D("1e-9")  # it is the rounded one that is carried on
    assert outcome.figures["percent_compaction_judged"] == parse_quantity(
        test["printed"]["percent_compaction"], "percent"
    )
    assert outcome.result == test["result"]
    assert [code for code in codes(outcome) if "printed" in code or "reference" in code] == []


def test_ng_01_two_tests_tell_the_conventions_apart() -> None:
    from_unrounded = NG_01_RULE[1:]  # percent to 0.1, dry density not rounded before
    differ = [
        test["label"]
        for test in NG_01["tests"]
        if gauge_outcome(test, from_unrounded).figures["percent_compaction_judged"]
        != parse_quantity(test["printed"]["percent_compaction"], "percent")
    ]
    assert differ == NG_01["told_apart_by"]
    test_43 = next(test for test in NG_01["tests"] if test["label"] == "43")
    assert gauge_outcome(test_43, from_unrounded).figures["percent_compaction_judged"] == D("97.5")
    assert gauge_outcome(test_43, NG_01_RULE).figures["percent_compaction_judged"] == D("97.6")


# ---- DS-01: what each printed percentage is consistent with ------------------------------------------
def sheet_outcome(test: dict, figures: dict[str, str]) -> Outcome:
    body = builders.sheet_body(dry=test["dry_density"], water_content=test["water_content"], printed=test["printed"])
    return evaluation.evaluate(
        builders.inputs(
            body,
            reference=fixtures.reference_of("P-1", figures),
            specification=builders.specification(rounding=(builders.to_tenth_percent(),)),
        )
    )


def printed_class(outcome: Outcome) -> str:
    return next(step.note.partition(":")[0] for step in outcome.steps if step.id == "printed-percent")


@pytest.mark.parametrize("test", by_label(DS_01))
def test_ds_01_printed_percentages_are_classed(test: dict) -> None:
    outcome = sheet_outcome(test, test)
    assert printed_class(outcome) == test["printed_is"]
    differing = [one for one in outcome.findings if one.code == "printed-figure-differs"]
    assert [one.severity for one in differing] == ([] if test["printed_is"] == "rounded" else ["information"])


def test_ds_01_holds_both_classes_and_a_typed_percentage_is_neither() -> None:
    classes = [test["printed_is"] for test in DS_01["tests"]]
    assert (len(classes), classes.count("rounded"), classes.count("unrounded")) == (29, 25, 4)
    typed = DS_01["tests"][0] | {"printed": {"percent_compaction": "96.9 %"}}
    outcome = sheet_outcome(typed, typed)
    assert printed_class(outcome) == "neither"
    assert [one.severity for one in outcome.findings if one.code == "printed-figure-differs"] == ["validity"]


# ---- RT-01: failing tests and retests on the inclusive limit -----------------------------------------
@pytest.mark.parametrize("test", by_label(RT_01))
def test_rt_01_is_judged_as_the_record_says(test: dict) -> None:
    body = builders.sheet_body(dry=test["dry_density"], water_content=test["water_content"], printed=test["printed"])
    outcome = evaluation.evaluate(
        builders.inputs(
            body,
            reference=fixtures.references_of(RT_01)[test["reference"]],
            specification=builders.specification(*fixtures.criteria_of(RT_01), rounding=(builders.to_tenth_percent(),)),
        )
    )
    assert outcome.result == test["result"]
    assert [one.kind for one in outcome.criteria if one.result == "fail"] == test.get("fails", [])
    assert printed_class(outcome) == test["printed_is"]
    if test["label"] in ("38", "39"):
        moisture = outcome.criteria[1]
        assert (moisture.judged, moisture.margin, moisture.result) == (3, 0, "pass")


# ---- RT-05: the sheet cites one curve and was computed with another ----------------------------------
@pytest.mark.parametrize("test", by_label(RT_05))
def test_rt_05_the_curve_behind_the_percentages_is_named(test: dict) -> None:
    references = fixtures.references_of(RT_05)
    body = builders.sheet_body(dry=test["dry_density"], water_content=test["water_content"], printed=test["printed"])
    outcome = evaluation.evaluate(
        builders.inputs(
            body,
            reference=references[RT_05["reference_named"]],
            specification=builders.specification(*fixtures.criteria_of(RT_05)),
            sibling_references=tuple(references.values()),
        )
    )
    assert outcome.result == "fail"  # by the curve that the sheet cites
    assert outcome.figures["percent_compaction"].quantize(D("0.01")) == D(
        test["recomputed"]["percent_compaction_with_2"].removesuffix(" %")
    )
    (finding,) = [one for one in outcome.findings if one.code == "another-reference-fits"]
    assert (finding.numbers["cited"], finding.numbers["fits"]) == ("2", RT_05["reference_found"])
    assert "also" not in finding.numbers
    assert "curve 1 fits instead" in finding.sentence
    assert codes(outcome) == RT_05["findings"]


# ---- NG-05: the oven flips the verdict ---------------------------------------------------------------
def test_ng_05_the_oven_replaces_the_gauge_and_the_wet_density_stays() -> None:
    gauge = builders.gauge_body(wet="130.0 pcf", water="12.0 pcf")
    oven = gauge | {"water_contents": [{"method": "oven", "fraction": "total", "value": "8.5 %"}]}
    specification = builders.specification(oven_required=True)
    reference = builders.reference("125.0", "10.0")
    before, after = (
        evaluation.evaluate(builders.inputs(body, reference=reference, specification=specification))
        for body in (gauge, oven)
    )
    assert (before.result, before.basis, before.basis_reasons) == ("fail", "provisional", ("field-moisture",))
    assert (after.result, after.basis) == ("pass", "final")
    assert before.figures["percent_compaction"] == D("94.4")
    assert round(before.figures["water_content_pct"], 3) == D("10.169")
    assert round(from_si(after.figures["dry_density_kgm3"], "pcf"), 3) == D("119.816")
    assert round(after.figures["percent_compaction"], 2) == D("95.85")
    assert before.figures["wet_density_kgm3"] == after.figures["wet_density_kgm3"]
    assert "water-contents-differ" in codes(after)


# ---- PC-CHAIN: one hole, three results ---------------------------------------------------------------
def chain_outcome(result: dict) -> Outcome:
    given = PC_CHAIN["inputs"]
    body = builders.cone_body(
        readings=PC_CHAIN["readings"],
        water_contents=[{"method": "oven", "fraction": result["fraction"], "value": given["water_content"]}],
        oversize={
            "sieve": given["oversize_sieve"],
            "basis": "this_hole",
            "percent": given["oversize"],
            "bulk_specific_gravity": given["oversize_bulk_specific_gravity"],
            "water_content": given["oversize_water_content"],
        },
        maximum_particle=given["maximum_particle"],
    )
    specification = builders.specification(water_density_kgm3=parse_quantity(given["water_density"], "density"))
    reference = builders.reference(oversize_rule=result["oversize_rule"])
    return evaluation.evaluate(builders.inputs(body, reference=reference, specification=specification))


@pytest.mark.parametrize("result", PC_CHAIN["results"], ids=lambda one: one["percent_compaction"])
def test_pc_chain_one_hole_three_results(result: dict) -> None:
    outcome = chain_outcome(result)
    assert outcome.result == result["result"]
    assert f"{outcome.figures['percent_compaction']:.1f} %" == result["percent_compaction"]
    assert f"{outcome.figures['hole_volume_m3'] * 1_000_000:.1f} cm3" == PC_CHAIN["recomputed"]["hole_volume"]
    assert "hole-too-small" in codes(outcome)  # a remark, which turns no pass into a fail
    assert outcome.holds == ()


def test_pc_chain_the_worksheet_says_why() -> None:
    ignored, corrected, of_the_fines = (chain_outcome(result) for result in PC_CHAIN["results"])

    def ids(outcome: Outcome) -> list[str]:
        return [step.id for step in outcome.steps]

    assert "corrected-maximum" not in ids(ignored)
    assert "oversize-not-corrected" in codes(ignored)
    assert "corrected-maximum" in ids(corrected)
    assert "total-water-content" not in ids(corrected)
    assert "oversize-not-corrected" not in codes(corrected)
    assert {"corrected-maximum", "corrected-optimum", "total-water-content"} <= set(ids(of_the_fines))
    used = [step for step in of_the_fines.steps if step.id == "water-content-used"]
    assert [step.note for step in used] == ["oven, control"]
    maximum = next(step for step in corrected.steps if step.id == "corrected-maximum")
    assert f"{from_si(maximum.result, 'pcf'):.1f} pcf" == PC_CHAIN["recomputed"]["corrected_maximum_dry_density"]
    assert maximum.numbers["oversize_pct"] == 18


def test_pc_chain_field_to_control_fraction_agrees_with_laboratory_to_field_near_the_limit() -> None:
    """Both directions of D4718 say the same of a fill that is exactly at its corrected maximum."""
    result = PC_CHAIN["results"][1]
    corrected = chain_outcome(result)
    at_maximum = corrected.figures["maximum_dry_density_kgm3"]
    body = builders.sheet_body(dry=f"{at_maximum:.6f} kg/m3", water_content="10.0 %", oversize=builders.OVERSIZE)
    water = parse_quantity("62.4 pcf", "density")
    for rule in ("correct_maximum", "correct_field"):
        outcome = evaluation.evaluate(
            builders.inputs(
                body,
                reference=replace(builders.reference(), oversize_rule=rule),
                specification=builders.specification(water_density_kgm3=water),
            )
        )
        assert abs(outcome.figures["percent_compaction"] - 100) < D("1e-6")
