"""Findings for the supervisor: rare on honest days as promised, present where something is planted, each explained."""

import math
import random
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from compaction.evaluation.supervision import curves, pace, repeats
from compaction.evaluation.supervision.day import findings, without_count
from compaction.evaluation.supervision.facts import KINDS, USUAL, DayTest, together
from compaction.evaluation.supervision.figures import common_step, figures_of, quantity
from compaction.facts import Looks
from tests.supervision.honest import MORNING, crew_day, sheet, test_of

DAYS = 2500
HONEST_DAYS_PER_ALARM = USUAL.crew_days_per_finding
#: 3 standard deviations of a Poisson count above the promised rate
MOST_ALARMS = DAYS / HONEST_DAYS_PER_ALARM + 3 * math.sqrt(DAYS / HONEST_DAYS_PER_ALARM)


def copied(day: list[DayTest], *numbers: int) -> list[DayTest]:
    """The day with the figures of its first test written on others as well."""
    return [replace(one, figures=day[0].figures) if place in numbers else one for place, one in enumerate(day)]


def gauge_day(rng: random.Random, kind: str, tests: int = 8) -> list[DayTest]:
    return [
        test_of(
            sheet(kind, rng, density_spread=2.5, water_spread=1.2),
            number=number,
            kind=kind,
            at=MORNING + timedelta(minutes=12 * number + number % 3),
        )
        for number in range(tests)
    ]


def test_honest_crew_days_raise_each_kind_at_most_once_in_200() -> None:
    rng = random.Random(20261125)
    alarms: Counter[str] = Counter()
    for _ in range(DAYS):
        day = crew_day(rng)
        others = {"P-1": [rng.gauss(97.0, 2.5) for _ in range(25)]}
        found = findings(day, counted={"G-1187"}, others=others, limit_pct=1000.0)
        alarms.update({one.kind for one in found})
    assert all(count <= MOST_ALARMS for count in alarms.values()), alarms
    assert alarms["gauge-twice"] == alarms["no-count"] == 0
    assert alarms["curve"] > 0  # the t against the others is exact: its alarms do come


def test_the_share_above_the_limit_is_what_the_sentence_says() -> None:
    """105 % is a question about the curve; its rate on honest tests is told instead of promised."""
    rng = random.Random(5)
    others = {"P-1": [rng.gauss(97.0, 2.5) for _ in range(2000)]}
    [test] = [replace(crew_day(rng)[0], percent_compaction=106.2)]
    scatter = curves.scatter_of(others["P-1"])
    assert scatter is not None
    # three standard errors of 2,000 readings: of the mean s / sqrt(n), of the spread s / sqrt(2 n)
    assert scatter.mean == pytest.approx(97.0, abs=0.17)
    assert scatter.spread == pytest.approx(2.5, abs=0.12)
    said = curves.share_above(scatter, 105.0)
    above = sum(rng.gauss(scatter.mean, scatter.spread) > 105.0 for _ in range(400_000)) / 400_000
    assert said == pytest.approx(above, rel=0.22)  # some 184 are above: three standard errors
    [found] = [one for one in curves.far_from_curve([test], others=others) if one.code == "above-curve-limit"]
    assert f"one in {1 / said:,.0f}" in found.sentence
    assert "at most 106.2 %" in found.sentence


# ---- repetitions -------------------------------------------------------------------------------
def test_the_chance_of_a_pair_is_that_of_the_simulation() -> None:
    """h / (2 s sqrt(pi)): 0.1 pcf at a spread of 2 pcf is 1.41 %."""
    rng = random.Random(11)
    runs = 60_000
    equal = sum(f"{rng.gauss(120, 2):.1f}" == f"{rng.gauss(120, 2):.1f}" for _ in range(runs)) / runs
    figure = replace(figures_of({"readings": {"wet_density": "120.3 pcf"}})[0], spread=2.0 * 16.018463)
    stated = repeats.pair_chance([figure, replace(figure, value=figure.value * 1.0131)])
    assert stated == pytest.approx(0.1 / (2 * 2 * math.sqrt(math.pi)), rel=1e-4)
    assert stated == pytest.approx(equal, rel=0.12)


@pytest.mark.parametrize(
    ("kind", "copies"), [("gauge", (2, 3, 6)), ("gauge with counts", (3, 6)), ("sand cone", (3, 6))]
)
def test_a_copied_sheet_is_found_on_most_days(kind: str, copies: tuple[int, ...]) -> None:
    """Of eight tests: two copies, where masses or counts are written; three, where only the display is."""
    rng = random.Random(3)
    hits = sum(
        any(one.kind == "repeated" for one in repeats.repeated(copied(gauge_day(rng, kind), *copies)))
        for _ in range(200)
    )
    assert hits >= 190


