"""Ticking off: the closest pair first, one test a location, what a test says itself goes before."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from compaction.coverage.facts import Tested
from compaction.coverage.locations import CELL_TESTED, DONE, OPEN, Planned, tick_off

MOMENT = datetime(2026, 6, 3, 15, tzinfo=UTC)


def made(name: str, station: float, offset: float = 0.0, *, minutes: int = 0, **changes: Any) -> Tested:
    given: dict[str, Any] = {
        "uuid": name, "label": name, "performed_at": MOMENT + timedelta(minutes=minutes), "day": date(2026, 6, 3),
        "area": "core", "lift": 4, "method": "nuclear_gauge", "purpose": "acceptance", "result": "pass",
        "alignment": "main", "station_m": station, "offset_m": offset,
    }  # fmt: skip
    return Tested(**{**given, **changes})


def planned(*stations: float) -> list[Planned]:
    return [Planned(f"L{number}", number, "main", station, 0.0) for number, station in enumerate(stations, start=1)]


def states(found: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one.state, one.test) for _, one in sorted(found.items())]


def test_the_closest_pair_comes_first_and_each_test_does_one_location() -> None:
    found = tick_off(planned(10, 13), [made("a", 11.8), made("b", 15.0)], within_m=3, tested_cells={})
    assert states(found) == [(OPEN, ""), (DONE, "a")]  # a is nearest to L2; b is beyond 3 m of L1
    found = tick_off(planned(10, 13), [made("a", 11.4), made("b", 15.0)], within_m=3, tested_cells={})
    assert states(found) == [(DONE, "a"), (DONE, "b")]
    assert found["L1"].distance_m is not None


def test_equal_distances_go_by_the_moment() -> None:
    both = [made("late", 11, minutes=5), made("early", 9)]
    assert tick_off(planned(10), both, within_m=3, tested_cells={})["L1"].test == "early"


def test_what_a_test_names_goes_before_what_is_near() -> None:
    tests = [made("near", 10), made("far", 90)]
    found = tick_off(planned(10, 50), tests, within_m=3, tested_cells={}, named={"far": "L1", "near": "somewhere"})
    assert states(found) == [(DONE, "far"), (OPEN, "")]
    assert (found["L1"].named, found["L1"].distance_m) == (True, 80.0)


def test_retests_and_voided_ones_do_nothing_and_a_cell_may_be_tested_elsewhere() -> None:
    tests = [made("r", 10, original=False), made("v", 10, voided=True), made("other", 30)]
    found = tick_off(planned(10, 50), tests, within_m=3, tested_cells={1: ["other"]})
    assert states(found) == [(CELL_TESTED, "other"), (OPEN, "")]


def test_fill_without_a_line_goes_by_coordinates() -> None:
    pad = [Planned("P", 1, "", 500.0, 800.0)]
    test = made("a", 0, alignment="", easting_m=501.0, northing_m=800.0)
    assert tick_off(pad, [test], within_m=2, tested_cells={})["P"].distance_m == 1.0


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.integers(0, 400), min_size=1, max_size=12),
    st.lists(st.tuples(st.integers(0, 400), st.integers(-20, 20)), max_size=25),
)
def test_it_is_the_greedy_choice_over_all_pairs(wanted: list[int], where: list[tuple[int, int]]) -> None:
    """Against the plain way: every pair, nearest first."""
    locations = planned(*map(float, wanted))
    tests = [made(f"t{number:02}", float(x), float(y)) for number, (x, y) in enumerate(where)]
    pairs = sorted(
        (((test.station_m or 0) - one.station_m) ** 2 + (test.offset_m or 0) ** 2, test.uuid, one.uuid)
        for test in tests
        for one in locations
    )
    expected: dict[str, str] = {}
    for square, test, location in pairs:
        if square <= 15**2 and location not in expected and test not in expected.values():
            expected[location] = test
    found = tick_off(locations, tests, within_m=15, tested_cells={})
    assert {name: one.test for name, one in found.items() if one.state == DONE} == expected
    distances = sorted(one.distance_m or 0 for one in found.values() if one.state == DONE)
    assert all(low <= high <= 15 for low, high in pairwise([0.0, *distances]))
