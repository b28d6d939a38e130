"""Cells: equal areas that cover the fill, every point in exactly one of them, tests assigned by rule."""

from datetime import UTC, date, datetime
from math import isclose
from time import process_time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compaction.coverage import cells
from compaction.coverage.draws import within
from compaction.coverage.facts import FAILING, TESTED, UNTESTED, Cell, Tested
from compaction.coverage.ground import Ground, lay_together, rectangle

MOMENT = datetime(2026, 6, 3, 15, tzinfo=UTC)


def a_test(name: str, station: float, offset: float, **changes: Any) -> Tested:
    given: dict[str, Any] = {
        "uuid": name, "label": name, "performed_at": MOMENT, "day": date(2026, 6, 3), "area": "core", "lift": 4,
        "method": "nuclear_gauge", "purpose": "acceptance", "result": "pass", "alignment": "main",
        "station_m": station, "offset_m": offset,
    }  # fmt: skip
    return Tested(**{**given, **changes})


def divided(*outlines: tuple[tuple[float, float], ...], count: int, alignment: str = "main") -> cells.Division:
    return cells.divide([lay_together(outlines, alignment=alignment)], count=count, area="core", lift=4)


def area_of(division: cells.Division, cell: Cell) -> float:
    """By clipping the fill to the cell's window: another way than that by which the lines were found."""
    ground = division.field_of(cell.number).ground
    windows = ((cell.station_from_m, cell.station_to_m), (cell.offset_from_m, cell.offset_to_m))
    along, across = windows[::-1] if ground.turned else windows
    return sum(slab.area_m2 for slab in within(ground, along=along, across=across))


placements = st.lists(
    st.tuples(
        st.integers(0, 5000), st.integers(1, 3000), st.integers(-300, 250), st.integers(1, 300)
    ).map(lambda box: rectangle(box[0] / 10, (box[0] + box[1]) / 10, box[2] / 10, (box[2] + box[3]) / 10)),
    min_size=1,
    max_size=6,
)  # fmt: skip
SLOPING = (
    ((0.0, 0.0), (60.0, 5.0), (90.0, 40.0), (30.0, 55.0)),
    ((50.0, -10.0), (120.0, 10.0), (70.0, 30.0)),
    ((10.0, 20.0), (40.0, 20.0), (40.0, 90.0), (25.0, 60.0), (10.0, 90.0)),
)


def test_a_plain_reach_is_parted_along_the_line() -> None:
    division = divided(rectangle(100, 200, -5, 5), count=4)
    windows = [(one.station_from_m, one.station_to_m, one.offset_from_m, one.offset_to_m) for one in division.cells]
    assert windows == [(100, 125, -5, 5), (125, 150, -5, 5), (150, 175, -5, 5), (175, 200, -5, 5)]


def test_a_wide_pad_is_parted_across_too() -> None:
    division = divided(rectangle(0, 60, 0, 60), count=9)
    assert [(round(one.station_from_m), round(one.offset_from_m)) for one in division.cells] == [
        (0, 0), (0, 20), (0, 40), (20, 0), (20, 20), (20, 40), (40, 0), (40, 20), (40, 40),
    ]  # fmt: skip
    five = divided(rectangle(0, 60, 0, 60), count=5)
    assert [isclose(area_of(five, one), 720) for one in five.cells] == [True] * 5


def test_what_two_placements_share_counts_once() -> None:
    ground = lay_together(
        [rectangle(0, 60, 0, 10), rectangle(40, 100, 0, 10), rectangle(100, 120, 5, 10)], alignment="m"
    )
    assert ground.area_m2 == pytest.approx(1100, rel=1e-12)
    assert ground.length_m == pytest.approx(120)


@settings(max_examples=60, deadline=None)
@given(placements, st.integers(1, 40))
def test_areas_are_equal_and_cover_the_fill(outlines: list[tuple[tuple[float, float], ...]], count: int) -> None:
    division = divided(*outlines, count=count)
    whole = division.fields[0].ground.area_m2
    areas = [area_of(division, cell) for cell in division.cells]
    assert len(areas) == count
    assert [cell.number for cell in division.cells] == list(range(1, count + 1))
    for area in areas:
        assert area == pytest.approx(whole / count, rel=1e-6)
    assert sum(areas) == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize("count", [1, 2, 5, 12, 31])
def test_areas_are_equal_with_sloping_edges(count: int) -> None:
    division = divided(*SLOPING, count=count, alignment="")
    whole = division.fields[0].ground.area_m2
    areas = [area_of(division, cell) for cell in division.cells]
    assert areas == pytest.approx([whole / count] * count, rel=1e-6)