def test_a_repetition_says_what_where_and_how_likely() -> None:
    day = copied(gauge_day(random.Random(4), "gauge with counts"), 2, 5)
    [found] = [one for one in repeats.repeated(day) if one.code == "sheet-repeated"]
    assert found.tests == ("uuid-0", "uuid-2", "uuid-5")
    assert found.sentence.startswith("t.moss: the same density count and moisture count stand together (")
    assert "in tests 100, 102 and 105" in found.sentence
    assert " crew-days" in found.sentence
    assert float(found.numbers["chance"]) < 1 / HONEST_DAYS_PER_ALARM


def test_one_equal_density_among_eight_is_nothing() -> None:
    day = gauge_day(random.Random(8), "gauge")
    same = [replace(day[1], figures=(day[0].figures[0], day[1].figures[1])) if n == 1 else t for n, t in enumerate(day)]
    assert [one for one in repeats.repeated(same) if one.code == "sheet-repeated"] == []
    assert repeats.repeated(same) == []


def test_another_technician_or_material_is_not_compared() -> None:
    day = copied(gauge_day(random.Random(4), "gauge with counts", tests=3), 1, 2)
    assert repeats.repeated(day)
    assert repeats.repeated([replace(one, crew=f"crew {n}") for n, one in enumerate(day)]) == []
    assert repeats.repeated([replace(one, reference=f"P-{n}") for n, one in enumerate(day)]) == []


def test_one_can_under_two_numbers() -> None:
    def cans(*pairs: tuple[str, str]) -> list[DayTest]:
        return [
            test_of(
                {"water_contents": [{"cans": [{"can": number, "can_mass": mass}]}]},
                number=place,
                kind="sand cone",
                at=MORNING + timedelta(hours=place),
            )
            for place, (number, mass) in enumerate(pairs)
        ]

    [found] = repeats.repeated(cans(("A1", "31.274 g"), ("A2", "31.274 g"), ("A3", "30.116 g")))
    assert (found.code, found.tests) == ("can-with-another-number", ("uuid-0", "uuid-1"))
    assert "empty cans A1, A2 have the same mass under different numbers" in found.sentence
    assert repeats.repeated(cans(("A1", "31.274 g"), ("A1", "31.274 g"), ("A3", "30.116 g"))) == []
    assert repeats.repeated(cans(("A1", "31 g"), ("A2", "31 g"), ("A3", "30 g"))) == []  # to the gram it says nothing


def test_the_display_is_not_counted_beside_its_counts() -> None:
    content = {
        "readings": {"wet_density": "121.9 pcf", "water": "18 pcf", "density_count": 1500, "moisture_count": 140}
    }
    assert [one.name for one in figures_of(content)] == ["density_count", "moisture_count"]


def test_a_balance_that_reads_to_five_grams() -> None:
    figures = [figures_of({"readings": {"soil_wet_mass": f"{mass} g"}})[0] for mass in (3295, 3290, 3405)]
    assert common_step(figures) == pytest.approx(0.005)
    assert quantity("no number g") is None
    assert quantity(True) is None


# ---- pace and gauges ---------------------------------------------------------------------------
def spaced(minutes: float, *, tests: int = 6, kind: str = "gauge", apart_m: float = 20.0) -> list[DayTest]:
    content: dict[str, Any] = {"readings": {}}
    return [
        test_of(
            content,
            number=n,
            kind=kind,
            at=MORNING + timedelta(minutes=minutes * n, seconds=7),
            place_m=(apart_m * n, 0.0),
        )
        for n in range(tests)
    ]


def test_sand_cones_every_eight_minutes() -> None:
    [found] = pace.too_fast(spaced(8, kind="sand cone"))
    assert (found.code, len(found.tests)) == ("faster-than-method", 6)
    assert "are 40 minutes apart from first to last; the method and the way between need at least 75" in found.sentence
    assert pace.too_fast(spaced(16, kind="sand cone")) == []


def test_the_way_between_stations_counts() -> None:
    """2,700 m at 15 m/s are 3 minutes, beside 3 minutes of a gauge test."""
    assert pace.too_fast(spaced(5, tests=2)) == []
    [found] = pace.too_fast(spaced(5, tests=2, apart_m=2700))
    assert float(found.numbers["needed_min"]) == pytest.approx(6.0)
    assert pace.too_fast(spaced(6.1, tests=2, apart_m=2700)) == []


def test_times_written_to_five_minutes_get_that_much() -> None:
    def at(*minutes: int) -> list[DayTest]:
        return [
            replace(one, performed_at=MORNING + timedelta(minutes=m))
            for one, m in zip(spaced(9), minutes, strict=False)
        ]

    assert pace.time_step(at(0, 5, 10)) == 5
    assert pace.too_fast(at(0, 5, 5, 10)) == []


