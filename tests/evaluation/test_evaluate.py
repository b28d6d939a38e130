"""What an evaluation says beside the figures: criteria, what is awaited, basis, findings, holds."""

from datetime import date
from typing import Any

import pytest

from compaction import evaluation
from compaction.calculations.catalogue import FORMULAS
from compaction.facts import CurvePoint, Finding, Outcome, PositionFacts, RoundingStep
from compaction.instrument_facts import ApparatusFacts
from tests.evaluation import builders
from tests.evaluation.builders import OVERSIZE, D, cone_body, criterion, gauge_body, pcf, sheet_body

MOISTURE = criterion(2, "water_content_deviation", "-3", "3")
GAUGE = ApparatusFacts("G-7", "gauge", date(2026, 1, 1), date(2026, 12, 31))


def outcome(
    body: dict[str, Any], *, ref: dict[str, Any] | None = None, spec: dict[str, Any] | None = None, **more: Any
) -> Outcome:
    criteria = (spec or {}).pop("criteria", ()) if spec else ()
    given = {
        "reference": builders.reference(**(ref or {})),
        "specification": builders.specification(*criteria, **(spec or {})),
        "apparatus": (GAUGE,),
    }
    return evaluation.evaluate(builders.inputs(body, **given | more))


def codes(found: Outcome) -> list[str]:
    return [finding.code for finding in found.findings]


def severity(found: Outcome, code: str) -> str:
    return next(finding.severity for finding in found.findings if finding.code == code)


# ---- criteria and combination ------------------------------------------------------------------------
def test_density_passes_and_moisture_fails() -> None:
    found = outcome(cone_body(), ref={"optimum": "8.0"}, spec={"criteria": (builders.DENSITY_95, MOISTURE)})
    assert found.result == "fail"
    assert [(one.kind, one.result) for one in found.criteria] == [("density", "pass"), ("moisture", "fail")]
    assert found.criteria[1].margin == D("-1.4")


def test_an_advisory_criterion_only_informs() -> None:
    target = criterion(3, "percent_compaction", "100", contractual=False)
    found = outcome(cone_body(), spec={"criteria": (builders.DENSITY_95, target)})
    assert (found.result, [one.result for one in found.criteria]) == ("pass", ["pass", "fail"])


def test_the_zone_and_the_depth_choose_the_criterion() -> None:
    top = criterion(2, "percent_compaction", "98", depth_to_m=D("0.6"))
    spec = {"criteria": (builders.DENSITY_95, top)}
    shallow = outcome(cone_body(), spec=dict(spec), position=PositionFacts(depth_below_grade_m=D("0.3")))
    deep = outcome(cone_body(), spec=dict(spec), position=PositionFacts(depth_below_grade_m=D("0.9")))
    unknown = outcome(cone_body(), spec=dict(spec))
    assert [one.result for one in (shallow, deep, unknown)] == ["fail", "pass", "pass"]
    assert "depth-needed-for-criterion" in codes(unknown)
    assert "depth-needed-for-criterion" not in codes(deep)


def test_an_exempt_area_has_no_criterion() -> None:
    found = outcome(cone_body(), position=PositionFacts(exempt=True))
    assert (found.result, found.criteria) == ("no_criterion", ())


def test_a_rounding_rule_is_shown_on_the_worksheet_and_decides() -> None:
    body = sheet_body(dry="94.6 pcf", water_content="12.0 %")
    ref = {"maximum": "100.0"}
    whole = RoundingStep("percent_compaction", D(1), "%")
    assert outcome(body, ref=ref).result == "fail"
    rounded = outcome(body, ref=ref, spec={"rounding": (whole,)})
    assert rounded.result == "pass"
    assert (rounded.criteria[0].found, rounded.criteria[0].judged) == (D("94.6"), 95)
    assert [step.note for step in rounded.steps if step.id == "rounding"] == ["to 1 %, half to even"]
    assert outcome(body, ref=ref, spec={"rounding": (whole,), "absolute": True}).result == "fail"


@pytest.mark.parametrize(("tie", "result"), [("half_even", "fail"), ("half_up", "pass")])
def test_the_tie_at_the_limit_survives_the_units(tie: str, result: str) -> None:
    body = sheet_body(dry="94.5 pcf", water_content="12.0 %")
    rule = (RoundingStep("percent_compaction", D(1), "%", "round", tie),)
    assert outcome(body, ref={"maximum": "100.0"}, spec={"rounding": rule}).result == result


