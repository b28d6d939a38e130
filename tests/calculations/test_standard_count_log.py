"""The log of standard counts, the repeats of a calibration: limits at their edges, decay, what enters a mean."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations import repeats
from compaction.calculations.errors import ImpossibleReading, OutsideValidity
from compaction.calculations.standard_count_log import CERTIFICATE, Count, CountRule, certificate_count, judge

START = datetime(2026, 6, 1, 13, 0, tzinfo=UTC)


def log(*densities: int, rule: CountRule | None = None) -> list[Count]:
    more = {} if rule is None else {"rule": rule}
    return [Count(START + timedelta(days=day), (count,), (), **more) for day, count in enumerate(densities)]


@pytest.mark.parametrize(
    ("density", "moisture", "accepted"),
    [(2846, 660, True), (2845, 660, False), (2902, 673, True), (2903, 660, False), (2874, 646, False)],
)
def test_limits_of_one_and_two_percent(density: int, moisture: int, accepted: bool) -> None:
    """2,874 and 660 with 1 % and 2 %: 2,845.26 to 2,902.74 and 646.8 to 673.2 (a state form of 2011; by pencil)."""
    first = Count(START, (2874,), (660,))
    found = judge([first, Count(START + timedelta(days=1), (density,), (moisture,))])
    assert [one.accepted for one in found] == [True, accepted]
    assert ("Not accepted" in found[1].sentence) is not accepted


def test_the_mean_is_of_the_last_four_accepted() -> None:
    found = judge(log(2800, 2810, 2820, 2830, 2840, 2960, 2845))
    assert [one.accepted for one in found] == [True] * 5 + [False, True]
    # (2810 + 2820 + 2830 + 2840) / 4: neither 2800, the fifth back, nor the rejected 2960
    assert found[6].kinds[0].reference == Decimal("2825")


def test_several_counts_are_judged_by_their_mean() -> None:
    counts = [Count(START, (2874,), ()), Count(START + timedelta(days=1), (2844, 2848, 2850, 2842), ())]
    assert judge(counts)[1].kinds[0].count == Decimal(2846)
    assert judge(counts)[1].accepted


def test_a_good_gauge_fails_its_certificate_after_half_a_year_unless_decay_is_counted() -> None:
    """Caesium 137 loses 1 % in 160 days: 30.2 a x ln(1/0.99)/ln 2 = 0.438 a (by pencil)."""
    rule = CountRule(compare_with=CERTIFICATE, certificate_on=date(2026, 1, 1), certificate={"density": 2900})
    for days, plain_change in ((150, -0.94), (170, -1.06)):
        day = date(2026, 1, 1) + timedelta(days=days)
        decayed = certificate_count(rule, kind="density", day=day)
        assert decayed is not None
        assert float(100 * (decayed / 2900 - 1)) == pytest.approx(plain_change, abs=0.01)
        moment = datetime(day.year, day.month, day.day, 13, tzinfo=UTC)
        assert judge([Count(moment, (round(decayed),), (), rule)])[0].accepted
    moisture = CountRule(certificate_on=date(2025, 6, 3), certificate={"moisture": 100_000})
    # americium 241: 0.16 % a year, to that digit
    assert certificate_count(moisture, kind="moisture", day=date(2026, 6, 3)) == pytest.approx(Decimal(99_840), abs=5)


def test_a_new_certificate_begins_a_new_series() -> None:
    old = CountRule()
    new = CountRule(certificate_on=date(2026, 6, 3), certificate={"density": 3000})
    counts = [*log(2870, 2874, rule=old), Count(START + timedelta(days=3), (3003,), (), new)]
    assert [one.accepted for one in judge(counts)] == [True, True, True]
    counts[-1] = Count(START + timedelta(days=3), (2872,), (), new)
    assert not judge(counts)[-1].accepted


def test_counts_out_of_order_are_refused() -> None:
    with pytest.raises(OutsideValidity):
        judge(list(reversed(log(2870, 2874))))


@given(st.lists(st.integers(min_value=2000, max_value=4000), min_size=1, max_size=12))
def test_a_verdict_never_depends_on_later_counts(counts: list[int]) -> None:
    whole = [one.accepted for one in judge(log(*counts))]
    for end in range(1, len(counts)):
        assert [one.accepted for one in judge(log(*counts[:end]))] == whole[:end]


@given(
    st.lists(st.integers(min_value=1_000, max_value=2_000), min_size=1, max_size=10),
    st.sampled_from([Decimal("0.001"), Decimal("0.45359237"), Decimal(1000)]),
)
def test_the_unit_never_changes_the_spread(grams: list[int], factor: Decimal) -> None:
    allowed = repeats.ALLOWED["cone_and_plate_mass"]
    one = repeats.spread([Decimal(value) for value in grams], allowed=allowed)
    other = repeats.spread([value * factor for value in grams], allowed=allowed)
    assert one.within == other.within or abs(one.farthest_pct - allowed.percent) < Decimal("1e-6")
    assert one.farthest_pct == pytest.approx(other.farthest_pct, abs=Decimal("1e-6"))


def test_spread_at_its_edge() -> None:
    allowed = repeats.ALLOWED["sand_bulk_density"]
    # 99, 100, 101: exactly 1 % from the mean
    assert repeats.spread([Decimal(99), Decimal(100), Decimal(101)], allowed=allowed).within
    wide = repeats.spread([Decimal("98.9"), Decimal(100), Decimal("101.1")], allowed=allowed)
    assert [one.code for one in repeats.spread_findings("sand_bulk_density", wide)] == ["calibration-out-of-spread"]
    few = repeats.spread([Decimal(100), Decimal(100)], allowed=allowed)
    assert [one.code for one in repeats.spread_findings("sand_bulk_density", few)] == ["calibration-too-few-repeats"]
    with pytest.raises(ImpossibleReading):
        repeats.spread([Decimal(0)], allowed=allowed)


def test_a_check_mass() -> None:
    def codes(shown: str, allowed: str | None = None) -> list[str]:
        limit = None if allowed is None else Decimal(allowed)
        found = repeats.check_mass_findings(nominal_kg=Decimal(2), shown_kg=Decimal(shown), allowed_kg=limit)
        return [one.code for one in found]

    assert codes("2.002") == []
    assert codes("2.0021") == ["check-mass-off"]
    assert codes("2.0021", "0.005") == []
