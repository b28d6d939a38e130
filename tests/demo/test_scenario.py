"""The plan by itself: counts, spread, order, and that the same seed and day give the same events."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from statistics import mean, stdev

import pytest

from compaction.demo import site, stories
from compaction.demo.events import FieldTest
from compaction.demo.scenario import Scenario, build
from compaction.demo.working_days import FULL_DAYS, loading_day, working_days
from tests.demo.conftest import TODAY


def originals(scenario: Scenario) -> list[FieldTest]:
    return [test for test in scenario.tests if test.retest_of is None and test.check_of is None]


def test_about_four_hundred_tests_on_twelve_lifts_in_two_zones(scenario: Scenario) -> None:
    assert 380 <= len(scenario.tests) <= 430
    assert {test.lift for test in scenario.tests} == set(range(1, 13))
    assert {test.section.zone for test in scenario.tests} == {"fill", "abutment"}
    assert {test.reference for test in scenario.tests} == {"P-101", "P-102", "P-103"}


def test_ten_to_twenty_five_tests_on_every_full_working_day_and_a_few_this_morning(scenario: Scenario) -> None:
    by_day = Counter(test.performed_at.date() for test in scenario.tests)
    full_days = scenario.days[1:-1]
    assert len(full_days) == FULL_DAYS == 23
    assert {day: count for day in full_days if not 10 <= (count := by_day[day]) <= 25} == {}
    assert 3 <= by_day[TODAY] <= 9
    assert set(by_day) == {*full_days, TODAY}


def test_two_gauges_and_about_one_sand_cone_to_fifteen_gauge_tests(scenario: Scenario) -> None:
    """Not counting sand cones beside a gauge test for comparison."""
    methods = Counter(test.shown.members["method"] for test in scenario.tests if test.check_of is None)
    gauges = {test.shown.members["readings"].get("serial") for test in scenario.tests} - {None}
    assert gauges == {"TG-0417", "TG-0892"}
    assert 12 <= methods["nuclear_gauge"] / methods["sand_cone"] <= 20


def test_the_spread_is_that_of_a_real_job_and_no_cliff_stands_at_the_limit(scenario: Scenario) -> None:
    """The point above 95 is not much fuller than the one below it, as it would be if results were helped over."""
    percent = [
        float(100 * test.shown.dry_pcf / site_maximum(test))
        for test in originals(scenario)
        if test.section.zone == "fill"
    ]
    assert 2.0 <= stdev(percent) <= 3.5
    assert 97 <= mean(percent) <= 99.5
    below, above = (sum(1 for value in percent if low <= value < low + 1) for low in (94, 95))
    assert below >= 5
    assert above <= 3 * below


def site_maximum(test: FieldTest) -> Decimal:
    text = site.references(date.min)[test.reference, 1]["maximum_dry_density"]
    return Decimal(text.removesuffix(" pcf"))


def test_everything_is_told_in_order_and_nothing_is_later_than_this_morning(scenario: Scenario) -> None:
    moments = [event.at for event in scenario.events]
    assert moments == sorted(moments)
    assert scenario.begins_at <= moments[0]
    assert moments[-1] <= scenario.ends_at == datetime(2026, 6, 10, 10, 0, tzinfo=site.ZONE)
    assert len({(event.kind, event.id) for event in scenario.events}) == len(scenario.events)


def test_nobody_is_at_two_spots_at_once(scenario: Scenario) -> None:
    by_technician: dict[str, list[datetime]] = {}
    for test in scenario.tests:
        by_technician.setdefault(test.technician, []).append(test.performed_at)
    for moments in by_technician.values():
        ordered = sorted(moments)
        assert min(later - sooner for sooner, later in pairwise(ordered)) >= timedelta(minutes=10)


def test_every_named_story_is_told(scenario: Scenario) -> None:
    assert set(scenario.stories) | {"untested-area"} == set(stories.NAMES)
    index = stories.__doc__ or ""
    assert [name for name in stories.NAMES if f"| {name} |" not in index] == []


def test_numbers_of_originals_are_used_once(scenario: Scenario) -> None:
    labels = [test.name for test in scenario.tests]
    assert len(set(labels)) == len(labels)


def test_the_same_seed_and_day_give_the_same_events_and_another_seed_does_not(scenario: Scenario) -> None:
    assert build(today=TODAY).events == scenario.events
    assert build(today=TODAY, seed=scenario.seed + 1).events != scenario.events


@pytest.mark.parametrize("today", [TODAY + timedelta(days=number) for number in (1, 2, 3, 4, 5, 300)], ids=str)
def test_another_day_moves_the_times_and_leaves_the_figures(scenario: Scenario, today: date) -> None:
    moved = build(today=today)
    assert [(test.id, test.name, test.shown) for test in moved.tests] == [
        (test.id, test.name, test.shown) for test in scenario.tests
    ]
    assert moved.days[-2:] == (today - timedelta(days=1), today)


def test_working_days_leave_out_weekends_but_never_yesterday() -> None:
    monday = date(2026, 6, 8)
    days = working_days(monday)
    assert days[-2] == date(2026, 6, 7)
    assert [day for day in days[:-2] if day.weekday() >= 5] == []
    assert len(set(days)) == FULL_DAYS + 2


def test_today_is_yesterday_until_its_morning_is_over() -> None:
    assert loading_day(datetime(2026, 6, 10, 15, 59, tzinfo=UTC)) == date(2026, 6, 9)  # 09:59 on site
    assert loading_day(datetime(2026, 6, 10, 16, 0, tzinfo=UTC)) == date(2026, 6, 10)
