"""The scenario while it is being made: its days, everybody's diary, the tests and events so far."""

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from compaction.demo.events import Event, FieldTest, identity
from compaction.demo.material import Soil, soil
from compaction.demo.working_days import at

#: working day from which a second revision counts, and the day on whose morning it is approved
CLAY_APPROVED_DAY = 10
SAND_FROM_DAY, SAND_APPROVED_DAY = 19, 22
APPROVED_AT = 600  # minutes after midnight
BETWEEN_TESTS = timedelta(minutes=15)


@dataclass
class Scene:
    """Everything that is known of the scenario while it grows."""

    seed: int
    days: list[date]
    tests: list[FieldTest] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    stories: dict[str, list[FieldTest]] = field(default_factory=dict)
    busy: dict[str, list[datetime]] = field(default_factory=dict)

    def dice(self, *parts: object) -> random.Random:
        """Dice of their own for each thing, so that a change in one leaves the others as they were."""
        return random.Random(" ".join(map(str, (self.seed, *parts))))

    def moment(self, day: int, minutes: int) -> datetime:
        """A moment of a working day."""
        return at(self.days[day], minutes)

    def day_of(self, moment: datetime) -> int:
        """Which working day a moment belongs to; one more than there are for a time after today."""
        return self.days.index(moment.date()) if moment.date() <= self.days[-1] else len(self.days)

    def free(self, technician: str, wanted: datetime) -> datetime:
        """The first moment from `wanted` on at which a technician is not at another spot."""
        taken = self.busy.setdefault(technician, [])
        while any(abs(wanted - other) < BETWEEN_TESTS for other in taken):
            wanted += timedelta(minutes=5)
        taken.append(wanted)
        return wanted

    def send(
        self,
        when: datetime,
        by: str,
        kind: str,
        what: object,
        body: Mapping[str, Any] | None = None,
        **more: Any,
    ) -> None:
        """Add an event; `what` tells it apart from others of its kind."""
        self.events.append(Event(when, by, kind, identity(self.seed, kind, what), body or {}, **more))

    def soils(self, code: str, moment: datetime) -> tuple[Soil, ...]:
        """The reference in force at a moment, and after it the revision that will reach a test made then."""
        approved = {
            "P-101": self.moment(CLAY_APPROVED_DAY, APPROVED_AT),
            "P-102": self.moment(SAND_APPROVED_DAY, APPROVED_AT),
        }.get(code)
        if approved is None or (code == "P-102" and moment < self.moment(SAND_FROM_DAY, 0)):
            return (soil(code, 1),)
        if moment >= approved:
            return (soil(code, 2),)
        return soil(code, 1), soil(code, 2)

    def until(self, moment: datetime) -> None:
        """Forget everything that would reach the service later than `moment`."""
        self.events = [event for event in self.events if event.at <= moment]
        self.tests = [test for test in self.tests if test.received_at <= moment]
