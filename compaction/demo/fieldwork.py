"""The crews' day: placements, and the first tests of every lift."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from compaction.demo import drawn_places, field_notes, instruments, site, spots
from compaction.demo.events import FieldTest, identity, offset_text, station_text
from compaction.demo.instruments import Shown
from compaction.demo.material import Judged, Soil, judge, saturation_pct, soil
from compaction.demo.scene import Scene
from compaction.demo.stories import TOLD, Told
from compaction.demo.working_days import clock

PLACED, FIRST_TEST, LAST_TEST = clock(15, 40), clock(8, 10), clock(14, 30)
SAND_CONE_EVERY = 15
SAND_CONE_TECHNICIAN = "p.quillane"
PRINTED_EVERY = 4
MOST_SATURATED_PCT = 96  # wetter and denser than this is not drawn: it would hardly be true
UNTESTED_LIFT = ("C", 7)
UNTESTED_FROM_FT = 3100
WEATHER = ("Clear, light wind", "Overcast, 61 F", "Warm, dry wind", "Showers before dawn, then clear", "Hazy, 78 F")


@dataclass(frozen=True)
class Habit:
    """How a zone's first tests come out: percent compaction and points from optimum, mean and standard deviation."""

    percent: float
    percent_sd: float
    deviation: float
    deviation_sd: float
    lift_sd: float = 0.8


#: Spread of about three points (common practice, no source).
HABITS = {"fill": Habit(98.3, 2.5, 0.1, 0.85), "abutment": Habit(99.8, 2.1, 0.7, 0.75)}
RETESTED = Habit(98.4, 1.3, 0.1, 0.5)