# ---- what is awaited ---------------------------------------------------------------------------------
def test_without_a_water_content_the_sand_cone_waits_for_the_oven() -> None:
    found = outcome(cone_body(water_contents=None), spec={"criteria": (builders.DENSITY_95, MOISTURE)})
    assert found.result == "pending"
    assert [one.result for one in found.criteria] == ["pending_oven", "pending_oven"]
    assert "hole_volume_m3" in found.figures


def test_a_sheet_without_water_content_still_has_its_density() -> None:
    found = outcome(sheet_body(dry="113.7 pcf", water_content=None), spec={"criteria": (builders.DENSITY_95, MOISTURE)})
    assert [one.result for one in found.criteria] == ["pass", "pending_oven"]
    failing = outcome(
        sheet_body(dry="103.7 pcf", water_content=None), spec={"criteria": (builders.DENSITY_95, MOISTURE)}
    )
    assert failing.result == "fail"  # known to fail already, whatever the oven says


@pytest.mark.parametrize("rule", ["correct_maximum", "correct_field"])
def test_a_reference_with_an_oversize_rule_waits_for_the_oversize(rule: str) -> None:
    found = outcome(cone_body(), ref={"oversize_rule": rule, "specific_gravity": D("2.70")})
    assert (found.result, found.criteria[0].result) == ("pending", "pending_oversize")
    assert "dry_density_kgm3" in found.figures
    standing = outcome(
        cone_body(),
        ref={
            "oversize_rule": rule,
            "standing_oversize_pct": D(18),
            "oversize_bulk_specific_gravity": D("2.62"),
            "oversize_water_content_pct": D("1.5"),
        },
    )
    assert standing.result == "fail"


def test_the_specific_gravity_of_the_oversize_is_awaited_not_guessed() -> None:
    body = cone_body(oversize={"sieve": "no4", "basis": "this_hole", "percent": "18 %"})
    assert outcome(body, ref={"oversize_rule": "correct_maximum"}).criteria[0].result == "pending_oversize"


def test_oversize_on_another_sieve_cannot_be_used() -> None:
    body = cone_body(oversize=OVERSIZE | {"sieve": "three_quarters"})
    found = outcome(body, ref={"oversize_rule": "correct_maximum"})
    assert found.criteria[0].result == "pending_oversize"
    assert "oversize-sieve-differs" in codes(found)


def test_up_to_five_percent_no_correction_is_made() -> None:
    found = outcome(cone_body(oversize=OVERSIZE | {"percent": "5 %"}), ref={"oversize_rule": "correct_maximum"})
    assert found.figures["maximum_dry_density_kgm3"] == found.figures["reference_maximum_dry_density_kgm3"]
    assert "oversize-below-limit" in [step.id for step in found.steps]
    assert found.result == "pass"


@pytest.mark.parametrize(("percent", "beyond"), [("40 %", False), ("40.1 %", True)])
def test_beyond_the_limit_of_the_correction_an_engineer_decides(percent: str, beyond: bool) -> None:
    found = outcome(
        cone_body(oversize=OVERSIZE | {"percent": percent}),
        ref={"oversize_rule": "correct_maximum"},
        spec={"criteria": (builders.DENSITY_95, MOISTURE)},
    )
    assert ("oversize-beyond-limit" in codes(found)) is beyond
    if beyond:
        assert found.result == "no_criterion"
        assert severity(found, "oversize-beyond-limit") == "validity"
        assert "engineer decides" in found.criteria[0].sentence
        assert "percent_compaction" not in found.figures
    else:
        assert found.criteria[0].result == "fail"


def test_oversize_by_mass_gives_the_percentage_of_the_dry_mass() -> None:
    # By pencil: 615.8 g at 1.5 % is 606.70 g dry; 3421 g at 12.4 % is 3043.59 g dry; 19.934 %.
    oversize = {"sieve": "no4", "basis": "this_hole", "wet_mass": "615.8 g", "bulk_specific_gravity": "2.62"}
    body = cone_body(oversize=oversize | {"water_content": "1.5 %"})
    found = outcome(body, ref={"oversize_rule": "correct_maximum"})
    assert round(found.figures["oversize_pct"], 3) == D("19.934")
    gauge = gauge_body(wet="127.8 pcf", water_content="12.4 %", oversize=oversize)
    assert "oversize-mass-without-whole" in codes(outcome(gauge, ref={"oversize_rule": "correct_maximum"}))


def test_an_unknown_water_content_of_the_oversize_is_assumed_aloud() -> None:
    body = cone_body(oversize={name: value for name, value in OVERSIZE.items() if name != "water_content"})
    found = outcome(body, ref={"oversize_rule": "correct_maximum"})
    assert severity(found, "oversize-water-content-assumed") == "information"
    assert found.figures["oversize_water_content_pct"] == 2


