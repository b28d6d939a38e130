"""From a failing test to a passing retest: told, reworked, tested again, as often as it takes."""

import random
from datetime import datetime, timedelta
from typing import Any

from compaction.demo import instruments, site, spots
from compaction.demo.events import FieldTest, identity
from compaction.demo.fieldwork import RETESTED, believable, judged, target, tell_the_foreman
from compaction.demo.scene import Scene
from compaction.demo.stories import Told
from compaction.demo.working_days import at, clock

REWORKED_UNTIL, RETESTED_UNTIL = clock(16, 10), clock(17, 0)
FIRST_REWORK, FIRST_RETEST = clock(7, 5), clock(7, 35)
AGAIN_FAILING = 0.16  # share of retests that fail
FAILING_PERCENT = (-1.1, 0.6)  # a failing retest against the limit: mean and standard deviation, points
EQUIPMENT = {"rerolled": "Sheepsfoot roller", "dried": "Disc harrow", "wetted": "Water truck, disc harrow"}


def mend(scene: Scene, root: FieldTest, told: Told | None, *, told_at: datetime, fails: frozenset[str]) -> None:
    """Add the reworks and retests of a failing test; they end the next morning at the latest."""
    dice = scene.dice("mending", root.id)
    planned = list(told.retests) if told is not None and told.retests else []
    failing, kind, moment = root, min(fails), told_at
    for attempt in range(1, 6):
        wet = failing is root and "moisture" in fails and _is_wet(scene, root)
        method = (told.rework if told else "") or _method(fails if failing is root else frozenset({"density"}), wet)
        worked_at = _from(scene, moment + timedelta(minutes=dice.randint(45, 95)), REWORKED_UNTIL, FIRST_REWORK)
        _report(scene, dice, root, kind=kind, method=method, worked_at=worked_at, attempt=attempt)
        wanted = _from(scene, worked_at + timedelta(minutes=dice.randint(15, 45)), RETESTED_UNTIL, FIRST_RETEST)
        performed = scene.free(root.technician, wanted)
        percent = planned.pop(0) if planned else None
        if percent is not None:
            again = percent < _least(root)
        else:
            again = attempt <= 2 and not (told and told.retests) and dice.random() < AGAIN_FAILING
        failing = _retest(
            scene, dice, root, failing, attempt=attempt, performed=performed, percent=percent, again=again
        )
        if not failing.fails:
            return
        kind, moment = min(failing.fails), failing.performed_at


def _is_wet(scene: Scene, root: FieldTest) -> bool:
    of = scene.soils(root.reference, root.performed_at)[0]
    return float(root.shown.water_pct) > target(of, percent=100, deviation=0, oversize_pct=root.oversize_pct)[1]


def _method(fails: frozenset[str], wet: bool) -> str:
    if "moisture" in fails:
        return "dried" if wet else "wetted"
    return "rerolled"


def _from(scene: Scene, wanted: datetime, until: int, next_day: int) -> datetime:
    """The wanted moment, or the next working morning where it is too late in the day."""
    minutes = clock(wanted.hour, wanted.minute)
    if minutes <= until:
        return wanted
    day = scene.day_of(wanted) + 1
    # Nothing after today is known; whoever cuts the scenario off drops it.
    return scene.moment(day, next_day) if day < len(scene.days) else at(wanted.date() + timedelta(days=1), next_day)


def _report(
    scene: Scene, dice: random.Random, root: FieldTest, *, kind: str, method: str, worked_at: datetime, attempt: int
) -> None:
    body: dict[str, Any] = {
        "performed_at": worked_at.isoformat(),
        "method": method,
        "equipment": EQUIPMENT.get(method, "Excavator"),
        "reported_by": site.FOREMAN,
    }
    if method == "rerolled":
        body["passes"] = dice.choice((4, 6, 6, 8))
    reported = max(worked_at + timedelta(minutes=dice.randint(3, 12)), root.received_at + timedelta(minutes=5))
    scene.send(
        reported,
        site.CONTRACTOR,
        "rework",
        (root.id, attempt),
        body,
        subject=str(root.id),
        failure_kind=kind,
    )


def _least(root: FieldTest) -> float:
    return float(site.LIMITS[root.section.zone][0])


def _percent(dice: random.Random, root: FieldTest, *, again: bool) -> float:
    if again:
        mean, deviation = FAILING_PERCENT
        return _least(root) + min(-0.2, dice.gauss(mean, deviation))
    above = _least(root) - float(site.LIMITS["fill"][0])
    return dice.gauss(RETESTED.percent + above, RETESTED.percent_sd)


def _retest(
    scene: Scene,
    dice: random.Random,
    root: FieldTest,
    failing: FieldTest,
    *,
    attempt: int,
    performed: datetime,
    percent: float | None,
    again: bool,
) -> FieldTest:
    """One retest that fails `again` or passes for good, with the percentage that is told or a drawn one."""
    soils = scene.soils(root.reference, performed)
    expected = frozenset({"density"}) if again else frozenset()
    while True:
        deviation = dice.gauss(RETESTED.deviation, RETESTED.deviation_sd)
        wanted = percent if percent is not None else _percent(dice, root, again=again)
        dry, water = target(soils[0], percent=wanted, deviation=deviation, oversize_pct=root.oversize_pct)
        if not believable(dry, water, soils[0]):
            continue
        shown = instruments.gauge(serial=root.section.gauge, day=scene.day_of(performed), dry_pcf=dry, water_pct=water)
        oven = None
        if root.section.zone == "abutment":
            oven = instruments.with_oven(shown, instruments.number(water + dice.gauss(0, 0.15)))
        verdicts = judged(shown, oven, soils=soils, oversize_pct=root.oversize_pct, zone=root.section.zone)
        if {verdict.fails for verdict in verdicts} == {expected}:
            break
    station_ft, offset_ft = spots.beside(dice, root.station_ft, root.offset_ft, lift=root.lift)
    test = FieldTest(
        id=identity(scene.seed, "test", root.id, "retest", attempt),
        section=root.section,
        lift=root.lift,
        performed_at=performed,
        received_at=performed + timedelta(minutes=dice.randint(4, 12)),
        technician=root.technician,
        station_ft=station_ft,
        offset_ft=offset_ft,
        reference=root.reference,
        shown=shown,
        fails=verdicts[0].fails,
        oversize_pct=root.oversize_pct,
        oven=oven,
        place=spots.place(dice, lift=root.lift, station_ft=station_ft, offset_ft=offset_ft, number=attempt),
        retest_of=failing,
    )
    if test.fails:
        tell_the_foreman(test)
    scene.tests.append(test)
    return test
