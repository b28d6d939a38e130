"""Who belongs to a lot follows from time, purpose and links, whatever the order of arrival."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations.lot_declaration import LotFacts, LotRule, LotTest
from compaction.evaluation import lots
from compaction.evaluation.lot_membership import members

D = Decimal
DECLARED = datetime(2026, 6, 3, 12, tzinfo=UTC)
AVERAGE = LotRule("average_with_minimum", "percent_compaction", minimum=D(95), each_minimum=D(90))


def facts(**changes: Any) -> LotFacts:
    return LotFacts("L-1", 1, DECLARED, changes.pop("rules", (AVERAGE,)), digest="0" * 64, **changes)


def made(name: str, hours: float, percent: str = "96", **changes: Any) -> LotTest:
    at = DECLARED + timedelta(hours=hours)
    values = {"percent_compaction": D(percent)}
    kept: dict[str, Any] = {
        "purpose": "acceptance",
        "technician": "t.moss",
        "result": "pass" if D(percent) >= 95 else "fail",
        "basis": "final",
        "outcome_digest": name,
        "values": values,
        **changes,
    }
    return LotTest(uuid=name, label=name, performed_at=at, day=at.date(), **kept)


def reasons(of: LotFacts, tests: list[LotTest]) -> dict[str, tuple[bool, str]]:
    return {one.test.label: (one.counts, one.reason) for one in members(of, tests)}


def test_every_reason_in_words() -> None:
    tests = [
        made("a", 72),
        made("b", -26),
        made("c", 1, purpose="information"),
        made("d", 2, voided=True),
        made("e", 3, held=True),
        made("f", 4, exempt=True),
        made("g", 5, check_of="a"),
        made("h", 24 * 9),
        made("i", 24 * 30),
    ]
    found = reasons(facts(last_day=date(2026, 6, 20), closed_at=DECLARED + timedelta(days=8)), tests)
    assert found == {
        "a": (True, "declared 3 days before"),
        "b": (False, "made 1 day before the declaration"),
        "c": (False, "made for information only"),
        "d": (False, "voided"),
        "e": (False, "on hold: counts once it is released"),
        "f": (False, "in an exempt area"),
        "g": (False, "a check beside another test"),
        "h": (False, "made after the lot was closed"),
        "i": (False, "made after the lot was closed"),
    }
    assert reasons(facts(last_day=date(2026, 6, 20)), tests[-1:])["i"] == (
        False,
        "made on 2026-07-03, outside the days declared",
    )


def test_a_retest_stands_in_the_place_of_its_test_or_beside_it_or_not_at_all() -> None:
    tests = [
        made("1", 1, "93"),
        made("2", 2),
        made("1R1", 5, "94", retest_of="1"),
        made("1R2", 7, "97", retest_of="1R1"),
    ]
    found = members(facts(), tests)
    assert [one.test.label for one in found if one.counts] == ["1R2", "2"]  # in the place, not at the end
    told = {one.test.label: one.reason for one in found}
    assert told["1"] == "replaced by its retest 1R1"
    assert told["1R1"] == "replaced by its retest 1R2"
    assert told["1R2"].endswith("stands in the place of 1")
    for retests, wanted in (("count", ["1", "2", "1R1", "1R2"]), ("leave_out", ["1", "2"])):
        assert [one.test.label for one in members(facts(retests=retests), tests) if one.counts] == wanted


def test_a_retest_of_what_is_not_in_the_lot_does_not_slip_in() -> None:
    tests = [
        made("early", -2, "90"),
        made("early R", 2, "99", retest_of="early"),
        made("orphan R", 3, "99", retest_of="nowhere"),
        made("held", 1, "93", held=True),
        made("held R", 4, "98", retest_of="held"),
    ]
    found = reasons(facts(), tests)
    assert found["early R"] == (False, "repeats early, made 2 h 0 min before the declaration")
    assert found["orphan R"] == (False, "repeats a test that is not at this place")
    assert found["held R"][0]


def test_a_circle_of_retests_ends() -> None:
    tests = [made("a", 1, retest_of="b"), made("b", 2, retest_of="a")]
    assert len(members(facts(), tests)) == 2


def test_the_next_n_tests_and_no_more() -> None:
    tests = [made(str(number), number) for number in range(1, 6)]
    found = members(facts(next_tests=3), tests)
    assert [one.test.label for one in found if one.counts] == ["1", "2", "3"]
    assert found[-1].reason == "made after the first 3 tests of the lot"


def test_a_mean_hides_no_failing_test_and_what_is_provisional_is_said() -> None:
    tests = [made("1", 1, "93"), made("2", 2, "99"), made("3", 3, "98", basis="provisional"), made("4", 4, held=True)]
    result = lots.judge(facts(), tests)
    assert (result.result, result.basis) == ("met", "provisional")
    assert [test.label for test in result.failing] == ["1"]
    assert result.basis_reasons == ("1 test provisional", "1 test on hold")
    assert "Failing by themselves: 1." in result.sentence
    mended = lots.judge(facts(), [*tests, made("1R", 6, "99", retest_of="1")])
    assert [test.label for test in mended.failing] == ["1"]  # replaced in the mean, still listed


def test_too_few_tests_are_provisional_or_undecided() -> None:
    rule = LotRule(
        "percent_within_limits", "percent_compaction", minimum=D(95), percent_within_at_least_pct=D(90), minimum_tests=5
    )
    few = lots.judge(facts(rules=(rule,)), [made(str(number), number, f"96.{number}") for number in range(4)])
    assert (few.result, few.basis, few.basis_reasons) == ("met", "provisional", ("4 of at least 5 tests",))
    none = lots.judge(facts(rules=(rule,)), [made("1", 1), made("2", 2)])
    assert none.result == "undecided"
    no_figure = lots.judge(facts(), [made("1", 1), made("2", 2, values={})])
    assert no_figure.basis_reasons == ("1 of 2 tests have no percent compaction yet",)


TESTS = st.lists(
    st.tuples(st.integers(-5, 60), st.integers(880, 1080), st.booleans(), st.booleans()), min_size=1, max_size=14
)


@given(TESTS, st.randoms(use_true_random=False))
def test_the_order_of_arrival_changes_nothing(drawn: list[tuple[int, int, bool, bool]], dice: Any) -> None:
    tests = [
        made(
            f"{number}",
            hours,
            str(D(tenths) / 10),
            voided=voided,
            retest_of=f"{number - 1}" if again and number else "",
        )
        for number, (hours, tenths, voided, again) in enumerate(drawn)
    ]
    shuffled = list(tests)
    dice.shuffle(shuffled)
    of = facts(next_tests=8)
    one, other = lots.to_plain(lots.judge(of, tests)), lots.to_plain(lots.judge(of, shuffled))
    assert lots.lot_digest(of, one) == lots.lot_digest(of, other)
    counting = [member for member in one["members"] if member["counts"]]
    assert len(counting) <= 8
    assert len({member["test"] for member in one["members"]}) == len(tests)


@given(TESTS, st.integers(0, 100))
def test_a_test_above_the_mean_never_lowers_an_average(drawn: list[tuple[int, int, bool, bool]], above: int) -> None:
    tests = [made(f"{n}", abs(hours), str(D(tenths) / 10)) for n, (hours, tenths, _, _) in enumerate(drawn)]
    before = lots.judge(facts(), tests).verdicts[0]
    better = made("better", 70, str(before.figures["mean"] + D(above) / 10))
    after = lots.judge(facts(), [*tests, better]).verdicts[0]
    assert after.figures["mean"] >= before.figures["mean"] - D("1e-8")
    assert before.result != "met" or after.result == "met"


def test_contractor_and_owner_are_compared_pair_by_pair_and_as_samples() -> None:
    own = ["96.1", "97.2", "98.4", "95.9", "97.7"]
    tests = [made(f"A{n}", n, text) for n, text in enumerate(own)]
    tests += [made(f"Q{n}", n + 0.2, str(D(text) + D("0.5")), purpose="quality_control") for n, text in enumerate(own)]
    tests += [
        made(f"B{n}", n + 0.4, str(D(text) + D("0.3")), purpose="verification", check_of=f"A{n}")
        for n, text in enumerate(own)
    ]
    found = lots.judge(facts(), tests).comparison
    assert found is not None
    assert found.paired is not None
    assert found.samples is not None
    assert found.paired.mean_difference == D("-0.3")
    assert found.samples.tests == (5, 5)
    assert found.samples.means_agree
    assert "The owner's tests support the contractor's." in found.sentences[1]
    assert lots.judge(facts(), tests[:5]).comparison is None
