"""Lifts: which state, why, what counts, what lies beneath; and what holds for any tests in any order."""

import random
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compaction.coverage import stored
from compaction.coverage.facts import Counter, Covered, Reduced, Tested
from compaction.coverage.lifts import Note, Release
from compaction.coverage.stacking import neighbours
from tests.coverage.fill import MONDAY, cover, made, placed, rule

TWO = rule(Counter("volume", Decimal(500)))
FILL = [placed(volume_m3=Decimal(1000))]  # two tests


def one(tests: list[Tested], *, fill: list | None = None, asked=TWO, **more: object) -> Covered:
    [shown] = cover(FILL if fill is None else fill, tests, asked, **more)
    return shown


@pytest.mark.parametrize(
    ("tests", "state", "short", "words"),
    [
        ([], "open", 2, "2 tests required, 0 made"),
        ([made(1)], "short", 1, "1 more needed"),
        ([made(1), made(2)], "released", 0, "2 tests required, 2 pass"),
        ([made(1), made(2), made(3, result="fail")], "failed", 0, "failure of test 3 is open"),
        ([made(1), made(2, result="fail", failure_state="passed_on_retest")], "released", 0, "2 pass"),
        ([made(1), made(2, result="fail", failure_state="accepted_as_is")], "released", 0, "2 pass"),
        ([made(1), made(2, original=False)], "short", 1, "1 made"),
        ([made(1), made(2, original=False, check=True)], "short", 1, "1 made"),
        ([made(1), made(2, purpose="information")], "short", 1, "1 made"),
        ([made(1), made(2, voided=True)], "short", 1, "1 made"),
        ([made(1), made(2, exempt=True)], "short", 1, "1 made"),
        ([made(1), made(2, held=True)], "short", 1, "1 on hold"),
        ([made(1), made(2, result="fail", held=True)], "failed", 1, "is open"),
        ([made(1), made(2, result="pending")], "short", 1, "1 waiting for the oven"),
        ([made(1), made(2, result="no_criterion")], "short", 1, "1 made"),
    ],
)
def test_what_counts_and_the_state_that_follows(tests: list[Tested], state: str, short: int, words: str) -> None:
    """Practice D.2: valid original acceptance tests count once; a failing test uncovers until its failure is closed."""
    shown = one(tests)
    assert (shown.state, shown.short) == (state, short)
    assert words in shown.sentence


def test_a_quantity_that_nobody_stated_stays_unknown_and_is_named() -> None:
    shown = one([made(1)], fill=[placed()])
    assert (shown.state, shown.required, shown.short) == ("open", None, 0)
    assert "the quantity of a placement is not stated" in shown.sentence
    at_least_one = rule(Counter("volume", Decimal(500)), Counter("lift", Decimal(1)))
    shown = one([], fill=[placed()], asked=at_least_one)
    assert (shown.state, shown.required, shown.short) == ("open", None, 1)
    assert shown.sentence.startswith("At least 1 test required")


def test_a_running_total_behind_an_unknown_quantity_is_unknown_too() -> None:
    running = rule(Counter("volume", Decimal(1000), "area"))
    fill = [
        placed(lift, day=lift, volume_m3=volume) for lift, volume in ((1, Decimal(900)), (2, None), (3, Decimal(9)))
    ]
    assert [shown.required for shown in cover(fill, [], running)] == [1, None, None]


def test_no_rule_and_no_placement_are_said() -> None:
    [shown] = cover(FILL, [made(1)])
    assert (shown.state, shown.required) == ("open", None)
    assert "no frequency rule holds here" in shown.sentence
    [shown] = cover([], [made(1)], TWO)
    assert (shown.area, shown.made) == ("core", 1)
    assert "no placement is on record" in shown.sentence


def test_an_exempt_area_asks_for_nothing() -> None:
    shown = one([], fill=[placed(exempt=True, zone="", volume_m3=Decimal(9000))])
    assert (shown.state, shown.required) == ("released", 0)


