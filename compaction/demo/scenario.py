"""The whole scenario: five weeks on the dike as a list of events in the order in which the service hears of them.

Seeded: the same seed and the same day give the same events. Nothing here knows the database; `manage.py load_demo`
plays the events through the actions that the API and the pages use.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from compaction.demo import (
    drawn_places,
    fieldwork,
    frequencies,
    gauge_checks,
    lots,
    observations,
    other_references,
    papers,
    site,
    story_events,
)
from compaction.demo.events import Event, FieldTest
from compaction.demo.mending import mend
from compaction.demo.scene import Scene
from compaction.demo.stories import Told
from compaction.demo.working_days import FULL_DAYS, UNTIL, clock, working_days

SEED = 3
FIRST_LABEL = 101
ROUND_AT = clock(16, 45)
#: when the contractor hears of a failure that does not show, or is not dealt with, at once: (days later, minutes)
TOLD_AT = {
    "oven": (1, story_events.OVEN_AT + 30),
    "review": (0, story_events.REVIEWED + 20),
    "morning": (1, clock(7)),
    "mid-morning": (1, clock(8, 20)),
}


@dataclass(frozen=True)
class Scenario:
    """Events in order; the tests that reached the service; the tests of each story; when it begins and ends."""

    seed: int
    begins_at: datetime
    ends_at: datetime
    days: tuple[date, ...]
    events: tuple[Event, ...]
    tests: tuple[FieldTest, ...]
    stories: Mapping[str, tuple[FieldTest, ...]]


def build(*, today: date, seed: int = SEED, lifts: Iterable[int] = range(1, site.LIFTS + 1)) -> Scenario:
    """The scenario that ends on the morning of `today`; fewer `lifts` make a shorter one with the same figures."""
    scene = Scene(seed=seed, days=working_days(today))
    papers.set_up(scene)
    firsts: list[tuple[FieldTest, Told | None]] = []
    built = list(lifts)
    for lift in built:
        for section in site.SECTIONS.values():
            fieldwork.place_lift(scene, section, lift)
            firsts += fieldwork.first_tests(scene, section, lift)
    lots.declare(scene, built)
    frequencies.note(scene, built)
    drawn_places.tell(scene, built)
    lots.owners_tests(scene, [test for test, _ in firsts])
    gauge_checks.pairs(scene, [test for test, story in firsts if story is None])
    observations.copy_a_sheet(scene, [test for test, story in firsts if story is None])
    observations.tell(scene, built)
    told = {story.name: (test, story) for test, story in firsts if story is not None}
    story_events.before_numbering(scene, told)
    other_references.tell(scene)
    for test, story in firsts:
        _follow(scene, test, story)
    _number(scene)
    gauge_checks.displays(scene)
    story_events.after_numbering(scene, told)
    for test in scene.tests:
        scene.events.append(Event(test.received_at, test.technician, "test", test.id, test.body(**test.posted)))
        _oven(scene, test)
    ruled = [event.subject for event in scene.events if event.kind == "closing"]
    for day in range(1, FULL_DAYS + 1):
        engineer = site.ENGINEER if day % 3 else site.SECOND_ENGINEER
        scene.send(scene.moment(day, ROUND_AT), engineer, "round", day, {"leave": ruled})
    scene.stories.update({name: [test] for name, (test, _) in told.items()})
    ends_at = scene.moment(FULL_DAYS + 1, clock(UNTIL.hour, UNTIL.minute))
    scene.until(ends_at)
    return Scenario(
        seed=seed,
        begins_at=scene.moment(0, papers.STARTS),
        ends_at=ends_at,
        days=tuple(scene.days),
        events=tuple(sorted(scene.events, key=lambda event: event.at)),
        tests=tuple(scene.tests),
        stories={name: tuple(tests) for name, tests in scene.stories.items()},
    )


def _follow(scene: Scene, test: FieldTest, story: Told | None) -> None:
    """Have a failing test mended, once the contractor has been told of it."""
    if story is not None and story.retests is None:
        return
    if story is None or story.mended_from == "arrival":
        if test.fails:
            mend(scene, test, story, told_at=test.performed_at + timedelta(minutes=3), fails=test.fails)
        return
    days_later, minutes = TOLD_AT[story.mended_from]
    told_at = scene.moment(scene.day_of(test.performed_at) + days_later, minutes)
    mend(scene, test, story, told_at=told_at, fails=frozenset({"density"}))


def _number(scene: Scene) -> None:
    """Sheets are numbered through the job in the order in which the tests are made."""
    originals = [test for test in scene.tests if test.retest_of is None and test.check_of is None]
    for number, test in enumerate(sorted(originals, key=lambda test: (test.performed_at, str(test.id)))):
        test.label = str(FIRST_LABEL + number)


def _oven(scene: Scene, test: FieldTest) -> None:
    """The laboratory's water content of the morning after, where the specification wants one."""
    day = scene.day_of(test.performed_at) + 1
    if test.oven is None or day >= len(scene.days):
        return
    dried = scene.dice("oven", test.id).randrange(0, 35)
    body: dict[str, Any] = {
        "content": test.body(shown=test.oven),
        "replaces": 1,
        "reason_code": "oven-water-content",
        "reason": "Dried overnight at 230 F, weighed this morning.",
    }
    sent = scene.moment(day, story_events.OVEN_AT + dried)
    scene.send(sent, site.LABORATORY, "amendment", (test.id, "oven"), body, subject=str(test.id))
