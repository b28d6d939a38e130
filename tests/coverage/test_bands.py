"""Elevations without a test, worked by hand: ten lifts of 0.2 m from 100.0 to 102.0."""

from decimal import Decimal

import pytest

from compaction.coverage.bands import missing
from compaction.coverage.facts import Placed, Tested
from tests.coverage.test_cells import a_test
from tests.coverage.test_matrix import a_placement

FILL = [a_placement(lift, 100.0, 200.0) for lift in range(1, 11)]


def bands(tests: list[Tested], fill: list[Placed] = FILL, edges: tuple[float, ...] = (100.0, 200.0)) -> list[tuple]:
    return [
        (one.station_from_m, one.station_to_m, round(one.bottom_m, 3), round(one.top_m, 3))
        for one in missing(fill, tests, edges=edges, read_to_m=0.03).bands
    ]


def test_without_a_test_the_whole_height_is_missing() -> None:
    assert bands([]) == [(100.0, 200.0, 100.0, 102.0)]


def test_a_test_speaks_for_the_lift_under_its_surface() -> None:
    # Elevation 101.0 closes 100.8 to 101.0: 0.8 m below it and 1.0 m above it stay.
    assert bands([a_test("a", 150, 0, elevation_m=101.0)]) == [
        (100.0, 200.0, 100.0, 100.8),
        (100.0, 200.0, 101.0, 102.0),
    ]


def test_a_gap_of_one_lift_is_ordinary_and_of_two_is_not() -> None:
    every_other = [a_test(f"t{number}", 150, 0, elevation_m=100.2 + 0.4 * number) for number in range(5)]
    assert bands(every_other) == []
    assert bands([one for one in every_other if one.uuid != "t2"]) == [(100.0, 200.0, 100.6, 101.2)]


@pytest.mark.parametrize(
    "changes",
    [
        {"result": "fail", "failure_state": "open"},
        {"original": False},
        {"voided": True},
        {"held": True},
        {"elevation_m": None},
        {"station_m": None},
    ],
)
def test_what_counts_for_nothing_closes_nothing(changes: dict) -> None:
    assert bands([a_test("a", 150, 0, **{"elevation_m": 101.0, **changes})]) == [(100.0, 200.0, 100.0, 102.0)]


def test_a_failure_that_has_ended_closes_its_elevation() -> None:
    mended = a_test("a", 150, 0, elevation_m=101.0, result="fail", failure_state="passed_on_retest")
    assert len(bands([mended])) == 2


def test_neighbours_alike_are_one_and_a_tested_column_parts_them() -> None:
    edges = (100.0, 125.0, 150.0, 175.0, 200.0)
    assert bands([], edges=edges) == [(100.0, 200.0, 100.0, 102.0)]
    tests = [a_test(str(number), 160, 0, elevation_m=100.2 + 0.2 * number) for number in range(10)]
    assert bands(tests, edges=edges) == [(100.0, 150.0, 100.0, 102.0), (175.0, 200.0, 100.0, 102.0)]


def test_one_lift_alone_is_never_a_band_and_exempt_fill_is_left_out() -> None:
    assert bands([], FILL[:1]) == []
    assert bands([], [a_placement(lift, 100.0, 200.0, exempt=True) for lift in range(1, 11)]) == []


def test_fill_without_elevation_is_said_not_guessed() -> None:
    blind = [a_placement(lift, 100.0, 150.0, elevation_top_m=None) for lift in range(1, 5)]
    found = missing(blind, [], edges=(100.0, 125.0, 150.0, 200.0), read_to_m=0.03)
    assert (found.bands, found.unknown) == ((), ((100.0, 150.0),))
    thin = [a_placement(lift, 100.0, 150.0, thickness_m=None) for lift in range(1, 5)]
    assert missing(thin, [], edges=(100.0, 150.0), read_to_m=0.03).unknown == ((100.0, 150.0),)
    assert missing(thin, [], edges=(100.0, 150.0), read_to_m=0.03, lift_thickness_m=0.2).bands[
        0
    ].height_m == pytest.approx(0.8)


def test_thickness_of_the_record_decides() -> None:
    thick = [a_placement(1, 100.0, 200.0, elevation_top_m=Decimal(101), thickness_m=Decimal(1))]
    assert bands([], thick) == []