# ---- water content -----------------------------------------------------------------------------------
def water(method: str, value: str, fraction: str = "total") -> dict[str, str]:
    return {"method": method, "fraction": fraction, "value": value}


@pytest.mark.parametrize(
    ("reported", "used"),
    [
        ([water("oven", "12.4 %")], "12.4"),
        ([water("oven", "12.4 %"), water("microwave", "11 %")], "12.4"),
        ([water("carbide", "12.9 %"), water("oven", "12.4 %")], "12.4"),
        ([water("oven", "12.0 %"), water("oven", "12.4 %")], "12.4"),  # the last listed
        ([water("direct_heat", "13 %"), water("stated", "9 %")], "13"),
    ],
)
def test_which_water_content_counts(reported: list[dict[str, str]], used: str) -> None:
    found = outcome(cone_body(water_contents=reported))
    assert found.figures["water_content_pct"] == D(used)


def test_ovens_that_differ_are_remarked() -> None:
    apart = outcome(cone_body(water_contents=[water("oven", "11.0 %"), water("oven", "12.4 %")]))
    assert severity(apart, "water-contents-differ") == "validity"
    field = outcome(cone_body(water_contents=[water("microwave", "11.0 %"), water("oven", "12.4 %")]))
    assert severity(field, "water-contents-differ") == "information"
    close = outcome(cone_body(water_contents=[water("oven", "11.4 %"), water("oven", "12.4 %")]))
    assert "water-contents-differ" not in codes(close)


def test_an_impossible_can_is_held_and_the_gauge_value_stands_in() -> None:
    can = {"wet_and_can": "39.86 g", "dry_and_can": "43.52 g", "can_mass": "17.31 g"}
    body = gauge_body(wet="127.8 pcf", water_content="12.4 %")
    body["water_contents"] = [{"method": "oven", "fraction": "total", "cans": [can]}]
    found = outcome(body)
    assert [one.code for one in found.holds] == ["impossible-mass"]
    assert found.figures["water_content_pct"] == D("12.4")


# ---- basis -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ref", "spec", "method", "basis", "reasons"),
    [
        ({}, {}, "oven", "final", ()),
        ({}, {}, "microwave", "final", ()),
        ({}, {"oven_required": True}, "oven", "final", ()),
        ({}, {"oven_required": True}, "microwave", "provisional", ("field-moisture",)),
        ({"approved": False}, {}, "oven", "provisional", ("reference-not-approved",)),
        ({}, {"approved": False}, "oven", "provisional", ("specification-not-approved",)),
    ],
)
def test_the_basis(
    ref: dict[str, Any], spec: dict[str, Any], method: str, basis: str, reasons: tuple[str, ...]
) -> None:
    found = outcome(cone_body(water_contents=[water(method, "12.4 %")]), ref=ref, spec=spec)
    assert (found.basis, found.basis_reasons, found.result) == (basis, reasons, "pass")


def test_without_reference_or_specification_there_is_no_verdict() -> None:
    found = outcome(cone_body(), reference=None)
    assert (found.result, found.basis_reasons) == ("no_criterion", ("reference-missing",))
    assert codes(found) == ["reference-unknown"]
    assert codes(outcome(cone_body(reference=None), reference=None)) == ["reference-not-named"]
    assert "dry_density_kgm3" in found.figures
    found = outcome(cone_body(), specification=None)
    assert (found.result, found.basis_reasons, found.criteria) == ("no_criterion", ("specification-missing",), ())
    assert "percent_compaction" in found.figures


# ---- holds and findings ------------------------------------------------------------------------------
def test_masses_that_cannot_be_are_held_and_give_no_figure() -> None:
    body = cone_body(readings=cone_body()["readings"] | {"mass_after": "6900 g"})
    found = outcome(body)
    assert found.result == "no_criterion"
    assert [one.code for one in found.holds] == ["impossible-mass"]
    assert "dry_density_kgm3" not in found.figures


@pytest.mark.parametrize(("measured", "expected"), [(True, "hold"), (False, "validity")])
def test_above_zero_air_voids(measured: bool, expected: str) -> None:
    ref = {"specific_gravity": D("2.65"), "specific_gravity_measured": measured}
    found = outcome(sheet_body(dry="113.7 pcf", water_content="19.0 %"), ref=ref)
    assert severity(found, "above-zero-air-voids") == expected
    assert found.figures["air_voids_pct"] < 0
    assert found.result == "pass"  # a hold never changes a result
    assert "above-zero-air-voids" not in codes(outcome(sheet_body(dry="113.7 pcf", water_content="15.0 %"), ref=ref))