def test_a_signature_releases_until_its_figures_move() -> None:
    signed = replace(TWO, signed_release=True)
    tests = [made(1), made(2)]
    before = one(tests, asked=signed)
    assert (before.state, before.signature_wanted) == ("open", True)
    release = Release("core", 1, before.digest, MONDAY + timedelta(hours=3), "e.stone")
    after = one(tests, asked=signed, releases=(release,))
    assert (after.state, after.signed_by, after.digest) == ("released", "e.stone", before.digest)
    moved = one([*tests, made(3)], asked=signed, releases=(release,))
    assert (moved.state, moved.withdrawn, moved.signed_by) == ("open", True, "")
    assert "withdrawn because figures moved" in moved.sentence
    failed = one([made(1), made(2, result="fail")], asked=signed, releases=(release,))
    assert failed.state == "failed"


def test_not_tested_because_stays_open_until_somebody_signs() -> None:
    note = Note("core", 1, "weather stopped the testing", MONDAY)
    shown = one([], notes=(note,))
    assert (shown.state, shown.short, shown.not_tested) == ("open", 2, "weather stopped the testing")
    assert "Not tested: weather stopped the testing" in shown.sentence
    release = Release("core", 1, shown.digest, MONDAY, "e.stone")
    assert one([], notes=(note,), releases=(release,)).state == "released"


# ---- below and above -----------------------------------------------------------------------------
def test_fill_over_a_lift_that_was_not_released_by_then_is_loud() -> None:
    upper = placed(2, day=1, volume_m3=Decimal(1000))
    early = [made(1), made(2)]
    assert not cover([*FILL, upper], early, TWO)[1].over_unreleased
    late = [made(1), made(2, day=2)]
    [lower, over] = cover([*FILL, upper], late, TWO)
    assert (lower.state, over.over_unreleased) == ("released", True)
    assert "placed 2026-06-02 over lift 1 of core, not released by then" in over.sentence
    mended = made(2, result="fail", failure_state="closed", failure_ended_at=MONDAY + timedelta(days=2))
    assert cover([*FILL, upper], [made(1), mended], TWO)[1].over_unreleased
    in_time = replace(mended, failure_ended_at=MONDAY + timedelta(hours=4))
    assert not cover([*FILL, upper], [made(1), in_time], TWO)[1].over_unreleased


def test_what_lies_beneath_follows_the_plan_not_the_number() -> None:
    beside = {"station_from_m": 100.0, "station_to_m": 200.0}
    fill = [
        placed(1),
        placed(2, day=1, **beside),
        placed(3, day=2),
        placed(4, day=3, area="other", station_from_m=90.0, station_to_m=110.0),
    ]
    found = {(shown.area, shown.lift): shown for shown in cover(fill, [])}
    assert found["core", 2].below == ()
    assert found["core", 3].below == (1,)
    assert found["other", 4].below == (3, 2, 1)
    assert found["core", 1].above == (3, 4)


