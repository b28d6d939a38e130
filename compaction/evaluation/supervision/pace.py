"""Tests that follow each other faster than the method and the way between them allow.

Model: a test takes at least the minutes of its method (`Method.least_minutes`, unless the specification states them),
the way at least its straight length at the speed of `Looks.way_m_per_minute`; times are written to a step (the coarsest
that all of the crew's times keep to), so an interval is longer or shorter by less than that step. An honest day then
never shows it; the durations are set low so that a quick crew stays below one day in 200.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from compaction.calculations.methods import METHODS
from compaction.evaluation.supervision.facts import USUAL, DayTest, SupervisionFinding, by_crew, names
from compaction.facts import Looks

TIME_STEPS: Final = (30, 15, 10, 5, 1)


def least_minutes(method: str, *, looks: Looks = USUAL, count_minutes: float | None = None, counts: int = 1) -> float:
    """The least minutes of a test by this method; 0 where none is known. `count_minutes`: as its sheet states."""
    known = METHODS.get(method)
    if known is None:
        return 0.0
    each = float(looks.count_minutes) if count_minutes is None else count_minutes
    stated = dict(looks.least_minutes).get(method)
    least = known.least_minutes if stated is None else float(stated)
    return least + (counts * each if known.volume_by == "gauge" else 0.0)


def time_step(tests: Sequence[DayTest]) -> float:
    """The step in minutes that the crew's times are written to."""
    if any(test.performed_at.second or test.performed_at.microsecond for test in tests):
        return 0.0
    return next(float(step) for step in TIME_STEPS if all(test.performed_at.minute % step == 0 for test in tests))


def way_minutes(one: DayTest, other: DayTest, *, looks: Looks = USUAL) -> float:
    """The least time between two places; 0 where one of them is not known."""
    if one.place_m is None or other.place_m is None:
        return 0.0
    return math.dist(one.place_m, other.place_m) / float(looks.way_m_per_minute)


def too_fast(tests: Sequence[DayTest], *, looks: Looks = USUAL) -> list[SupervisionFinding]:
    """Rows of tests of one crew that together took less time than they need. One finding for each row."""
    found = []
    for crew, everything in by_crew(tests):
        made = [test for test in everything if test.least_minutes > 0 and not test.check_of]
        step = time_step(made) if made else 0.0
        start = 0
        while start < len(made) - 1:
            worst = max(
                ((*_short(made[start : end + 1], step, looks), end) for end in range(start + 1, len(made))),
                key=lambda one: one[0],
            )
            missing, taken, needed, end = worst
            if missing <= 0:
                start += 1
                continue
            row = made[start : end + 1]
            sentence = (
                f"{crew}: {names(row)} are {taken:.0f} minutes apart from first to last; the method"
                f"{'' if len({test.method for test in row}) == 1 else 's'} and the way between need at least "
                f"{needed:.0f}{f', times being written to {step:.0f} minutes' if step > 1 else ''}. Were the times "
                "written later, or two people at work?"
            )
            numbers = {"taken_min": f"{taken:.1f}", "needed_min": f"{needed:.1f}", "step_min": f"{step:.0f}"}
            uuids = tuple(test.uuid for test in row)
            found.append(SupervisionFinding("pace", "faster-than-method", uuids, sentence, numbers))
            start = end
    return found


def _short(row: Sequence[DayTest], step: float, looks: Looks) -> tuple[float, float, float]:
    """Minutes that are missing, minutes taken, minutes needed. Times may mark the start or the end of a test."""
    taken = (row[-1].performed_at - row[0].performed_at).total_seconds() / 60.0
    needed = sum(test.least_minutes for test in row) - max(row[0].least_minutes, row[-1].least_minutes)
    needed += sum(way_minutes(one, other, looks=looks) for one, other in pairwise(row))
    return needed - taken - step, taken, needed


def gauge_twice(tests: Sequence[DayTest], *, looks: Looks = USUAL) -> list[SupervisionFinding]:
    """One gauge that two crews used at places farther apart than the time between allows."""
    steps = {crew: time_step(made) for crew, made in by_crew(tests)}
    serials = sorted({test.gauge for test in tests if test.gauge})
    found = []
    for serial in serials:
        used = sorted((t for t in tests if t.gauge == serial), key=lambda test: (test.performed_at, test.uuid))
        for one, other in pairwise(used):
            if one.crew == other.crew or one.place_m is None or other.place_m is None:
                continue
            apart_m = math.dist(one.place_m, other.place_m)
            taken = (other.performed_at - one.performed_at).total_seconds() / 60.0
            needed = min(one.least_minutes, other.least_minutes) + way_minutes(one, other, looks=looks)
            if apart_m <= float(looks.one_spot_m) or taken + max(steps[one.crew], steps[other.crew]) >= needed:
                continue
            sentence = (
                f"Gauge {serial}: {one.crew} used it for {names([one])} and {other.crew} for {names([other])}, "
                f"{apart_m:.0f} m apart, within {taken:.0f} minutes; a test and the way take at least {needed:.1f}. "
                "Is a serial number or a time written wrongly?"
            )
            numbers = {"apart_m": f"{apart_m:.0f}", "taken_min": f"{taken:.1f}", "needed_min": f"{needed:.1f}"}
            found.append(
                SupervisionFinding("gauge-twice", "gauge-in-two-places", (one.uuid, other.uuid), sentence, numbers)
            )
    return found
