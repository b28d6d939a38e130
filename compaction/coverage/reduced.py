"""Reduced frequency: after so many passes in a row only one lift of several has to be tested; a failure ends it.

The published form (a state's 12 passing tests in a row, then one of two lots, chosen at random) is the model; see
practice D.1, rule 9. Here the choice is drawn from a digest of the rule, the area and the place in the sequence:
nobody picks it and anybody can draw it again.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime

from compaction.coverage.facts import FrequencyRule, Tested
from compaction.coverage.frequency import Demand, Group, counts_for, passes
from projects import canonical


def passes_in_a_row(tests: Sequence[Tested], rule: FrequencyRule, *, before: datetime) -> int:
    """How many of a rule's tests passed at the first go, without a failure between, up to a moment."""
    row = 0
    counted = (test for test in tests if test.performed_at < before and counts_for(rule, test))
    for test in sorted(counted, key=lambda one: (one.performed_at, one.uuid)):
        if test.result == "fail":
            row = 0
        elif passes(test):
            row += 1
    return row


def drawn(rule: FrequencyRule, area: str, number: int) -> bool:
    """Whether the `number`-th lift of an area (from 0) is the one of its `one_in` that is tested."""
    if rule.reduced is None:
        return True
    window, place = divmod(number, rule.reduced.one_in)
    chosen = int(canonical.digest({"rule": rule.name, "area": area, "window": window})[:12], 16)
    return place == chosen % rule.reduced.one_in


def reduce(
    asked: Mapping[Group, Sequence[Demand]],
    *,
    first_placed: Mapping[Group, datetime],
    tests_by_area: Mapping[str, Sequence[Tested]],
) -> None:
    """Lower to nothing what lifts that were not drawn are asked for, while the run of passes lasts."""
    order: dict[str, list[Group]] = {}
    for group in sorted(asked, key=lambda one: (first_placed[one], one)):
        order.setdefault(group[0], []).append(group)
    for area, groups in order.items():
        for number, group in enumerate(groups):
            for demand in asked[group]:
                rule = demand.rule
                if rule.reduced is None:
                    continue
                row = passes_in_a_row(tests_by_area.get(area, ()), rule, before=first_placed[group])
                if row < rule.reduced.after_passes:
                    continue
                words = f"{row} passes in a row: one of {rule.reduced.one_in} lifts is tested"
                if drawn(rule, area, number):
                    demand.note = f"{words}, and this one was drawn."
                else:
                    demand.required = demand.at_least = 0
                    demand.note = f"{words}, and this one was not drawn."
