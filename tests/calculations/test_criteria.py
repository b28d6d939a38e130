"""Criteria: which hold at a point, inclusive limits, margins, and how results combine."""

from decimal import Decimal

import pytest

from compaction.calculations.criteria import Judgement, combine, judge, summarise
from compaction.calculations.criteria_selection import select
from compaction.calculations.rounding import rule
from compaction.facts import CriterionFacts, RoundingStep

D = Decimal
PLAIN = rule(())
WHOLE = rule([RoundingStep("percent_compaction", D(1), "%")])


def criterion(number: int, minimum: str | None = "95", **more: object) -> CriterionFacts:
    facts = {"quantity": "percent_compaction", "maximum": None} | more
    return CriterionFacts(number=number, minimum=None if minimum is None else D(minimum), **facts)


EVERYWHERE = criterion(1, "90")
TOP = criterion(2, "95", depth_from_m=D(0), depth_to_m=D("0.6"))
BELOW = criterion(3, "92", depth_from_m=D("0.6"))
CORE = criterion(4, "98", zone="core")
CORE_TOP = criterion(5, "100", zone="core", depth_to_m=D("0.6"))
ALL = (EVERYWHERE, TOP, BELOW, CORE, CORE_TOP)


@pytest.mark.parametrize(
    ("zone", "depth", "expected"),
    [
        ("", None, [1]),
        ("", "0.3", [2]),
        ("", "0.6", [2]),  # the shared end of two bands: the lower number
        ("", "0.601", [3]),
        ("shell", "2", [3]),
        ("core", None, [4]),
        ("core", "2", [4]),  # a named zone goes before a depth band
        ("core", "0.6", [5]),
        ("", "-0.1", [1]),
    ],
)
def test_the_most_specific_criterion_holds(zone: str, depth: str | None, expected: list[int]) -> None:
    selection = select(ALL, zone=zone, depth_m=None if depth is None else D(depth))
    assert [one.number for one in selection.criteria] == expected


def test_a_band_without_a_depth_is_asked_for() -> None:
    assert [one.number for one in select(ALL, zone="", depth_m=None).depth_wanted] == [2, 3]


def test_two_criteria_for_one_place_are_told_and_the_lower_number_holds() -> None:
    selection = select((criterion(7, "90"), criterion(3, "95")), zone="", depth_m=None)
    assert [one.number for one in selection.criteria] == [3]
    assert selection.contested == ((3, 7),)
    assert select(ALL, zone="", depth_m=D("0.6")).contested == ()


def test_an_advisory_criterion_never_displaces_the_contract() -> None:
    target = criterion(2, "98", contractual=False, zone="core")
    selection = select((EVERYWHERE, target), zone="core", depth_m=None)
    assert [one.number for one in selection.criteria] == [1, 2]


def test_quantities_are_chosen_apart() -> None:
    moisture = criterion(2, "-3", quantity="water_content_deviation", maximum=D(3))
    assert [one.number for one in select((EVERYWHERE, moisture), zone="", depth_m=None).criteria] == [1, 2]


def found(value: str, minimum: str | None, maximum: str | None, rounding: object = PLAIN) -> Judgement:
    return judge(
        quantity="percent_compaction",
        found_pct=D(value),
        minimum=None if minimum is None else D(minimum),
        maximum=None if maximum is None else D(maximum),
        rule=rounding,
    )


@pytest.mark.parametrize(
    ("value", "minimum", "maximum", "result", "margin"),
    [
        ("95", "95", None, "pass", "0"),
        ("94.999999999", "95", None, "fail", "-0.000000001"),
        ("100", "95", "100", "pass", "0"),
        ("100.1", "95", "100", "fail", "-0.1"),
        ("97", "95", "100", "pass", "2"),
        ("3.0", "-3", "3", "pass", "0"),
        ("-3.0", "-3", "3", "pass", "0"),
        ("4.6", "-3", "3", "fail", "-1.6"),
        ("-3.2", None, "0", "pass", "3.2"),
    ],
)
def test_limits_are_inclusive(value: str, minimum: str | None, maximum: str | None, result: str, margin: str) -> None:
    judgement = found(value, minimum, maximum)
    assert (judgement.result, judgement.margin) == (result, D(margin))


def test_the_limit_is_met_after_rounding_only_if_the_rule_says_so() -> None:
    assert found("94.6", "95", None, WHOLE).result == "pass"
    assert found("94.6", "95", None, WHOLE).sentence == "94.6 becomes 95 (to 1 %, half to even); limit 95: pass."
    assert found("94.6", "95", None).result == "fail"
    assert found("94.5", "95", None, WHOLE).result == "fail"


def test_without_a_limit_there_is_no_verdict() -> None:
    assert found("94.6", None, None).result == "no_criterion"


@pytest.mark.parametrize(
    ("results", "combined"),
    [
        ([], "no_criterion"),
        ([("pass", True), ("pass", True)], "pass"),
        ([("pass", True), ("fail", True)], "fail"),
        ([("pass", True), ("fail", False)], "pass"),
        ([("pass", False)], "no_criterion"),
        ([("pending_oven", True), ("fail", True)], "fail"),
        ([("pending_oversize", True), ("pass", True)], "pending"),
        ([("no_criterion", True), ("pass", True)], "no_criterion"),
        ([("no_criterion", True), ("pending_oven", True)], "pending"),
    ],
)
def test_how_results_combine(results: list[tuple[str, bool]], combined: str) -> None:
    assert combine(results) == combined


@pytest.mark.parametrize(
    ("judged", "minimum", "maximum", "margin", "line"),
    [
        ("93.8", "95", None, "-1.2", "93.8 of 95, 1.2 short"),
        ("96.4", "95", None, "1.4", "96.4 of 95, 1.4 to spare"),
        ("95.0", "95", None, "0.0", "95 of 95, on the limit"),
        ("101.2", "95", "100", "-1.2", "101.2 of 95 to 100, 1.2 over"),
        ("4.6", "-3", "3", "-1.6", "4.6 of -3 to 3, 1.6 over"),
        ("94.9996", "95", None, "-0.0004", "94.9996 of 95, 0.0004 short"),
    ],
)
def test_the_line_with_the_margin(judged: str, minimum: str, maximum: str | None, margin: str, line: str) -> None:
    text = summarise(
        judged=D(judged), minimum=D(minimum), maximum=None if maximum is None else D(maximum), margin=D(margin)
    )
    assert text == line


def test_a_figure_that_is_not_there_yet() -> None:
    assert summarise(judged=None, minimum=D(95), maximum=None, margin=None) == "not known yet"
