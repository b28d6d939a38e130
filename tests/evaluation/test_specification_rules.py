"""Published rules as data: readings worked by hand on both sides of every limit, judged by the rule of the fixture.

Maxima of 100.0 pcf make percent compaction the dry density itself; each case says what was worked. A case names every
result it expects; a quantity with two criteria names the statistic of the second beside it.
"""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from compaction import evaluation
from compaction.calculations.quantities import parse_quantity
from compaction.facts import CriterionResult, PositionFacts, ReferenceFacts, SoilFacts, SpecificationFacts
from compaction.records import specification
from tests.evaluation.builders import inputs, sheet_body

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "specification_rules"
RULES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))}
CASES = [(name, case) for name, rule in RULES.items() for case in rule["cases"]]


def percent(text: str) -> Decimal:
    return parse_quantity(text, "percent")


def reference(given: dict[str, str], soil: dict[str, str]) -> ReferenceFacts:
    lowest = given.get("minimum")
    return ReferenceFacts(
        code="P-1",
        rev=1,
        approved=True,
        method=given["method"],
        maximum_dry_density_kgm3=parse_quantity(given["maximum"], "density"),
        optimum_water_content_pct=percent(given["optimum"]),
        kind=given.get("kind", "moisture_density"),
        minimum_index_density_kgm3=parse_quantity(lowest, "density") if lowest else None,
        soil=SoilFacts("S-1", 1, **{f"{name}_pct": percent(value) for name, value in soil.items()}) if soil else None,
    )


def judged(case: dict[str, Any], facts: SpecificationFacts) -> Any:
    body = sheet_body(
        dry=case["dry_density"], water_content=case["water_content"], lift=None, position=None, **case.get("test", {})
    )
    depth = case.get("depth")
    position = PositionFacts(
        zone=case.get("zone", ""), depth_below_grade_m=parse_quantity(depth, "length") if depth else None
    )
    given = inputs(
        body, reference=reference(case["reference"], case.get("soil", {})), specification=facts, position=position
    )
    return evaluation.evaluate(given)


def named(one: CriterionResult, facts: SpecificationFacts) -> str:
    statistics = {criterion.number: criterion.statistic for criterion in facts.criteria}
    twice = sum(1 for criterion in facts.criteria if criterion.quantity == one.quantity) > 1
    return f"{one.quantity} {statistics[one.number]}" if twice and statistics[one.number] else one.quantity


@pytest.mark.parametrize(("name", "case"), CASES, ids=[f"{name}: {case['why']}" for name, case in CASES])
def test_a_reading_on_either_side_of_a_limit(name: str, case: dict[str, Any]) -> None:
    facts = specification.read(RULES[name]["specification"], code="S-1", rev=1, approved=True).facts
    outcome = judged(case, facts)
    assert {named(one, facts): one.result for one in outcome.criteria} == case["expect"]
    assert outcome.result == case["result"]
    looked_for = {"fact-needed-for-criterion", "reference-method-not-bound", "no-density-criterion-holds"}
    assert sorted({one.code for one in outcome.findings} & looked_for) == sorted(case.get("findings", []))


@pytest.mark.parametrize("name", RULES)
def test_each_rule_has_a_source_and_says_how_certain_it_is(name: str) -> None:
    assert RULES[name]["source"]
    assert RULES[name]["certainty"] in specification.CERTAINTIES


@pytest.mark.parametrize("name", RULES)
def test_every_limit_of_a_rule_has_readings_on_both_sides(name: str) -> None:
    facts = specification.read(RULES[name]["specification"], code="S-1", rev=1, approved=True).facts
    seen = [one for case in RULES[name]["cases"] for one in judged(case, facts).criteria if one.judged is not None]
    for criterion in facts.criteria:
        here = [one for one in seen if one.number == criterion.number]
        assert any(one.result == "pass" for one in here), criterion
        if criterion.minimum is not None:
            assert any(one.result == "fail" and one.judged < criterion.minimum for one in here), criterion
        if criterion.maximum is not None:
            assert any(one.result == "fail" and one.judged > criterion.maximum for one in here), criterion
