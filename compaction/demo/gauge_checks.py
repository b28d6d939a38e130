"""One gauge against the sand cone: a dozen pairs, a moisture that reads high, a correction adopted, one outlier.

The south crew's gauge reads the moisture of the river bench's sand 0.7 points high. Twelve of its tests are repeated by
sand cone with oven specimens; on one of them the hole is badly filled. On the morning after the last oven values the
supervisor proposes a correction and the engineer adopts it: it reaches back to the tests of that same morning.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any, Final

from compaction.demo import instruments, site
from compaction.demo.events import FieldTest, identity
from compaction.demo.fieldwork import SAND_CONE_TECHNICIAN, judged
from compaction.demo.instruments import Shown
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

GAUGE, REFERENCE, NOTCH_IN = "TG-0417", "P-102", 6
READS_HIGH_PCT: Final = Decimal("0.7")
#: which lifts are paired: (section, lift), three tests of each
PAIRED_ON: Final = (("B", 5), ("B", 6), ("A", 7), ("B", 7))
PAIRS_A_LIFT: Final = 3
#: what the gauge's moisture is above the oven's, points (invented; mean 0.7)
ABOVE_OVEN: Final = (0.6, 0.8, 0.7, 0.9, 0.5, 0.7, 0.6, 0.8, 0.7, 1.0, 0.4, 0.7)
#: what the sand cone's wet density is above the gauge's, pcf (invented); the eighth hole was not filled
ABOVE_GAUGE: Final = (0.4, -0.5, 0.1, 0.7, -0.3, 0.2, -0.6, 4.6, -0.1, 0.5, -0.4, 0.3)
PROPOSED, ADOPTED = clock(9, 40), clock(10, 30)


def effective_day() -> int:
    """The working day from which the correction counts: that after the last pair."""
    return max(site.test_day(section, lift) for section, lift in PAIRED_ON) + 1


def pairs(scene: Scene, firsts: Iterable[FieldTest]) -> None:
    """Sand cones beside gauge tests that pass on both instruments, each with an oven value the morning after."""
    waiting = list(firsts)
    number = 0
    for section, lift in PAIRED_ON:
        made = 0
        for test in waiting:
            if made == PAIRS_A_LIFT or (test.section.code, test.lift) != (section, lift):
                continue
            paired = _cone(scene, test, number) if _plain(test) else None
            if paired is not None:
                scene.tests.append(paired)
                made, number = made + 1, number + 1
    if number:
        _correct(scene)


def _plain(test: FieldTest) -> bool:
    readings = test.shown.members["readings"]
    return readings.get("serial") == GAUGE and test.reference == REFERENCE and not test.fails and not test.posted


def _cone(scene: Scene, test: FieldTest, number: int) -> FieldTest | None:
    dice = scene.dice("cone beside the gauge", test.id)
    oven_pct = test.shown.water_pct - instruments.number(ABOVE_OVEN[number])
    wet_pcf = float(test.shown.wet_pcf) + ABOVE_GAUGE[number]
    dry_pcf = wet_pcf / (1 + float(oven_pct) / 100)
    field = instruments.sand_cone(dice, dry_pcf=dry_pcf, water_pct=float(oven_pct), coarse=False)
    oven = instruments.with_oven(field, oven_pct)
    soils = scene.soils(test.reference, test.performed_at)
    verdicts = judged(field, oven, soils=soils, oversize_pct=None, zone=test.section.zone)
    if any(verdict.fails for verdict in verdicts):
        return None
    performed = scene.free(SAND_CONE_TECHNICIAN, test.performed_at + timedelta(minutes=22))
    remarks = "Sand stood a little below the rim of the hole." if ABOVE_GAUGE[number] > 4 else ""
    return replace(
        test,
        id=identity(scene.seed, "test", test.id, "cone"),
        performed_at=performed,
        received_at=performed + timedelta(minutes=11),
        technician=SAND_CONE_TECHNICIAN,
        shown=field,
        oven=oven,
        purpose="assurance",
        check_of=test,
        more={"remarks": remarks} if remarks else {},
    )


def _correct(scene: Scene) -> None:
    day = effective_day()
    if day >= len(scene.days):
        return
    body: dict[str, Any] = {
        "gauge": GAUGE,
        "reference": REFERENCE,
        "mode": "direct_transmission",
        "depth": f"{NOTCH_IN} in",
        "water_offset": {"value": f"-{READS_HIGH_PCT} %"},
        "effective_from": scene.days[day].isoformat(),
        "reason": "Twelve sand cones with oven specimens: the moisture reads high, the wet density agrees.",
    }
    scene.send(scene.moment(day, PROPOSED), site.SUPERVISOR, "gauge_correction", GAUGE, body)
    proposed = identity(scene.seed, "gauge_correction", GAUGE)
    reason = {"reason": "Pairs and drawing seen. Test with the badly filled hole looked at: its wet density only."}
    scene.send(
        scene.moment(day, ADOPTED), site.ENGINEER, "gauge_correction_adopted", GAUGE, reason, subject=str(proposed)
    )


def displays(scene: Scene) -> None:
    """From its day on the correction is taken off again by the service, so what the display shows stays high.

    A test of that first morning is left as it is where the display alone would have turned its verdict.
    """
    if not any(event.kind == "gauge_correction" for event in scene.events):
        return
    begins = scene.moment(effective_day(), 0)
    adopted = scene.moment(effective_day(), ADOPTED)
    for test in scene.tests:
        readings = test.shown.members["readings"]
        if readings.get("serial") != GAUGE or test.reference != REFERENCE or test.performed_at < begins:
            continue
        high = test.shown.water_pct + READS_HIGH_PCT
        members = {**test.shown.members, "readings": {**readings, "water_content": f"{high} %"}}
        if test.received_at <= adopted:
            first = Shown(members, test.shown.wet_pcf, test.shown.wet_pcf / (1 + high / 100), high)
            soils = scene.soils(test.reference, test.performed_at)
            verdict = judged(first, None, soils=soils, oversize_pct=test.oversize_pct, zone=test.section.zone)[0]
            assert verdict.fails == test.fails, "the first morning's tests keep their verdicts"
        test.shown = replace(test.shown, members=members)
