"""Patterns of a day's satellite fixes: planted ones are found by name, simulated honest days stay quiet."""

import math
import random
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from statistics import median

import pytest

from projects.geometry.gps_patterns import (
    HONEST_DAYS_PER_ALARM,
    LASTING_SHARE,
    SAME_PLACE_M,
    DayFix,
    FixLimits,
    chance_of_repetition,
    patterns,
)

MORNING = datetime(2026, 6, 3, 13, 0, tzinfo=UTC)
#: 2,960,000 ft, where a wrong foot makes 5.92 ft
EASTING, NORTHING = 2_960_000 * 0.3048, 0.0


def day(rng: random.Random, *, tests: int = 12, sigma_m: float = 3.0, frame_m: float = 0.0) -> list[DayFix]:
    """An honest day along a fill: stated to a foot, fixes with a lasting and an own error, taken at the spot."""
    lasting = max(frame_m, LASTING_SHARE * sigma_m)
    bias = rng.gauss(0, lasting), rng.gauss(0, lasting)
    found = []
    for number in range(tests):
        at = MORNING + timedelta(minutes=25 * number)
        east, north = EASTING + rng.uniform(0, 300), NORTHING + rng.uniform(0, 30)
        found.append(
            DayFix(
                test=f"uuid-{number}",
                label=str(100 + number),
                performed_at=at,
                fixed_at=at - timedelta(seconds=rng.uniform(0, 110)),
                easting_m=east + bias[0] + rng.gauss(0, sigma_m),
                northing_m=north + bias[1] + rng.gauss(0, sigma_m),
                sigma_m=sigma_m,
                stated_easting_m=east,
                stated_northing_m=north,
            )
        )
    return found


@pytest.mark.parametrize(("sigma_m", "frame_m", "tests"), [(3.0, 0.0, 12), (2.0, 1.0, 25), (0.03, 1.0, 20)])
def test_honest_days_raise_each_pattern_at_most_once_in_200(sigma_m: float, frame_m: float, tests: int) -> None:
    rng = random.Random(20260603)
    days = 1500
    alarms = Counter(
        pattern.code
        for _ in range(days)
        for pattern in patterns(day(rng, tests=tests, sigma_m=sigma_m, frame_m=frame_m), frame_m=frame_m)
    )
    expected = days / HONEST_DAYS_PER_ALARM
    for code, count in alarms.items():
        # 3 standard deviations of a Poisson count above what is promised
        assert count <= expected + 3 * math.sqrt(expected), (code, count)
    assert not {"fix-old", "fixes-at-one-far-place"} & set(alarms)


def test_the_stated_chance_of_a_repetition_is_not_below_the_simulated_one() -> None:
    rng = random.Random(7)
    one, other = day(rng, tests=2)
    other = replace(other, stated_easting_m=one.stated_easting_m + 5.0, stated_northing_m=one.stated_northing_m)
    runs, near = 40_000, 0
    for _ in range(runs):
        apart = 5.0 + rng.gauss(0, math.sqrt(18)), rng.gauss(0, math.sqrt(18))
        near += math.hypot(*apart) <= SAME_PLACE_M
    stated = chance_of_repetition(one, other)
    assert near / runs <= stated <= 2 * near / runs


def test_a_kept_fix_is_found_and_says_how_rare() -> None:
    fixes = day(random.Random(1))
    stale = [replace(fix, easting_m=fixes[2].easting_m, northing_m=fixes[2].northing_m) for fix in fixes[3:7]]
    [found] = patterns([*fixes[:3], *stale, *fixes[7:]])
    assert found.code == "fix-repeated"
    assert set(found.tests) == {f"uuid-{number}" for number in range(2, 7)}
    assert "less than once in a million days" in found.sentence
    assert found.sentence.startswith("Tests 102, 103, 104, 105, 106: ")


def test_a_retest_at_the_same_spot_is_no_kept_fix() -> None:
    first = day(random.Random(1))[0]
    same = [replace(first, test=f"again-{number}") for number in range(4)]
    assert patterns([first, *same]) == []


def test_a_fix_older_than_two_minutes() -> None:
    fixes = day(random.Random(2), tests=4)
    late = replace(fixes[1], fixed_at=fixes[1].performed_at - timedelta(seconds=121))
    limit = replace(fixes[2], fixed_at=fixes[2].performed_at - timedelta(seconds=120))
    unknown = replace(fixes[3], fixed_at=None)
    [found] = patterns([fixes[0], late, limit, unknown])
    assert (found.code, found.tests) == ("fix-old", ("uuid-1",))
    assert found.numbers["oldest_s"] == 121
    assert patterns([fixes[0], late, limit, unknown], limits=FixLimits(oldest_s=300)) == []


def test_entered_at_an_office() -> None:
    rng = random.Random(3)
    fixes = day(rng)
    office = [
        replace(fix, easting_m=EASTING - 4000 + rng.gauss(0, 4), northing_m=NORTHING + 900 + rng.gauss(0, 4))
        for fix in fixes[:5]
    ]
    [found] = patterns([*office, *fixes[5:]])
    assert found.code == "fixes-at-one-far-place"
    assert len(found.tests) == 5
    assert 4000 < found.numbers["nearest_m"] < 4400
    beyond = FixLimits(far_m=5000)
    assert "fixes-at-one-far-place" not in {one.code for one in patterns([*office, *fixes[5:]], limits=beyond)}


def test_a_shift_of_the_whole_day_with_its_direction() -> None:
    fixes = [
        replace(fix, easting_m=fix.easting_m + 12.0, northing_m=fix.northing_m - 9.0) for fix in day(random.Random(4))
    ]
    [found] = patterns(fixes)
    assert found.code == "fixes-share-shift"
    shifts = [(fix.easting_m - fix.stated_easting_m, fix.northing_m - fix.stated_northing_m) for fix in fixes]
    assert found.numbers["east_m"] == pytest.approx(median(east for east, _ in shifts))
    assert found.numbers["north_m"] == pytest.approx(median(north for _, north in shifts))
    assert " m east and " in found.sentence
    assert " m south " in found.sentence


def test_a_survey_foot_taken_for_an_international_one() -> None:
    """5.9 ft at 2.96 million ft; precise fixes show it, those of a phone cannot."""
    slip_m = 2_960_000 * (1200 / 3937 - 0.3048)
    assert slip_m / 0.3048 == pytest.approx(5.92, abs=0.005)

    def slipped(sigma_m: float) -> list[str]:
        rng = random.Random(5)
        fixes = [replace(fix, sigma_m=sigma_m) for fix in day(rng, sigma_m=sigma_m / 100)]
        return [p.code for p in patterns([replace(f, easting_m=f.easting_m + slip_m) for f in fixes], frame_m=1.0)]

    assert slipped(0.03) == ["fixes-share-foot-slip"]
    assert slipped(4.0) == []


def test_planted_patterns_are_found_on_nearly_every_day() -> None:
    rng = random.Random(6)
    found: Counter[str] = Counter()
    for _ in range(200):
        fixes = day(rng)
        kept = [replace(fix, easting_m=fixes[0].easting_m, northing_m=fixes[0].northing_m) for fix in fixes[1:4]]
        found.update({"kept": any(p.code == "fix-repeated" for p in patterns([fixes[0], *kept, *fixes[4:]]))})
        moved = [replace(fix, northing_m=fix.northing_m + 10.0) for fix in fixes]
        found.update({"moved": any(p.code == "fixes-share-shift" for p in patterns(moved))})
    assert found["kept"] >= 190
    assert found["moved"] >= 190
