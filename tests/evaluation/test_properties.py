"""What holds whatever the readings are: units change nothing, each reading pulls one way, words change no figure."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compaction import evaluation
from compaction.calculations.methods import METHODS
from compaction.facts import EvaluationInputs, Outcome
from tests.evaluation import builders, fixtures
from tests.evaluation.builders import D
from tests.field_readings import IN_PLACE

#: one figure in several units, exactly: within a system of units every factor is a whole number or a power of ten
EQUALS = {
    "g": {"kg": D("0.001"), "t": D("0.000001")},
    "lb": {"oz": D(16)},
    "cm3": {"L": D("0.001"), "mL": D(1)},
    "kg/m3": {"g/cm3": D("0.001"), "Mg/m3": D("0.001"), "t/m3": D("0.001")},
    "pcf": {"lb/ft3": D(1)},
    "mm": {"cm": D("0.1"), "m": D("0.001")},
    "in": {"in": D(1)},
    "ft": {"in": D(12)},
    "min": {"s": D(60)},
}
READINGS: dict[str, dict[str, Any]] = {
    "sand_cone": {
        "mass_before": "6842 g", "mass_after": "2871 g", "cone_and_plate_mass": "1612 g",
        "sand_bulk_density": "1412 kg/m3", "soil_wet_mass": "3421 g",
    },
    "nuclear_gauge": {
        "mode": "direct_transmission", "depth": "150 mm", "count_time": "1 min", "wet_density": "2048 kg/m3",
        "water": "226 kg/m3", "water_offset": {"value": "-8 kg/m3", "in_display": False},
    },
    **IN_PLACE,
    "transcribed": {"dry_density": "1822 kg/m3", "water_content": "12.4 %"},
}  # fmt: skip


def inputs_of(body: dict[str, Any], rule: str = "correct_maximum") -> EvaluationInputs:
    reference = builders.reference(oversize_rule=rule, specific_gravity=D("2.70"))
    moisture = builders.criterion(2, "water_content_deviation", "-3", "3")
    specification = builders.specification(
        builders.DENSITY_95, moisture, builders.criterion(3, "air_voids", None, "10", contractual=False)
    )
    return builders.inputs(body, reference=reference, specification=specification)


def body_of(method: str, **changes: Any) -> dict[str, Any]:
    parts: dict[str, Any] = {
        "water_contents": [
            {
                "method": "oven",
                "fraction": "total",
                "cans": [{"can": "A", "wet_and_can": "560 g", "dry_and_can": "501 g", "can_mass": "25 g"}],
            }
        ],
        "oversize": {"sieve": "no4", "basis": "standing", "percent": "18 %", "bulk_specific_gravity": "2.62"},
        "maximum_particle": "12 mm",
        "lift_thickness": "200 mm",
    }
    return builders.cone_body(**{"method": method, "readings": READINGS[method], **parts, **changes})


def in_other_units(written: Any, pick: int) -> Any:
    """The same figures, each in another of the units that are exactly a multiple of its own."""
    if isinstance(written, dict):
        return {name: in_other_units(value, pick + place) for place, (name, value) in enumerate(written.items())}
    if isinstance(written, list):
        return [in_other_units(value, pick + place) for place, value in enumerate(written)]
    number, _, unit = written.partition(" ") if isinstance(written, str) else ("", "", "")
    if unit not in EQUALS:
        return written
    others = sorted(EQUALS[unit])
    other = others[pick % len(others)]
    return f"{(D(number) * EQUALS[unit][other]).normalize():f} {other}"


def imperial(written: Any) -> Any:
    """Metric figures as numbers of pounds, cubic feet ...: another test, but one whose units can be changed in turn."""
    if isinstance(written, dict):
        return {name: imperial(value) for name, value in written.items()}
    if isinstance(written, list):
        return [imperial(value) for value in written]
    number, _, unit = written.partition(" ") if isinstance(written, str) else ("", "", "")
    to = {"g": ("lb", D("0.0022")), "kg/m3": ("pcf", D("0.0624")), "mm": ("ft", D("0.00328"))}
    if unit not in to:
        return written
    name, factor = to[unit]
    return f"{round(D(number) * factor, 4)} {name}"


def test_every_method_is_here() -> None:
    assert set(READINGS) == set(METHODS)


@pytest.mark.parametrize("system", ["metric", "imperial"])
@pytest.mark.parametrize("method", sorted(READINGS))
@settings(max_examples=12, deadline=None)
@given(pick=st.integers(min_value=0, max_value=60))
def test_units_never_change_a_result(method: str, system: str, pick: int) -> None:
    body = body_of(method) if system == "metric" else imperial(body_of(method))
    other = in_other_units(body, pick)
    assert other != body or method == "transcribed" or system == "imperial"
    one, two = (evaluation.evaluate(inputs_of(each)) for each in (body, other))
    if method == "transcribed":  # what was printed is kept as written, with its last digit: another name
        one, two = (replace(each, inputs_digest="") for each in (one, two))
    assert one == two  # figures to the ninth decimal, findings, worksheet, and the name of the inputs


#: (reading, its direction): does more of it make the soil denser (+1) or looser (-1)?
PULLS = {
    "sand_cone": {
        "soil_wet_mass": 1, "mass_before": -1, "mass_after": 1, "cone_and_plate_mass": 1, "sand_bulk_density": 1,
    },
    "nuclear_gauge": {"wet_density": 1, "water": -1},
    "transcribed": {"dry_density": 1},
}  # fmt: skip


def outcome_of(body: dict[str, Any], rule: str) -> Outcome:
    return evaluation.evaluate(inputs_of(body, rule), worksheet=False)


def more(text: str, thousandths: int) -> str:
    number, _, unit = text.partition(" ")
    return f"{round(D(number) * (1000 + thousandths) / 1000, 3)} {unit}"


@pytest.mark.parametrize("rule", ["none", "correct_maximum", "correct_field"])
@pytest.mark.parametrize(("method", "name"), [(method, name) for method in PULLS for name in PULLS[method]])
@settings(max_examples=10, deadline=None)
@given(low=st.integers(min_value=-40, max_value=40), step=st.integers(min_value=1, max_value=20))
def test_percent_compaction_rises_and_falls_with_mass_and_volume(
    method: str, name: str, rule: str, low: int, step: int
) -> None:
    percents: list[Decimal] = []
    for thousandths in (low, low + step):
        readings = READINGS[method] | {name: more(READINGS[method][name], thousandths)}
        water = None if method == "nuclear_gauge" else [{"method": "oven", "fraction": "total", "value": "12.4 %"}]
        body = body_of(method, readings=readings, water_contents=water)
        percents.append(outcome_of(body, rule).figures["percent_compaction"])
    assert (percents[1] - percents[0]) * PULLS[method][name] > 0


@settings(max_examples=30, deadline=None)
@given(low=st.integers(min_value=60, max_value=180), step=st.integers(min_value=1, max_value=40))
def test_more_water_means_less_dry_soil(low: int, step: int) -> None:
    dry, saturations = [], []
    for tenths in (low, low + step):
        water = [{"method": "oven", "fraction": "total", "value": f"{D(tenths) / 10} %"}]
        outcome = outcome_of(body_of("sand_cone", water_contents=water, oversize=None), "none")
        dry.append(outcome.figures["dry_density_kgm3"])
        saturations.append(outcome.figures["saturation_pct"])
    assert dry[1] < dry[0]
    assert saturations[1] > saturations[0]


@settings(max_examples=40, deadline=None)
@given(percent=st.integers(min_value=51, max_value=399), dry=st.integers(min_value=1500, max_value=2100))
def test_oversize_there_and_back(percent: int, dry: int) -> None:
    """A fill exactly as dense as the corrected maximum, and as wet as the corrected optimum, is at 100 % both ways."""
    stated = {
        "sieve": "no4",
        "basis": "this_hole",
        "percent": f"{D(percent) / 10} %",
        "bulk_specific_gravity": "2.65",
        "water_content": "1.5 %",
    }

    def outcome(rule: str, dry_density: str, water: str) -> Outcome:
        body = builders.sheet_body(dry=dry_density, water_content=water, oversize=stated)
        return outcome_of(body, rule)

    corrected = outcome("correct_maximum", f"{dry} kg/m3", "9 %").figures
    there = f"{corrected['maximum_dry_density_kgm3']:.6f} kg/m3", f"{corrected['optimum_water_content_pct']:.6f} %"
    for rule in ("correct_maximum", "correct_field"):
        back = outcome(rule, *there).figures
        assert abs(back["percent_compaction"] - 100) < D("1e-6")
        assert abs(back["water_content_deviation_pct"]) < D("1e-5")


@pytest.mark.parametrize("file", ["nuclear_gauge_ng01", "transcribed_ds01", "retest_rt01", "wrong_curve_rt05"])
def test_the_published_sheets_have_the_same_figures_without_a_worksheet(file: str) -> None:
    sheet = fixtures.example(file)
    references = fixtures.references_of(sheet) if "references" in sheet else {}
    for test in sheet["tests"]:
        if sheet["method"] == "nuclear_gauge":
            body = builders.gauge_body(
                wet=test["wet_density"], water_content=test["water_content"], printed=test["printed"]
            )
        else:
            body = builders.sheet_body(
                dry=test["dry_density"], water_content=test["water_content"], printed=test["printed"]
            )
        inputs = builders.inputs(
            body,
            reference=references.get(test.get("reference", "")) or fixtures.reference_of("P-1", test),
            specification=builders.specification(rounding=(builders.to_tenth_percent(),)),
            sibling_references=tuple(references.values()),
        )
        whole, without = (evaluation.evaluate(inputs, worksheet=worksheet) for worksheet in (True, False))
        assert whole.steps
        assert without.steps == ()
        assert evaluation.digest(without) == evaluation.digest(whole)
        assert replace(without, steps=whole.steps, criteria=whole.criteria) == whole
