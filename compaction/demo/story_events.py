"""What people do about single tests: the events of the stories in `stories`, beyond what happens to every test."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Final

from compaction.demo import instruments, site, spots
from compaction.demo.events import Event, FieldTest, identity, offset_text, station_text
from compaction.demo.fieldwork import target
from compaction.demo.material import TENTH, judge, soil
from compaction.demo.scene import Scene
from compaction.demo.stories import Told
from compaction.demo.working_days import clock

REVIEWED, OVEN_AT, RULED = clock(16, 0), clock(8, 20), clock(11, 15)
Telling = Callable[[Scene, FieldTest, Told], None]


def before_numbering(scene: Scene, told: Mapping[str, tuple[FieldTest, Told]]) -> None:
    """What changes a test or adds one, before the sheets get their numbers."""
    for name, tell in _BEFORE.items():
        if name in told:
            tell(scene, *told[name])
    _exempt(scene)


def after_numbering(scene: Scene, told: Mapping[str, tuple[FieldTest, Told]]) -> None:
    """Amendments, voids, releases and rulings, which quote the sheets."""
    for name, tell in _AFTER.items():
        if name in told:
            tell(scene, *told[name])


# ---- before the numbers -----------------------------------------------------------------------------
def _check_beside(scene: Scene, test: FieldTest, _: Told) -> None:
    of = scene.soils(test.reference, test.performed_at)[0]
    dry, water = target(of, percent=96.1, deviation=0.1, oversize_pct=None)
    performed = scene.free(test.technician, test.performed_at + timedelta(minutes=16))
    shown = instruments.gauge(serial=test.section.gauge, day=scene.day_of(performed), dry_pcf=dry, water_pct=water)
    scene.tests.append(
        replace(
            test,
            id=identity(scene.seed, "test", test.id, "check"),
            performed_at=performed,
            received_at=performed + timedelta(minutes=5),
            station_ft=test.station_ft + 2,
            shown=shown,
            check_of=test,
            more={},
        )
    )


def _count_repeated(scene: Scene, test: FieldTest, _: Told) -> None:
    of = scene.soils(test.reference, test.performed_at)[0]
    dry, water = target(of, percent=97.2, deviation=-0.3, oversize_pct=None)
    performed = scene.free(test.technician, test.performed_at + timedelta(minutes=30))
    again = replace(
        test,
        id=identity(scene.seed, "test", test.id, "again"),
        performed_at=performed,
        received_at=performed + timedelta(minutes=6),
        station_ft=test.station_ft + 3,
        shown=instruments.gauge(serial=test.section.gauge, day=scene.day_of(performed), dry_pcf=dry, water_pct=water),
        fails=frozenset(),
        more={"remarks": "In place of the reading before, after new standard counts."},
    )
    scene.tests.append(again)


def _late(scene: Scene, test: FieldTest, _: Told) -> None:
    test.received_at = scene.moment(scene.day_of(test.performed_at) + 1, clock(17, 20))


def _offline(scene: Scene, test: FieldTest, _: Told) -> None:
    test.received_at = scene.moment(scene.day_of(test.performed_at), clock(19, 10))


def _side_exchanged(_: Scene, test: FieldTest, __: Told) -> None:
    if abs(test.offset_ft) < 6:
        test.offset_ft = 11
    position = {"alignment": "dike", "station": station_text(test.station_ft), "offset": offset_text(-test.offset_ft)}
    test.place.pop("gps", None)
    test.posted = {"position": {**position, **test.place}}


def _fix_elsewhere(scene: Scene, test: FieldTest, _: Told) -> None:
    dice = scene.dice("fix elsewhere")
    test.place["gps"] = spots.fix(dice, station_ft=test.station_ft + 100, offset_ft=test.offset_ft, accuracy_m=3.9)


def _corrected_in_the_field(_: Scene, test: FieldTest, __: Told) -> None:
    """The sheet shows the percentage of the maximum as it stands in the laboratory's report."""
    plain = judge(
        dry_pcf=test.shown.dry_pcf,
        water_pct=test.shown.water_pct,
        of=replace(soil(test.reference, 1), oversize_gravity=None),
        oversize_pct=Decimal(0),
        zone=test.section.zone,
    )
    test.more["printed"] = {"percent_compaction": f"{plain.percent} %"}


def _wrong_curve(scene: Scene, test: FieldTest, told: Told) -> None:
    of = scene.soils(told.posted_reference, test.performed_at)[0]
    dry = test.shown.dry_pcf.quantize(TENTH)
    test.posted = {"reference": told.posted_reference}
    test.more["printed"] = {
        "dry_density": f"{dry} pcf",
        "maximum_dry_density": f"{of.maximum_pcf.quantize(TENTH)} pcf",
        "percent_compaction": f"{(100 * dry / of.maximum_pcf).quantize(TENTH)} %",
    }


