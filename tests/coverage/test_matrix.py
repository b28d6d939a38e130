"""Lift by station: rows add up to what groups ask for, holes show, failures stand out; and 200 lifts are quick."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from compaction.coverage import matrix
from compaction.coverage.facts import Covered, Placed, Tested
from tests.coverage.test_cells import a_test

MOMENT = datetime(2026, 6, 3, 15, tzinfo=UTC)


def a_placement(lift: int, from_m: float, to_m: float, **changes: Any) -> Placed:
    given: dict[str, Any] = {
        "uuid": f"{lift}-{from_m}", "area": "core", "lift": lift, "placed_at": MOMENT, "day": date(2026, 6, 3),
        "alignment": "main", "station_from_m": from_m, "station_to_m": to_m, "offset_from_m": -5.0, "offset_to_m": 5.0,
        "thickness_m": Decimal("0.2"), "elevation_top_m": Decimal(100) + lift * Decimal("0.2"),
    }  # fmt: skip
    return Placed(**{**given, **changes})


def a_group(lift: int, required: int | None, tests: list[Tested], **changes: Any) -> Covered:
    return Covered(
        "core", lift, "short", "said", required=required, tests=tuple(one.uuid for one in tests if one.original),
        **changes,
    )  # fmt: skip


def row_of(required: int | None, tests: list[Tested], *placed: Placed, width_m: float = 25.0) -> matrix.Row:
    rows = placed or (a_placement(4, 100.0, 200.0),)
    over = matrix.columns(alignment="main", from_m=100.0, to_m=200.0, width_m=width_m)
    [row] = matrix.build(
        [a_group(4, required, tests)], placed={("core", 4): list(rows)}, tested={("core", 4): tests}, over=over
    )
    return row


def shown(row: matrix.Row) -> list[tuple[str, str]]:
    return [(one.state, one.figures) for one in row.squares]


def test_a_cell_per_column_shows_where_nothing_was_tested() -> None:
    tests = [a_test("a", 110, 0), a_test("b", 160, 2)]
    assert shown(row_of(4, tests)) == [("tested", "1/1"), ("untested", "0/1"), ("tested", "1/1"), ("untested", "0/1")]


def test_long_cells_run_through_several_columns_and_are_counted_once() -> None:
    row = row_of(2, [a_test("a", 130, 0)])  # cells 100 to 150 and 150 to 200
    assert shown(row) == [("tested", "·"), ("tested", "1/1"), ("untested", "·"), ("untested", "0/1")]
    assert sum(one.required or 0 for one in row.squares) == 2


def test_failures_and_buried_ones_stand_before_everything_else() -> None:
    failing = a_test("f", 110, 0, result="fail", failure_state="open")
    buried = a_test("g", 135, 0, result="fail", failure_state="open", buried=True)
    ended = a_test("h", 160, 0, result="fail", failure_state="passed_on_retest")
    assert shown(row_of(4, [failing, buried, ended])) == [
        ("failing", "0/1"), ("buried", "0/1"), ("tested", "1/1"), ("untested", "0/1"),
    ]  # fmt: skip


def test_a_retest_that_fails_shows_though_it_counts_for_nothing() -> None:
    retest = a_test("r", 110, 0, result="fail", original=False, failure_state="open")
    assert shown(row_of(4, [a_test("a", 112, 0), retest]))[0] == ("failing", "1/1")


def test_a_number_that_is_not_known_is_a_question_mark() -> None:
    row = row_of(None, [a_test("a", 110, 0)])
    assert shown(row) == [("tested", "1/?"), ("unknown", "0/?"), ("unknown", "0/?"), ("unknown", "0/?")]


def test_where_nothing_is_placed_stays_empty_and_exempt_fill_asks_for_nothing() -> None:
    row = row_of(2, [], a_placement(4, 100.0, 150.0))
    assert shown(row)[2:] == [("empty", ""), ("empty", "")]
    assert [one.state for one in row_of(0, [], a_placement(4, 100.0, 200.0, exempt=True)).squares] == ["exempt"] * 4


def test_every_row_adds_up_to_what_its_group_asks_for() -> None:
    for required in range(1, 40):
        tests = [a_test(str(number), 100 + (number * 37) % 100, (number % 9) - 4) for number in range(required // 2)]
        for width in (7.0, 25.0, 60.0, 200.0):
            row = row_of(required, tests, width_m=width)
            assert sum(one.required or 0 for one in row.squares) == required
            assert sum(one.made for one in row.squares) == len(tests)


def test_rows_are_highest_first_and_only_those_of_the_alignment() -> None:
    over = matrix.columns(alignment="main", from_m=100.0, to_m=200.0, width_m=50.0)
    groups = [a_group(lift, 1, []) for lift in (2, 9, 4)]
    other = a_placement(9, 100.0, 200.0, alignment="ramp")
    placed = {
        ("core", 2): [a_placement(2, 100.0, 200.0)],
        ("core", 4): [a_placement(4, 100.0, 200.0)],
        ("core", 9): [other],
    }
    assert [row.group.lift for row in matrix.build(groups, placed=placed, tested={}, over=over)] == [4, 2]


def test_columns_start_at_whole_multiples_and_end_behind_the_fill() -> None:
    over = matrix.columns(alignment="main", from_m=1030.0, to_m=1100.0, width_m=30.48)
    assert over.edges[0] <= 1030.0 < over.edges[1]
    assert over.edges[-2] < 1100.0 <= over.edges[-1]
    assert over.at(over.edges[-1]) == len(over) - 1
    assert over.at(over.edges[1]) == 1
    assert over.at(over.edges[0] - 1) is None
    assert list(over.over(over.edges[1], over.edges[2])) == [1]


def many(lifts: int, per_lift: int) -> tuple[list[Covered], dict[Any, list[Placed]], dict[Any, list[Tested]]]:
    placed, tested, groups = {}, {}, []
    for lift in range(1, lifts + 1):
        tests = [
            replace(a_test(f"{lift}-{number}", 60.0 * number, (number * 7) % 9 - 4.0), lift=lift)
            for number in range(per_lift)
        ]
        placed["core", lift] = [a_placement(lift, 0.0, 60.0 * per_lift)]
        tested["core", lift] = tests
        groups.append(a_group(lift, per_lift, tests))
    return groups, placed, tested


def test_two_hundred_lifts_by_sixty_columns_are_quick() -> None:
    """The time is asserted with room to spare for a busy machine; the benchmark prints it."""
    from time import process_time

    groups, placed, tested = many(200, 100)
    over = matrix.columns(alignment="main", from_m=0.0, to_m=6000.0, width_m=100.0)
    started = process_time()
    rows = matrix.build(groups, placed=placed, tested=tested, over=over)
    spent = process_time() - started
    assert (len(rows), len(rows[0].squares)) == (200, 60)
    print(f"200 lifts x 60 columns, 20,000 tests: {spent:.2f} s of CPU")
    assert spent < 3
