"""A chain's failures follow from its tests, reworks and decisions, in whatever order these arrived.

T1, T2 ... are tests in time; F fails density, P passes, V voided, H held; R is rework, D a decision.
"""

from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest

from compaction import chain

START = datetime(2026, 6, 1, 15, 0, tzinfo=UTC)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def a_test(name: str, hours: float, result: str, retest_of: str = "", **changes) -> chain.ChainTest:
    values = {
        "uuid": name,
        "performed_at": at(hours),
        "retest_of": retest_of,
        "results": {"density": result},
        "ever_failed": frozenset({"density"} if result == "fail" else ()),
        "voided": False,
        "held": False,
        "basis": "final",
        "lift": 4,
        "outcome_digest": f"{name}-{result}",
        "label": name,
    }
    return chain.ChainTest(**{**values, **changes})


def decision(meaning: str, hours: float, basis: str) -> chain.ChainDecision:
    return chain.ChainDecision(f"d-{meaning}", at(hours), meaning, "e.stone", "because", "density", basis)


def one(tests, reworks=(), decisions=()) -> chain.FailureState:
    [state] = chain.failures_of(root="T1", tests=tests, reworks=reworks, decisions=decisions)
    return state


REWORK = chain.ChainRework("R1", at(1), "rerolled", "c.pike")


class TestPlain:
    def test_101_a_failing_test_is_open(self):
        """T1 F"""
        state = one([a_test("T1", 0, "fail")])
        assert (state.state, state.attempts, state.closed_at) == ("open", 0, None)

    def test_102_rework_then_pass(self):
        """T1 F -- R1 -- T2 P"""
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1")], [REWORK])
        assert (state.state, state.attempts, state.next_action) == ("passed_on_retest", 1, "engineer: close")

    def test_103_rework_reported_and_not_yet_retested(self):
        """T1 F -- R1"""
        assert one([a_test("T1", 0, "fail")], [REWORK]).state == "reworked"

    def test_104_a_failing_retest_opens_it_again(self):
        """T1 F -- R1 -- T2 F"""
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "fail", "T1")], [REWORK])
        assert (state.state, state.attempts) == ("open", 1)

    def test_105_two_attempts_then_pass(self):
        """T1 F -- T2 F -- T3 P, each retest naming the one before"""
        tests = [a_test("T1", 0, "fail"), a_test("T2", 2, "fail", "T1"), a_test("T3", 4, "pass", "T2")]
        state = one(tests)
        assert (state.state, [link.attempt for link in state.links]) == ("passed_on_retest", [0, 1, 2])

    def test_106_closing_after_a_pass(self):
        """T1 F -- T2 P -- D closed"""
        tests = [a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1")]
        state = one(tests, decisions=[decision("closed", 5, one(tests).digest)])
        assert (state.state, state.closed_at, state.basis_changed) == ("closed", at(5), False)

    def test_107_a_provisional_pass_waits_for_the_oven(self):
        """T1 F -- T2 P on field moisture"""
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1", basis="provisional")])
        assert (state.state, state.next_action) == ("passed_on_retest", "laboratory: oven water content")


class TestBranched:
    def test_201_two_retests_of_the_same_failure(self):
        """T1 F -+- T2 F
        +- T3 P"""
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "fail", "T1"), a_test("T3", 3, "pass", "T1")])
        assert state.state == "passed_on_retest"

    def test_202_a_retest_that_fails_otherwise_opens_a_failure_of_its_own_kind(self):
        """T1 fails moisture -- T2 passes moisture, fails density"""
        first = a_test(
            "T1", 0, "pass", results={"density": "pass", "moisture": "fail"}, ever_failed=frozenset({"moisture"})
        )
        second = a_test(
            "T2", 2, "fail", "T1", results={"density": "fail", "moisture": "pass"}, ever_failed=frozenset({"density"})
        )
        states = {state.kind: state.state for state in chain.failures_of(root="T1", tests=[first, second])}
        assert states == {"density": "open", "moisture": "passed_on_retest"}


class TestAfterEdits:
    def test_301_the_only_failing_test_was_voided(self):
        """T1 V"""
        state = one([a_test("T1", 0, "fail", voided=True)])
        assert (state.state, state.closed_at) == ("withdrawn", at(0))

    def test_302_a_revision_turns_the_fail_into_a_pass(self):
        """T1 F, then P by reassessment: a person still has to close it"""
        state = one([a_test("T1", 0, "pass", ever_failed=frozenset({"density"}))])
        assert (state.state, state.next_action) == ("passed_on_reassessment", "engineer: close")

    def test_303_a_revision_turns_the_closing_retest_into_a_fail(self):
        """T1 F -- T2 P -- D closed, then T2 F: reopened"""
        before = [a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1")]
        closing = decision("closed", 5, one(before).digest)
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "fail", "T1")], decisions=[closing])
        assert (state.state, state.reopened, state.closed_at) == ("open", True, None)

    def test_304_accepted_as_is_reopens_when_its_figures_move(self):
        """T1 F -- D accepted, then T1 fails with other figures"""
        before = [a_test("T1", 0, "fail")]
        ruling = decision("accepted_as_is", 5, one(before).digest)
        assert one(before, decisions=[ruling]).state == "accepted_as_is"
        moved = one([a_test("T1", 0, "fail", outcome_digest="other")], decisions=[ruling])
        assert (moved.state, moved.reopened) == ("open", True)

    def test_305_a_voided_retest_does_not_count(self):
        """T1 F -- T2 P V"""
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1", voided=True)])
        assert (state.state, state.links[1].remark) == ("open", "voided")


class TestMustNotHappen:
    @pytest.mark.parametrize(
        ("changes", "remark"),
        [
            ({"held": True}, "on hold"),
            ({"lift": 5}, "on another lift"),
            ({"performed_at": at(-1)}, "dated before the failure it answers"),
        ],
        ids=["held", "other-lift", "earlier"],
    )
    def test_401_a_pass_that_does_not_count(self, changes, remark):
        state = one([a_test("T1", 0, "fail"), a_test("T2", 2, "pass", "T1", **changes)])
        assert (state.state, state.links[1].remark) == ("open", remark)

    def test_402_a_closing_without_a_passing_retest_does_not_stand(self):
        state = one([a_test("T1", 0, "fail")], decisions=[decision("closed", 5, "x")])
        assert (state.state, state.reopened) == ("open", True)

    def test_403_a_circle_has_one_root(self):
        links = {"T1": "T2", "T2": "T3", "T3": "T1"}
        assert {chain.root_of(name, links) for name in links} == {"T1"}


def test_the_order_of_arrival_does_not_matter():
    tests = [a_test("T1", 0, "fail"), a_test("T2", 2, "fail", "T1"), a_test("T3", 4, "pass", "T2")]
    reworks = [REWORK, chain.ChainRework("R2", at(3), "dried", "c.pike")]
    stories = {str(one(list(order), reworks[::-1])) for order in permutations(tests)}
    assert len(stories) == 1