def test_saturation_within_the_tolerance_is_no_finding() -> None:
    ref = {"specific_gravity": D("2.65"), "specific_gravity_measured": True}
    body = sheet_body(dry="113.7 pcf", water_content="17.3 %")
    found = outcome(body, ref=ref)
    assert 100 < found.figures["saturation_pct"] < 102
    assert "above-zero-air-voids" not in codes(found)
    assert "above-zero-air-voids" in codes(outcome(body, ref=ref, spec={"saturation_tolerance_pct": D(0)}))


@pytest.mark.parametrize(("measured", "expected"), [(True, "hold"), (False, "validity")])
def test_denser_than_its_solids(measured: bool, expected: str) -> None:
    ref = {"specific_gravity": D("1.70"), "specific_gravity_measured": measured}
    assert severity(outcome(cone_body(), ref=ref), "denser-than-solids") == expected


@pytest.mark.parametrize(
    ("maximum", "code", "held"),
    [
        ("113.7", "", False),
        ("108.0", "percent-compaction-above-review", False),
        ("103.0", "percent-compaction-above-hold", True),
    ],
)
def test_percent_compaction_that_is_too_good(maximum: str, code: str, held: bool) -> None:
    found = outcome(cone_body(), ref={"maximum": maximum})
    assert [one for one in codes(found) if one.startswith("percent-compaction")] == ([code] if code else [])
    assert bool(found.holds) is held
    assert found.result == "pass"


def test_a_failing_test_may_be_held_and_still_fails() -> None:
    body = sheet_body(dry="103.7 pcf", water_content="27.0 %")
    ref = {"specific_gravity": D("2.65"), "specific_gravity_measured": True}
    found = outcome(body, ref=ref)
    assert (found.result, [one.code for one in found.holds]) == ("fail", ["above-zero-air-voids"])


def test_the_hole_the_lift_and_the_counts() -> None:
    assert "hole-too-small" in codes(outcome(cone_body(maximum_particle="25 mm")))
    assert "hole-too-small" not in codes(outcome(cone_body(maximum_particle="12 mm")))
    gauge = gauge_body(wet="127.8 pcf", water_content="12.4 %", lift_thickness="6 in")
    assert codes(outcome(gauge)) == []
    assert "depth-beyond-lift" in codes(outcome(gauge | {"lift_thickness": "5 in"}))
    del gauge["readings"]["moisture_standard_count"]
    assert "standard-count-missing" in codes(outcome(gauge))


def test_gauge_and_people() -> None:
    gauge = gauge_body(wet="127.8 pcf", water_content="12.4 %")
    assert "gauge-not-registered" in codes(outcome(gauge, apparatus=()))
    expired = ApparatusFacts("G-7", "gauge", date(2025, 1, 1), date(2026, 6, 2))
    last_day = ApparatusFacts("G-7", "gauge", date(2025, 1, 1), date(2026, 6, 3))
    assert "apparatus-out-of-date" in codes(outcome(gauge, apparatus=(expired,)))
    assert codes(outcome(gauge, apparatus=(expired, last_day))) == []
    assert "gauge-serials-differ" in codes(outcome(gauge | {"apparatus": {"gauge": "G-8"}}))
    assert "apparatus-not-registered" in codes(outcome(gauge | {"apparatus": {"balance": "B-1"}}))
    assert codes(outcome(gauge, technician_on_roster=True)) == []
    assert codes(outcome(gauge, technician_on_roster=False)) == ["technician-not-on-roster"]


def test_a_point_above_the_wet_limb_belongs_to_another_curve() -> None:
    points = tuple(CurvePoint(D(w), pcf(dry)) for w, dry in (("9", "113"), ("11", "117"), ("13", "118"), ("17", "110")))
    ref = {"points": points}
    assert "point-far-from-curve" in codes(outcome(sheet_body(dry="118.0 pcf", water_content="16.0 %"), ref=ref))
    assert "point-far-from-curve" not in codes(outcome(sheet_body(dry="114.0 pcf", water_content="16.0 %"), ref=ref))
    assert "point-far-from-curve" not in codes(outcome(sheet_body(dry="118.0 pcf", water_content="10.0 %"), ref=ref))


def test_position_findings_are_passed_on_last() -> None:
    finding = Finding(
        "position-off-the-fill", "validity", "The point lies 4 m outside the fill.", {"distance_m": "4.0"}
    )
    assert outcome(cone_body(), position=PositionFacts(findings=(finding,))).findings[-1] == finding


