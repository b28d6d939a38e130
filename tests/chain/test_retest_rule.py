"""The rule of retests of a specification: how many pass in a row, how near they lie, who closes."""

from decimal import Decimal

import pytest

from compaction import chain
from compaction.facts import RetestRule
from tests.chain.test_failures_of_a_chain import a_test, at, decision

FAIL = a_test("T1", 0, "fail", easting_m=Decimal(100), northing_m=Decimal(100))


def one(*tests: chain.ChainTest, rule: RetestRule, decisions: tuple = ()) -> chain.FailureState:
    [state] = chain.failures_of(root="T1", tests=(FAIL, *tests), decisions=decisions, rule=rule)
    return state


def passing(name: str, hours: float, **changes: object) -> chain.ChainTest:
    return a_test(name, hours, "pass", "T1", **changes)


TWO = RetestRule(passing_retests=2)


def test_two_passing_retests_in_a_row_are_waited_for() -> None:
    state = one(passing("T2", 2), rule=TWO)
    assert (state.state, state.next_action) == ("open", "technician: 1 more passing")
    assert state.last_action == "passed at retest T2, 1 of 2"
    state = one(passing("T2", 2), passing("T3", 3), rule=TWO)
    assert (state.state, state.next_action) == ("passed_on_retest", "engineer: close")


def test_a_failing_retest_between_them_starts_the_count_anew() -> None:
    between = a_test("T3", 3, "fail", "T1")
    assert one(passing("T2", 2), between, passing("T4", 4), rule=TWO).state == "open"
    assert one(passing("T2", 2), between, passing("T4", 4), passing("T5", 5), rule=TWO).state == "passed_on_retest"


@pytest.mark.parametrize(("northing", "state"), [("103.048", "passed_on_retest"), ("103.049", "open")])
def test_a_retest_too_far_away_does_not_answer(northing: str, state: str) -> None:
    rule = RetestRule(distance_m=Decimal("3.048"))  # 10 ft
    found = one(passing("T2", 2, easting_m=Decimal(100), northing_m=Decimal(northing)), rule=rule)
    assert found.state == state
    assert found.links[1].counts is (state != "open")


def test_a_retest_whose_place_is_not_known_counts() -> None:
    assert one(passing("T2", 2), rule=RetestRule(distance_m=Decimal(3))).state == "passed_on_retest"


def test_tests_close_by_themselves_only_on_final_values() -> None:
    rule = RetestRule(closed_by="tests")
    state = one(passing("T2", 2), rule=rule)
    assert (state.state, state.closed_at, state.next_action) == ("closed", at(2), "")
    waiting = one(passing("T2", 2, basis="provisional"), rule=rule)
    assert (waiting.state, waiting.next_action) == ("passed_on_retest", "laboratory: oven water content")
    assert one(passing("T2", 2), a_test("T3", 3, "fail", "T1"), rule=rule).state == "open"


def test_a_supervisor_may_be_the_one_to_close() -> None:
    assert one(passing("T2", 2), rule=RetestRule(closed_by="supervisor")).next_action == "supervisor or engineer: close"


def test_a_rule_that_comes_later_does_not_undo_what_was_closed_on_the_same_figures() -> None:
    before = one(passing("T2", 2), rule=RetestRule())
    closing = (decision("closed", 5, before.digest),)
    after = one(passing("T2", 2), rule=TWO, decisions=closing)
    assert (after.state, after.reopened, after.digest) == ("closed", False, before.digest)
    # other figures, and the count of the rule is not reached: it is open again
    other = one(passing("T2", 2, outcome_digest="moved"), rule=TWO, decisions=closing)
    assert (other.state, other.reopened) == ("open", True)
