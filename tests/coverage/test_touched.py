"""What a test or a placement touches, worked out alone, is what working out everything gives."""

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from compaction.coverage import lifts
from compaction.coverage.facts import Counter, FrequencyRule, Placed, Reduced, Tested
from compaction.coverage.frequency import Group
from compaction.coverage.lifts import Book
from compaction.coverage.touched import Touched, laid_out, touched
from tests.coverage.fill import made, placed, rule

RULES = (
    rule(Counter("volume", Decimal(700), "area"), Counter("area", Decimal(900), minimum=1)),
    rule(Counter("volume", Decimal(900), "material"), name="of the pit"),
    rule(Counter("lift", Decimal(1), "day"), name="daily", signed_release=True, zone="shell"),
    rule(Counter("lift", Decimal(1)), name="eased", zone="berm", reduced=Reduced(2, 2)),
)


def rules_of(zone: str, moment: object) -> tuple[FrequencyRule, ...]:
    return RULES


def some_fill(dice: Random, number: int) -> Placed:
    area = dice.choice(["core", "shell", "berm"])
    start = dice.choice([0.0, 40.0, 80.0])
    return placed(
        dice.randint(1, 6),
        area=area,
        day=dice.randint(0, 9),
        number=number,
        zone=area,
        station_from_m=start,
        station_to_m=start + dice.choice([30.0, 60.0]),
        volume_m3=dice.choice([None, Decimal(500), Decimal(1200)]),
        material=dice.choice(["P-1", "P-2"]),
    )


def some_test(dice: Random, number: int) -> Tested:
    return made(
        number,
        dice.randint(1, 7),
        result=dice.choice(["pass", "pass", "pass", "fail"]),
        day=dice.randint(0, 10),
        area=dice.choice(["core", "shell", "berm"]),
        station_m=dice.uniform(-10, 150),
    )


def followed(before: Book, after: Book, numbers: set[int], *, filled: bool) -> tuple[list[object], Touched]:
    """Cover of `before`, brought up to `after` as the sweep does it; only the tests that it would read are given."""
    kept = {(one.area, one.lift): one for one in lifts.covered(before)}
    layout = laid_out(after.placed, rules_of)
    areas = {one.area for one in after.tests if one.lift in numbers} | {area for area, lift in kept if lift in numbers}
    reach = touched(layout, numbers, areas=areas, kept=kept if filled else None)
    read = tuple(one for one in after.tests if one.lift in reach.lifts or one.area in reach.zones)
    part = replace(after, tests=read)
    groups = lifts.grouped(part)
    found = lifts.worked_out(part, groups, layout, only=reach.groups | {one for one in groups if one[1] in numbers})
    now: dict[Group, object] = {key: one for key, one in kept.items() if key[1] not in numbers}
    now |= {(one.area, one.lift): one for one in (*found, *reach.restacked)}
    return [now[key] for key in sorted(now)], reach


@pytest.mark.parametrize("seed", range(60))
def test_following_one_record_agrees_with_working_out_everything(seed: int) -> None:
    dice = Random(seed)
    fill = tuple(some_fill(dice, number) for number in range(dice.randint(1, 14)))
    tests = tuple(some_test(dice, number) for number in range(30))
    book = Book(fill, tests, rules_of)
    another = some_fill(dice, 900)
    more = replace(book, placed=(*fill, another))
    assert followed(book, more, {another.lift}, filled=True)[0] == lifts.covered(more)
    known = replace(fill[0], volume_m3=Decimal(4000), thickness_m=Decimal("0.2"))  # what was not known is stated
    more = replace(book, placed=(known, *fill[1:]))
    assert followed(book, more, {known.lift}, filled=True)[0] == lifts.covered(more)
    tested = some_test(dice, 900)
    assert tested.lift is not None
    more = replace(book, tests=(*tests, tested))
    assert followed(book, more, {tested.lift}, filled=False)[0] == lifts.covered(more)


def test_a_placement_on_top_reads_the_tests_of_two_lifts() -> None:
    fill = tuple(placed(lift, day=lift, volume_m3=Decimal(500)) for lift in range(1, 100))
    book = Book(fill, tuple(made(1, lift, day=lift) for lift in range(1, 100)), rules_of)
    more = replace(book, placed=(*fill, placed(100, day=100, volume_m3=Decimal(500))))
    now, reach = followed(book, more, {100}, filled=True)
    assert (reach.groups, reach.lifts) == ({("core", 100)}, {99, 100})
    assert now == lifts.covered(more)
    assert len(reach.restacked) == 99  # each names the new lift among those above; no figure moves