def test_outlines_lie_over_ranges_where_their_outlines_cross() -> None:
    square = ((0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (0.0, 10.0))
    over = ((90.0, 5.0), (120.0, 5.0), (120.0, 20.0), (90.0, 20.0))
    apart = ((200.0, 5.0), (220.0, 5.0), (220.0, 20.0))
    fill = [
        placed(1, outline=square),
        placed(2, alignment="", outline=over, area="pad"),
        placed(3, alignment="", outline=apart, area="shed"),
    ]
    found = neighbours(fill)
    assert found["pad", 2].below == [("core", 1)]
    assert found["shed", 3].below == []
    inside = made(1, 2, alignment="", station_m=None, easting_m=110.0, northing_m=10.0)
    assert next(one for one in cover(fill, [inside]) if one.area == "pad").made == 1


def test_the_sweep_finds_what_comparing_all_pairs_finds() -> None:
    dice = random.Random(20)
    fill = []
    for number in range(120):
        start, left = dice.uniform(0, 900), dice.uniform(-30, 20)
        fill.append(
            placed(
                dice.randint(1, 12),
                area=dice.choice("abc"),
                number=number,
                station_from_m=start,
                station_to_m=start + dice.uniform(5, 120),
                offset_from_m=left,
                offset_to_m=left + dice.uniform(1, 12),
            )
        )
    pairs = set()
    for lower in fill:
        for upper in fill:
            along = min(lower.station_to_m, upper.station_to_m) - max(lower.station_from_m, upper.station_from_m)
            across = min(lower.offset_to_m, upper.offset_to_m) - max(lower.offset_from_m, upper.offset_from_m)
            if lower.lift < upper.lift and along > 0.01 and across > 0.01:
                pairs.add(((lower.area, lower.lift), (upper.area, upper.lift)))
    found = {(below, group) for group, near in neighbours(fill).items() for below in near.below}
    assert found == pairs


def test_a_test_belongs_to_the_fill_that_contains_it_else_to_its_zone() -> None:
    fill = [placed(1, area="south"), placed(1, area="north", station_from_m=100.0, station_to_m=200.0)]
    tests = [made(1, station_m=150.0), made(2, station_m=20.0), made(3, station_m=500.0), made(4, lift=None)]
    found = {shown.area: shown.made for shown in cover(fill, tests)}
    assert found == {"north": 1, "south": 1, "core": 1}


# ---- for any tests -------------------------------------------------------------------------------
RESULTS = st.sampled_from(["pass", "fail", "pending", "no_criterion"])
STATES = st.sampled_from(["open", "reworked", "passed_on_retest", "closed"])


@st.composite
def some_tests(draw: st.DrawFn) -> list[Tested]:
    found = []
    for number in range(draw(st.integers(0, 12))):
        result = draw(RESULTS)
        found.append(
            made(
                number,
                draw(st.integers(1, 3)),
                result=result,
                day=draw(st.integers(0, 4)),
                failure_state=draw(STATES) if result == "fail" else "",
                held=draw(st.booleans()),
                original=draw(st.booleans()),
                voided=draw(st.integers(0, 5)) == 0,
                method=draw(st.sampled_from(["nuclear_gauge", "sand_cone"])),
                station_m=draw(st.sampled_from([20.0, 50.0, 80.0])),
            )
        )
    return found


THREE_LIFTS = [placed(lift, day=lift, volume_m3=Decimal(700) * lift) for lift in (1, 2, 3)]
RULES = (
    rule(Counter("volume", Decimal(400), "area"), name="running", reduced=Reduced(2, 2)),
    rule(Counter("area", Decimal(900), minimum=2), Counter("volume", Decimal(600)), name="whichever"),
    rule(Counter("lift", Decimal(1)), name="cone", methods=("sand_cone",)),
)


@settings(max_examples=60, deadline=None)
@given(some_tests(), st.integers(1, 3), st.sampled_from(["nuclear_gauge", "sand_cone"]))
def test_another_passing_test_never_leaves_more_missing(tests: list[Tested], lift: int, method: str) -> None:
    before = cover(THREE_LIFTS, tests, *RULES)
    after = cover(THREE_LIFTS, [*tests, made(99, lift, day=2, method=method)], *RULES)
    assert all(new.short <= old.short for new, old in zip(after, before, strict=True))


@settings(max_examples=40, deadline=None)
@given(some_tests(), st.randoms(use_true_random=False))
def test_the_order_of_arrival_makes_no_difference(tests: list[Tested], dice: random.Random) -> None:
    shuffled, fill = list(tests), list(THREE_LIFTS)
    dice.shuffle(shuffled)
    dice.shuffle(fill)
    assert cover(fill, shuffled, *RULES) == cover(THREE_LIFTS, tests, *RULES)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 4), st.integers(0, 5), st.integers(1, 3000)), min_size=1, max_size=12))
def test_lifts_of_a_running_total_add_up_to_it(rows: list[tuple[int, int, int]]) -> None:
    fill = [
        placed(lift, day=day, number=number, volume_m3=Decimal(volume))
        for number, (lift, day, volume) in enumerate(rows)
    ]
    asked = rule(Counter("volume", Decimal(700), "area"))
    total = sum(volume for _, _, volume in rows)
    assert sum(shown.required or 0 for shown in cover(fill, [], asked)) == -(-total // 700)


@settings(max_examples=30, deadline=None)
@given(some_tests())
def test_cover_comes_back_from_storage(tests: list[Tested]) -> None:
    whole = cover(THREE_LIFTS, tests, *RULES)
    assert [stored.from_plain(stored.to_plain(shown)) for shown in whole] == whole