def test_a_check_beside_another_test_takes_no_time_of_its_own() -> None:
    first, second = spaced(1, tests=2)
    assert pace.too_fast([first, second])
    assert pace.too_fast([first, replace(second, check_of=first.uuid)]) == []


def test_rushed_days_are_found() -> None:
    rng = random.Random(21)
    hits = sum(bool(pace.too_fast(spaced(1.5 + rng.random(), tests=8))) for _ in range(100))
    assert hits == 100


def test_one_gauge_in_two_places() -> None:
    here = spaced(10, tests=2)
    there = replace(
        here[1], uuid="other", label="300", crew="t.reed", place_m=(900.0, 0.0), performed_at=here[0].performed_at
    )
    [found] = pace.gauge_twice([here[0], there])
    assert set(found.tests) == {"uuid-0", "other"}
    assert "900 m apart, within 0 minutes; a test and the way take at least 4.0" in found.sentence
    later = replace(there, performed_at=here[0].performed_at + timedelta(minutes=5))
    assert pace.gauge_twice([here[0], later]) == []
    assert pace.gauge_twice([here[0], replace(there, gauge="G-2")]) == []
    assert pace.gauge_twice([here[0], replace(there, place_m=(12.0, 0.0))]) == []


def test_a_gauge_without_its_count() -> None:
    day = spaced(10, tests=3)
    [found] = without_count(day, counted={"G-9"})
    assert found.tests == ("uuid-0", "uuid-1", "uuid-2")
    assert "no standard count of that day is on record. Ask for the count" in found.sentence
    assert (
        "enter them as records" in without_count([replace(t, states_count=True) for t in day], counted=())[0].sentence
    )
    assert without_count(day, counted={"G-1187"}) == []


# ---- curves and switches -----------------------------------------------------------------------
def test_a_test_unlike_the_others_on_its_curve() -> None:
    rng = random.Random(1)
    others = {"P-1": [rng.gauss(96.5, 1.5) for _ in range(30)]}
    day = [replace(one, percent_compaction=value) for one, value in zip(spaced(9), (96, 97, 104.5), strict=False)]
    [found] = curves.far_from_curve(day, others=others)
    assert (found.code, found.tests) == ("unlike-others-on-curve", ("uuid-2",))
    assert "the 30 tests before on P-1 average 96." in found.sentence
    assert curves.far_from_curve(day, others={"P-1": others["P-1"][:9]}) == []


def test_the_remark_of_the_test_itself_is_passed_on() -> None:
    [found] = curves.far_from_curve([replace(spaced(9)[0], remarks=(curves.FAR,))], others={})
    assert (found.code, found.kind) == ("point-far-from-curve", "curve")


def test_every_kind_can_be_switched_off() -> None:
    day = copied(gauge_day(random.Random(4), "gauge with counts"), 2, 5)
    day = [
        replace(one, percent_compaction=106.0, performed_at=MORNING + timedelta(seconds=n)) for n, one in enumerate(day)
    ]
    day[3] = replace(day[3], crew="t.reed", place_m=(5000.0, 0.0))
    day[4] = replace(day[4], place_m=(0.0, 0.0))
    raised = {one.kind for one in findings(day)}
    assert raised == set(KINDS) - {"fixes"}
    for kind in raised:
        assert {one.kind for one in findings(day, switched_on=set(KINDS) - {kind})} == raised - {kind}


def test_from_when_something_is_pointed_out_is_the_specification_s_to_say() -> None:
    rng = random.Random(7)
    row = [
        test_of(
            sheet("sand cone", rng, density_spread=2.5, water_spread=1.2),
            number=one,
            kind="sand cone",
            at=MORNING + timedelta(minutes=20 * one),
        )
        for one in range(4)
    ]
    assert pace.too_fast(row) == []
    slower = Looks(least_minutes=(("sand_cone", Decimal(40)),))
    timed = [replace(one, least_minutes=pace.least_minutes(one.method, looks=slower)) for one in row]
    [found] = pace.too_fast(timed, looks=slower)
    assert found.numbers["needed_min"] == "120.0"
    both = together([slower, Looks(crew_days_per_finding=50, one_spot_m=Decimal(10))])
    assert (both.least_minutes, both.crew_days_per_finding, both.one_spot_m) == (slower.least_minutes, 50, Decimal(10))
    assert together([]) == Looks()
    day = copied(gauge_day(random.Random(4), "gauge with counts"), 2, 5)
    assert repeats.repeated(day)
    assert repeats.repeated(day, crew_days=10**9) == []
