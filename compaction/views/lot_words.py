"""A lot in words: its rule as a clause reads, its place, its figures in the unit of the limits."""

import json
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.lot_declaration import LotFacts, LotRule
from compaction.calculations.lot_rules import STATISTICS
from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import plain_number
from compaction.models import LotRevision
from compaction.observation.choices import PURPOSES
from compaction.register import TestRow
from compaction.views.display import UNIT_TEXT
from projects.models import Project

FIGURE_WORDS: Final = {
    "mean": "mean",
    "standard_deviation": "standard deviation s",
    "lowest": "lowest test",
    "highest": "highest test",
    "k": "constant k",
    "lower_quality_index": "quality index to the lower limit",
    "upper_quality_index": "quality index to the upper limit",
    "within_lower_limit_pct": "above the lower limit, %",
    "within_upper_limit_pct": "below the upper limit, %",
    "lowest_moving_average": "lowest moving average",
    "highest_moving_average": "highest moving average",
    "moving_averages": "moving averages",
}
_MINUS: Final = re.compile(r"(?<![\w.])-(?=\d)|(?<= )-(?= )")
_PLAIN: Final = frozenset({"k", "lower_quality_index", "upper_quality_index", "moving_averages"})


def with_minus(text: str) -> str:
    """True minus signs before numbers and between terms; hyphens of words and standards stay."""
    return _MINUS.sub("\u2212", text)


def unit_text(unit: str) -> str:
    """A unit as pages write it."""
    return UNIT_TEXT.get(unit, unit)


def figure(value_si: Decimal, unit: str) -> Decimal:
    """A figure in the unit of the rule's limits."""
    return quantise(from_si(value_si, unit))


def figure_rows(rule: LotRule, figures: Mapping[str, str]) -> list[tuple[str, str]]:
    """The numbers behind a verdict, in the order of working; limits stand in the rule."""
    found = []
    for name, words in FIGURE_WORDS.items():
        if name in figures:
            unit = "" if name in _PLAIN or name.endswith("_pct") else f" {unit_text(rule.unit)}"
            found.append((words, f"{plain_number(Decimal(figures[name]), decimals=4)}{unit}".replace("-", "\u2212")))
    return found


def _limit(value: Decimal, rule: LotRule) -> str:
    return f"{plain_number(figure(value, rule.unit))} {unit_text(rule.unit)}".replace("-", "\u2212")


def rule_words(rule: LotRule) -> str:
    """A rule as a clause reads."""
    limits = [
        f"{words} {_limit(value, rule)}"
        for words, value in (("at least", rule.minimum), ("at most", rule.maximum))
        if value is not None
    ]
    ends = " and ".join(limits)
    quantity = rule.quantity.replace("_", " ")
    each = [
        f"no test {words} {_limit(value, rule)}"
        for words, value in (("below", rule.each_minimum), ("above", rule.each_maximum))
        if value is not None
    ]
    said = {
        "each": f"{quantity} of each test {ends}",
        "average_with_minimum": ", ".join([f"average {quantity} {ends}", *each]),
        "moving_average": f"moving average of {rule.of} tests, {quantity} {ends}",
        "mean_minus_k_s": f"{STATISTICS[rule.statistic][0]} of {quantity} {ends}",
    }.get(rule.statistic)
    if said is None:
        assert rule.percent_within_at_least_pct is not None
        said = (
            f"at least {plain_number(rule.percent_within_at_least_pct)} % of the lot with {quantity} "
            f"{ends.replace('at least', 'from').replace('at most', 'to')}"
        )
    return f"{said}; {rule.minimum_tests} tests or more" if rule.minimum_tests > 1 else said


def place_words(project: Project, facts: LotFacts, revision: LotRevision) -> list[tuple[str, str]]:
    """Where, when and which tests: heading and words."""
    body = json.loads(revision.content)
    lift = "lift" if project.words == "us" else "layer"
    where = [f"area {facts.zone}" if facts.zone else "", f"inside {body['area']}" if body.get("area") else ""]
    if facts.lift_from is not None:
        one = facts.lift_from == facts.lift_to
        where.append(f"{lift} {facts.lift_from}" if one else f"{lift}s {facts.lift_from} to {facts.lift_to}")
    if body.get("station_from"):
        where.append(f"{body['alignment']} {body['station_from']} to {body['station_to']}")
    if body.get("offset_from"):
        where.append(f"offset {body['offset_from']} to {body['offset_to']}")
    when = [f"from {facts.first_day}" if facts.first_day else "", f"until {facts.last_day}" if facts.last_day else ""]
    if facts.next_tests:
        when.append(f"the next {facts.next_tests} tests")
    retests = {
        "replace": "a retest stands in the place of the test it repeats",
        "count": "every retest counts beside the test it repeats",
        "leave_out": "only first tests count",
    }
    return [
        ("Place", ", ".join(filter(None, where)) or "the whole project"),
        ("Time", ", ".join(filter(None, when)) or "every test made after the declaration"),
        ("Purposes", ", ".join(PURPOSES[name] for name in facts.purposes)),
        ("Retests", retests[facts.retests]),
    ]


def comparison_words(rules: Sequence[LotRule], content: Mapping[str, Any]) -> dict[str, Any] | None:
    """The comparison of testers with its pairs in the unit of the rule that names the quantity."""
    found = content.get("comparison")
    if not found:
        return None
    unit = next(rule.unit for rule in rules if rule.quantity == found["quantity"])
    pairs = []
    for checked, reference, one, other in found["pairs"]:
        left, right = figure(Decimal(one), unit), figure(Decimal(other), unit)
        shown = [plain_number(value, decimals=2).replace("-", "\u2212") for value in (left, right, left - right)]
        pairs.append(
            {
                "checked": checked,
                "reference": reference,
                **dict(zip(("found", "beside", "difference"), shown, strict=True)),
            }
        )
    sentences = [with_minus(sentence) for sentence in found["sentences"]]
    return {"sentences": sentences, "pairs": pairs, "unit": unit_text(unit)}


def member_lines(
    project: Project, rules: Sequence[LotRule], content: Mapping[str, Any], rows: Mapping[str, TestRow]
) -> list[dict[str, Any]]:
    """Members with their rows and figures, in the order judged."""
    units = {rule.quantity: rule.unit for rule in rules}
    return [
        {
            **one,
            "row": rows.get(one["test"]),
            "values": [
                f"{plain_number(figure(Decimal(value), units[name]), decimals=2)} {unit_text(units[name])}".replace(
                    "-", "\u2212"
                )
                for name, value in one["figures"].items()
            ],
        }
        for one in content.get("members", [])
    ]