def _exempt(scene: Scene) -> None:
    section, lift = site.SECTIONS["A"], 3
    performed = scene.free(section.technician, scene.moment(site.test_day("A", lift), clock(14, 50)))
    dry, water = target(soil("P-101", 1), percent=91.4, deviation=-2.6, oversize_pct=None)
    test = FieldTest(
        id=identity(scene.seed, "test", "exempt"),
        section=section,
        lift=lift,
        performed_at=performed,
        received_at=performed + timedelta(minutes=7),
        technician=section.technician,
        station_ft=1522,
        offset_ft=44,
        reference="P-101",
        shown=instruments.gauge(serial=section.gauge, day=scene.day_of(performed), dry_pcf=dry, water_pct=water),
        fails=frozenset(),
        place={"elevation": f"{site.top_ft(lift, 1522) - 0.4:.2f} ft", "elevation_from": "level"},
        more={"remarks": "Bedding under the rock apron, for information."},
        purpose="information",
    )
    scene.tests.append(test)
    scene.stories["exempt-area"] = [test]


_BEFORE: Final[dict[str, Telling]] = {
    "check-beside": _check_beside,
    "void-two-persons": _count_repeated,
    "late-upload": _late,
    "retest-before-parent": _offline,
    "amended-own-slip": _side_exchanged,
    "gps-disagrees": _fix_elsewhere,
    "oversize-decides": _corrected_in_the_field,
    "wrong-proctor": _wrong_curve,
}


# ---- after the numbers ------------------------------------------------------------------------------
def _put_right(scene: Scene, test: FieldTest, _: Told) -> None:
    _amend(
        scene,
        test,
        by=test.technician,
        minutes=41,
        reason_code="own-slip",
        reason="Left and right exchanged; the stake is on the other side.",
    )


def _named_in_review(scene: Scene, test: FieldTest, _: Told) -> None:
    day = scene.day_of(test.performed_at)
    minutes = int((scene.moment(day, REVIEWED) - test.received_at).total_seconds() // 60)
    _amend(
        scene,
        test,
        by=site.SUPERVISOR,
        minutes=minutes,
        reason_code="wrong-reference",
        reason="The jar sample and the source of the lift are those of P-102; the field sheet names P-101.",
    )


def _amend(scene: Scene, test: FieldTest, *, by: str, minutes: int, reason_code: str, reason: str) -> None:
    body = {"content": test.body(), "replaces": 1, "reason_code": reason_code, "reason": reason}
    when = test.received_at + timedelta(minutes=minutes)
    scene.send(when, by, "amendment", (test.id, reason_code), body, subject=str(test.id))


def _voided_by_two(scene: Scene, test: FieldTest, _: Told) -> None:
    asked = {
        "reason_code": "count-failed",
        "reason": "The count broke off when the roller passed; counted again beside.",
    }
    scene.send(
        test.received_at + timedelta(minutes=52), test.technician, "void_asked", test.id, asked, subject=str(test.id)
    )
    scene.send(
        scene.moment(scene.day_of(test.performed_at) + 1, clock(8, 35)),
        site.SUPERVISOR,
        "void_confirmed",
        test.id,
        {"reason": "Count log of the gauge seen: 22 of 60 seconds."},
        subject=str(test.id),
    )


def _entered_twice(scene: Scene, test: FieldTest, _: Told) -> None:
    again = identity(scene.seed, "test", test.id, "twice")
    sent = test.received_at + timedelta(minutes=6)
    scene.events.append(Event(sent, test.technician, "test", again, test.body()))
    slip = {"reason_code": "entered-twice", "reason": "Typed again because the first answer did not show."}
    scene.send(sent + timedelta(minutes=9), test.technician, "void_asked", again, slip, subject=str(again))


def _released(scene: Scene, test: FieldTest, _: Told) -> None:
    body = {
        "hold": "above-zero-air-voids",
        "reason": "Carbide test beside gave the same moisture; heavy iron-stained seam, gravity sample sent in.",
    }
    when = test.received_at + timedelta(minutes=26)
    scene.send(when, site.SUPERVISOR, "hold_released", test.id, body, subject=str(test.id))


def _accepted(scene: Scene, test: FieldTest, _: Told) -> None:
    _rule(
        scene,
        test,
        meaning="accepted_as_is",
        by=site.SECOND_ENGINEER,
        reason="0.6 short at one spot, its neighbours pass, 4 ft below crest and outside the seepage path.",
    )


def _replaced(scene: Scene, test: FieldTest, _: Told) -> None:
    _rule(
        scene,
        test,
        meaning="removed_and_replaced",
        by=site.ENGINEER,
        reason="Organic pocket dug out to sound fill, 14 by 20 ft, refilled in two lifts; seen, and tested again.",
    )


def _reassessed(scene: Scene, test: FieldTest, _: Told) -> None:
    """Before the next lift is placed in the afternoon."""
    _rule(
        scene,
        test,
        meaning="closed",
        by=site.ENGINEER,
        reason="Passes by the revised P-101; mould certificate and recalculation seen. No rework was done.",
    )


def _rule(scene: Scene, test: FieldTest, *, meaning: str, by: str, reason: str) -> None:
    scene.send(
        scene.moment(scene.day_of(test.performed_at) + 1, RULED),
        by,
        "closing",
        test.id,
        {"meaning": meaning, "reason": reason},
        subject=str(test.id),
        failure_kind="density",
    )


_AFTER: Final[dict[str, Telling]] = {
    "amended-own-slip": _put_right,
    "wrong-proctor": _named_in_review,
    "void-two-persons": _voided_by_two,
    "void-own-slip": _entered_twice,
    "hold-released": _released,
    "revision-fail-to-pass": _reassessed,
    "accepted-as-is": _accepted,
    "removed-and-replaced": _replaced,
}