def test_no_mineral_is_that_heavy_whatever_the_specific_gravity() -> None:
    # SC-08 of the fixtures: 1.869 g/cm3 at 26.9 % water, made up without a thought for the soil.
    body = sheet_body(dry="1.869 g/cm3", water_content="26.9 %")
    assert [one.code for one in outcome(body).holds] == ["above-zero-air-voids-of-any-mineral"]
    assumed = outcome(body, ref={"specific_gravity": D("2.70")})
    assert [one.code for one in assumed.holds] == ["above-zero-air-voids-of-any-mineral"]
    assert severity(assumed, "above-zero-air-voids") == "validity"
    heavy = outcome(body, ref={"specific_gravity": D("4.2"), "specific_gravity_measured": True})
    assert heavy.holds == ()


# ---- printed figures ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("printed", "expected"),
    [
        ({"dry_density": "113.7 pcf", "percent_compaction": "96.4 %"}, []),
        ({"dry_density": "117.3 pcf"}, ["printed-figure-differs"]),
        ({"wet_density": "128.7 pcf"}, ["printed-figure-differs"]),
        ({"water_content": "14.2 %"}, ["printed-figure-differs"]),
        ({"maximum_dry_density": "118.0 pcf", "optimum_water_content": "13.0 %"}, []),
        ({"maximum_dry_density": "121.0 pcf"}, ["printed-figure-differs"]),
        ({"percent_compaction": "98.0 %"}, ["printed-figure-differs"]),
    ],
)
def test_printed_figures_against_computed_ones(printed: dict[str, str], expected: list[str]) -> None:
    found = outcome(cone_body(printed=printed))
    assert codes(found) == expected
    assert found.figures["percent_compaction"] == outcome(cone_body()).figures["percent_compaction"]


def test_a_misprinted_sheet_never_holds_a_result() -> None:
    found = outcome(cone_body(printed={"wet_density": "2.9684 g/cm3", "dry_density": "2.6 g/cm3"}))
    assert "wet-density-implausible" in codes(found)
    assert found.holds == ()


def test_the_slip_behind_a_sheet_is_named() -> None:
    # SC-05 of the fixtures: 9.5 % of the dry mass used as percent of the wet mass. The cone is made up: nothing in it.
    readings = {
        "mass_before": "5.00 kg",
        "mass_after": "2.00 kg",
        "cone_and_plate_mass": "0.18 kg",
        "sand_bulk_density": "1.7 g/cm3",
        "soil_wet_mass": "2.86 kg",
    }
    body = cone_body(
        readings=readings,
        water_contents=[water("oven", "9.5 %")],
        printed={"hole_volume": "1658.82 cm3", "wet_density": "1.724 g/cm3", "dry_density": "1.56 g/cm3"},
    )
    assert codes(outcome(body)) == [
        "sand-density-unusual",
        "printed-figure-differs",
        "water-content-wet-basis-used-as-dry",
    ]


@pytest.mark.parametrize(
    ("percent", "words"),
    [
        ("108.3 %", "computed from the wet density"),
        ("103.8 %", "maximum was divided by the dry density"),
        ("99.4 %", "two digits exchanged"),
    ],
)
def test_known_slips_are_named(percent: str, words: str) -> None:
    (finding,) = outcome(cone_body(printed={"dry_density": "113.7 pcf", "percent_compaction": percent})).findings
    assert finding.code == "printed-figure-differs"
    assert words in finding.sentence


def test_a_printed_maximum_may_name_another_curve() -> None:
    others = (builders.reference(), builders.reference("121.0", "12.0", code="P-9"))
    body = cone_body(printed={"maximum_dry_density": "121.0 pcf", "percent_compaction": "94.0 %"})
    found = outcome(body, sibling_references=others)
    assert [one.numbers["fits"] for one in found.findings if one.code == "another-reference-fits"] == ["P-9"]


# ---- worksheet ---------------------------------------------------------------------------------------
def test_every_line_of_a_worksheet_has_its_formula() -> None:
    bodies = [
        cone_body(
            oversize=OVERSIZE,
            printed={"percent_compaction": "96.4 %"},
            water_contents=[water("oven", "12.4 %", "control")],
        ),
        cone_body(oversize=OVERSIZE | {"percent": "4 %"}),
        gauge_body(wet="127.8 pcf", water="14.1 pcf"),
    ]
    ids = set()
    for rule in ("correct_maximum", "correct_field"):
        for body in bodies:
            ref = {"oversize_rule": rule, "specific_gravity": D("2.70")}
            spec = {"rounding": (builders.to_tenth_percent(),)}
            ids |= {step.id for step in outcome(body, ref=ref, spec=spec).steps}
    assert {"rounding", "printed-percent", "oversize-below-limit", "specific-gravity-of-whole"} <= ids
    assert ids - FORMULAS.keys() == set()