def test_the_union_of_polygons_has_the_area_that_counting_points_gives() -> None:
    """Against a grid of 0.25 m points tested by crossing number: agrees to the grid's own coarseness."""
    ground = lay_together(SLOPING)
    assert ground.turned is False

    def inside(ring: tuple[tuple[float, float], ...], x: float, y: float) -> bool:
        odd = False
        for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (y1 > y) != (y2 > y) and x < x1 + (x2 - x1) * (y - y1) / (y2 - y1):
                odd = not odd
        return odd

    steps = [0.125 + 0.25 * number for number in range(-400, 520)]
    hits = sum(
        any(inside(ring, x, y) for ring in SLOPING) for x in steps if 0 <= x <= 125 for y in steps if -12 <= y <= 92
    )
    assert hits * 0.0625 == pytest.approx(ground.area_m2, rel=2e-3)


@settings(max_examples=60, deadline=None)
@given(placements, st.integers(1, 25), st.floats(-10, 810), st.floats(-40, 60))
def test_every_point_of_the_fill_is_in_exactly_one_cell(
    outlines: list[tuple[tuple[float, float], ...]], count: int, station: float, offset: float
) -> None:
    division = divided(*outlines, count=count)
    number = division.fields[0].number_at(station, offset)
    inside = any(
        corners[0][0] <= station <= corners[2][0] and corners[0][1] <= offset <= corners[2][1] for corners in outlines
    )
    if inside:
        assert number is not None
        cell = division.cells[number - 1]
        slack = 1e-4
        assert cell.station_from_m - slack <= station <= cell.station_to_m + slack
        assert cell.offset_from_m - slack <= offset <= cell.offset_to_m + slack
    half_open = [
        one.number
        for one in division.cells
        if one.station_from_m <= station < one.station_to_m and one.offset_from_m <= offset < one.offset_to_m
    ]
    assert len(half_open) <= 1
    if number is not None and half_open:
        assert half_open == [number]


def test_a_point_on_the_line_belongs_to_the_cell_ahead() -> None:
    field = divided(rectangle(0, 60, 0, 60), count=4).fields[0]
    assert [field.number_at(x, y) for x, y in ((30, 10), (10, 30), (30, 30), (60, 60), (0, 0), (60.001, 10))] == [
        3, 2, 4, 4, 1, None,
    ]  # fmt: skip


def test_states_follow_from_the_tests_that_count() -> None:
    division = divided(rectangle(0, 80, -5, 5), count=8)
    found = cells.assign(
        division,
        [
            a_test("a", 5, 0),
            a_test("b", 15, 0, result="fail", failure_state="open"),
            a_test("c", 15, 1),
            a_test("d", 25, 0, result="fail", failure_state="closed"),
            a_test("e", 35, 0, original=False),
            a_test("f", 45, 0, voided=True),
            a_test("g", 55, 0, held=True),
            a_test("h", 65, 0, result="pending"),
            a_test("i", 75, 9),
        ],
    )
    assert [cell.state for cell in found] == [TESTED, FAILING, TESTED, *[UNTESTED] * 3, TESTED, UNTESTED]
    assert found[1].tests == ("b", "c")


def test_two_lines_share_the_cells_by_area() -> None:
    grounds = [
        lay_together([rectangle(0, 100, 0, 10)], alignment="main"),
        lay_together([rectangle(0, 10, 0, 10)], alignment="ramp"),
    ]
    division = cells.divide(grounds, count=5, area="core", lift=1)
    assert [cell.alignment for cell in division.cells] == ["main"] * 4 + ["ramp"]
    assert division.number_of(a_test("a", 5, 5, alignment="ramp")) == 5
    assert division.number_of(a_test("a", 5, 5, alignment="else")) is None


def test_a_pad_that_is_longer_to_the_north_is_parted_that_way() -> None:
    division = divided(((0.0, 0.0), (10.0, 0.0), (10.0, 100.0), (0.0, 100.0)), count=2, alignment="")
    first, second = division.cells
    assert (first.station_from_m, first.station_to_m, first.offset_from_m, first.offset_to_m) == (0, 10, 0, 50)
    test = a_test("a", 0, 0, alignment="", easting_m=5.0, northing_m=75.0)
    assert division.number_of(test) == second.number


def test_nothing_placed_gives_no_cells() -> None:
    assert cells.divide([Ground("main", ())], count=3, area="core", lift=1).cells == ()


def test_two_hundred_lifts_with_twenty_thousand_tests_are_quick() -> None:
    """The whole job's cells: measured at about 0.5 s here; the limit leaves room for a busy machine."""
    tests = [a_test(str(number), number % 1000 + 0.5, number % 19 - 9) for number in range(100)]
    began = process_time()
    for _ in range(200):
        division = divided(*[rectangle(start, start + 120, -10, 10) for start in range(0, 1000, 100)], count=60)
        assert sum(len(cell.tests) for cell in cells.assign(division, tests)) == 100
    assert process_time() - began < 5
