"""Many tests gone through together: each outcome is the one that it has alone, whatever stands beside it."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from compaction import evaluation
from compaction.evaluation.outcome import TOGETHER
from compaction.facts import CurvePoint, EvaluationInputs
from tests.evaluation import builders
from tests.evaluation.builders import OVERSIZE, D, cone_body, criterion, gauge_body, sheet_body

CORRECTED = builders.reference(oversize_rule="correct_maximum", specific_gravity=D("2.70"))
WITH_POINTS = builders.reference("99.0", "22.0", points=(CurvePoint(D(20), D(1550)), CurvePoint(D(26), D(1500))))
ROUNDED = builders.specification(
    builders.DENSITY_95,
    criterion(2, "water_content_deviation", "0", "5"),
    criterion(3, "percent_compaction", "98", zone="core"),
    rounding=(builders.to_tenth_percent(),),
    held_findings=("point-far-from-curve",),
)


def bodies(place: int) -> list[dict[str, Any]]:
    """A test of each kind: plain, corrected, awaited, impossible, judged apart, from a sheet."""
    turned = gauge_body(wet=f"{D(1180 + place) / 10} pcf", water_content="24 %")
    turned["readings"] |= {"rotated": [{"wet_density": "118 pcf", "water_content": "24.5 %"}], "rotation": "apart"}
    swapped = cone_body()
    swapped["readings"] |= {"mass_before": "2871 g", "mass_after": "6842 g"}
    return [
        gauge_body(wet=f"{D(1200 + place) / 10} pcf", water_content="23.4 %", lift_thickness="5 in"),
        cone_body(oversize=OVERSIZE, maximum_particle="25 mm"),
        cone_body(water_contents=None),
        swapped,
        turned,
        sheet_body(dry="113.7 pcf", water_content="12.4 %", printed={"percent_compaction": "96.4 %"}),
    ]


def many() -> list[EvaluationInputs]:
    tests = [
        builders.inputs(body, reference=reference, specification=ROUNDED)
        for place in range(6)
        for reference in (CORRECTED, WITH_POINTS)
        for body in bodies(place)
    ]
    assert len(tests) > TOGETHER
    return tests


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize("worksheet", [True, False])
def test_together_as_alone(worksheet: bool, named: bool) -> None:
    tests = many()
    together = list(evaluation.evaluate_all(tests, worksheet=worksheet, named=named))
    alone = [evaluation.evaluate(one, worksheet=worksheet, named=named) for one in tests]
    assert together == alone
    assert [as_written(one.figures) for one in together] == [as_written(one.figures) for one in alone]
    assert {one.result for one in together} == {"pass", "fail", "pending", "no_criterion"}


def test_what_is_left_out_changes_no_figure_no_finding_and_no_result() -> None:
    tests = many()
    for whole, bare in zip(
        evaluation.evaluate_all(tests),
        evaluation.evaluate_all(tests, worksheet=False, named=False),
        strict=True,
    ):
        assert as_written(bare.figures) == as_written(whole.figures)
        assert bare.findings == whole.findings
        assert (bare.result, bare.basis, bare.basis_reasons) == (whole.result, whole.basis, whole.basis_reasons)
        assert evaluation.digest(replace(bare, inputs_digest=whole.inputs_digest)) == evaluation.digest(whole)


def as_written(figures: Any) -> list[tuple[str, str]]:
    """With their digits and order: 95 and 95.0 are equal as numbers."""
    return [(name, str(value)) for name, value in figures.items() if isinstance(value, Decimal)]