def place_lift(scene: Scene, section: site.Section, lift: int) -> None:
    """The afternoon before its tests a lift is placed over the whole reach; one lift in two strips."""
    day = site.test_day(section.code, lift) - 1
    half = site.half_width_ft(lift)
    ends = [section.from_ft, section.to_ft]
    if (section.code, lift) == UNTESTED_LIFT:
        ends.insert(1, UNTESTED_FROM_FT)
    for start, end in pairwise(ends):
        placed_at = scene.moment(day, PLACED + (start - section.from_ft) // 40)
        body = {
            "area": section.name,
            "lift": lift,
            "placed_at": placed_at.isoformat(),
            "alignment": "dike",
            "station_from": station_text(start),
            "station_to": station_text(end),
            "offset_from": offset_text(-half),
            "offset_to": offset_text(half),
            "elevation_top": f"{site.top_ft(lift, (start + end) / 2):.2f} ft",
            "thickness": "8 in",
            "quantity": f"{(end - start) * 2 * half * site.LIFT_FT / 27:.0f} yd3",
            "material": site.soil_code(section.code, lift),
            "source": "Abutment stockpile" if section.zone == "abutment" else "Borrow area",
            "equipment": "Hand-guided rammer" if section.zone == "abutment" else "Sheepsfoot roller, 8 passes",
        }
        scene.send(placed_at + timedelta(minutes=22), site.CONTRACTOR, "placement", (section.code, lift, start), body)


def first_tests(scene: Scene, section: site.Section, lift: int) -> list[tuple[FieldTest, Told | None]]:
    """The lift's own tests in the order of the day, with what is told of some of them."""
    day = site.test_day(section.code, lift)
    dice = scene.dice("first tests", section.code, lift)
    to_ft = UNTESTED_FROM_FT if (section.code, lift) == UNTESTED_LIFT else section.to_ft
    spread = spots.spread(dice, section=section, lift=lift, count=section.tests, to_ft=to_ft)
    where = drawn_places.places(section, lift, spread)
    whole_lift = dice.gauss(0, HABITS[section.zone].lift_sd)
    step = (LAST_TEST - FIRST_TEST) // section.tests
    made = []
    for number, (station_ft, offset_ft) in enumerate(where):
        told = TOLD.get((section.code, lift, number))
        # Every fifteenth test of the job is a sand cone; tests with a story keep their instrument.
        count = 30 * lift + 8 * "ABCD".index(section.code) + number
        cone = told is None and count % SAND_CONE_EVERY == 0
        technician = SAND_CONE_TECHNICIAN if cone else section.technician
        performed = scene.free(technician, scene.moment(day, FIRST_TEST + number * step + dice.randrange(0, 12)))
        test = _first_test(
            scene,
            dice,
            section=section,
            lift=lift,
            number=number,
            told=told,
            cone=cone,
            whole_lift=whole_lift,
            performed=performed,
            technician=technician,
            spot=(station_ft, offset_ft),
        )
        scene.tests.append(test)
        made.append((test, told))
    return made


def _first_test(
    scene: Scene,
    dice: random.Random,
    *,
    section: site.Section,
    lift: int,
    number: int,
    told: Told | None,
    cone: bool,
    whole_lift: float,
    performed: datetime,
    technician: str,
    spot: tuple[int, int],
) -> FieldTest:
    code = site.soil_code(section.code, lift)
    oversize = None
    if code == "P-103":
        oversize = told.oversize_pct if told and told.oversize_pct is not None else dice.randint(6, 18)
    soils = scene.soils(code, performed)
    day = scene.day_of(performed)
    habit = HABITS[section.zone]
    while True:
        if told is not None:
            percent, deviation = told.percent, told.deviation
        else:
            deviation = dice.gauss(habit.deviation, habit.deviation_sd)
            percent = dice.gauss(habit.percent, habit.percent_sd) + whole_lift
        dry, water = target(soils[0], percent=percent, deviation=deviation, oversize_pct=oversize)
        if told is None and not believable(dry, water, soils[0]):
            continue
        if cone:
            shown = instruments.sand_cone(dice, dry_pcf=dry, water_pct=water, coarse=code == "P-103")
            shown = field_notes.by_weighings(shown, lift=lift)
        else:
            shown = instruments.gauge(serial=section.gauge, day=day, dry_pcf=dry, water_pct=water)
        oven = None
        if section.zone == "abutment":
            shift = told.oven_shift_pct if told else 0.0
            oven = instruments.with_oven(shown, instruments.number(water + shift + dice.gauss(0, 0.15)))
        verdicts = judged(shown, oven, soils=soils, oversize_pct=oversize, zone=section.zone)
        if told is not None or len({verdict.fails for verdict in verdicts}) == 1:
            break
    fails = verdicts[0].fails
    station_ft, offset_ft = spot
    received = performed + timedelta(minutes=dice.randint(4, 13))
    test = FieldTest(
        id=identity(scene.seed, "test", section.code, lift, number),
        section=section,
        lift=lift,
        performed_at=performed,
        received_at=received,
        technician=technician,
        station_ft=station_ft,
        offset_ft=offset_ft,
        reference=code,
        shown=shown,
        fails=fails,
        oversize_pct=oversize,
        oven=oven,
        place=spots.place(dice, lift=lift, station_ft=station_ft, offset_ft=offset_ft, number=number + lift),
        more={"weather": WEATHER[day % len(WEATHER)]} if number == 0 else {},
    )
    if cone:
        test.more |= field_notes.seen_at_the_spot(lift=lift)
    if told is not None and told.remarks:
        test.more["remarks"] = told.remarks
    if not cone and oven is None and number % PRINTED_EVERY == 1:
        test.more["printed"] = {"dry_density": f"{instruments.number(float(shown.dry_pcf))} pcf"}
    if fails and not (told and told.posted_reference):
        tell_the_foreman(test)
    return test


def target(of: Soil, *, percent: float, deviation: float, oversize_pct: int | None) -> tuple[float, float]:
    """Dry density (pcf) and water content (percent) that make a percent compaction and a distance from optimum."""
    coarse = Decimal(oversize_pct or 0)
    return float(of.maximum_of(coarse)) * percent / 100, float(of.optimum_of(coarse)) + deviation


def newest_soil(code: str) -> Soil:
    """The last revision of a reference in the demo."""
    return soil(code, max(rev for known, rev in site.references(date.min) if known == code))


def believable(dry_pcf: float, water_pct: float, of: Soil) -> bool:
    """Whether a soil can be that dense and that wet."""
    dry, water = instruments.number(dry_pcf, 2), instruments.number(water_pct, 2)
    return water > 0 and saturation_pct(dry_pcf=dry, water_pct=water, of=of) < MOST_SATURATED_PCT


def judged(
    shown: Shown, oven: Shown | None, *, soils: Sequence[Soil], oversize_pct: int | None, zone: str
) -> list[Judged]:
    """Every verdict that a reading will live through: on arrival first, then by oven and later revisions."""
    return [
        judge(
            dry_pcf=reading.dry_pcf,
            water_pct=reading.water_pct,
            of=of,
            oversize_pct=Decimal(oversize_pct or 0),
            zone=zone,
        )
        for reading in (shown, oven)
        if reading is not None
        for of in soils
    ]


def tell_the_foreman(test: FieldTest) -> None:
    """A failing test is told at once, and that goes on record with it."""
    told_at = test.performed_at + timedelta(minutes=3)
    test.more["notified"] = {"person": site.FOREMAN, "at": told_at.isoformat(), "how": "spoken"}
