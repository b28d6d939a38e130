"""What would be required of fill that is planned: the rules in force, or rules to try out, over equal lifts."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from compaction.coverage.facts import Count, FrequencyRule, Placed
from compaction.coverage.frequency import at_least, demands
from compaction.queries import coverage_rows
from compaction.queries.coverage import current_set_up
from compaction.records.frequency_question import FrequencyQuestion, read_question
from projects.access import Open


@dataclass(frozen=True)
class Planned:
    """One planned lift. `required` is None where a quantity that a rule needs was not said."""

    lift: int
    required: int | None
    at_least: int
    counts: tuple[Count, ...]


@dataclass(frozen=True)
class FrequencyPreview:
    """Every planned lift, and all of them together."""

    required: int | None
    at_least: int
    sentence: str
    rules: tuple[str, ...]
    lifts: tuple[Planned, ...]


def preview(opened: Open, body: Mapping[str, Any], *, now: datetime) -> FrequencyPreview:
    """What the rules would ask for. Stores nothing. Raises `ReadingsError`."""
    asked = read_question(body)
    if asked.rules is None:
        rules = coverage_rows.rules_of(current_set_up(opened.project))(asked.zone, now)
    else:
        rules = asked.rules
    return worked_out(asked, rules, now=now)


def worked_out(asked: FrequencyQuestion, rules: tuple[FrequencyRule, ...], *, now: datetime) -> FrequencyPreview:
    """The same from the question and the rules alone."""
    found = demands(_planned(asked, now), lambda zone, moment: rules)
    lifts = []
    for lift in range(1, asked.lifts + 1):
        here = found.get((asked.zone, lift), [])
        known = at_least((one.rule.methods, one.at_least) for one in here)
        whole = bool(here) and all(one.required is not None for one in here)
        lifts.append(
            Planned(lift, known if whole else None, known, tuple(count for one in here for count in one.counts))
        )
    least = sum(one.at_least for one in lifts)
    whole = all(one.required is not None for one in lifts)
    return FrequencyPreview(
        required=least if whole else None,
        at_least=least,
        sentence=_sentence(least, whole, lifts),
        rules=tuple(dict.fromkeys(count.rule for one in lifts for count in one.counts)),
        lifts=tuple(lifts),
    )


def _sentence(least: int, whole: bool, lifts: list[Planned]) -> str:
    if not any(one.counts for one in lifts):
        return "No rule asks for tests of this fill."
    noun = "test" if least == 1 else "tests"
    on = "lift" if len(lifts) == 1 else "lifts"
    if whole:
        return f"{least} {noun} on {len(lifts)} {on}."
    missing = next(count for one in lifts for count in one.counts if count.required is None)
    return f"At least {least} {noun} on {len(lifts)} {on}; {missing.sentence}"


def _planned(asked: FrequencyQuestion, now: datetime) -> list[Placed]:
    """Equal lifts, one after the other, each in as many equal parts as it takes days."""
    parts = asked.lifts * asked.days
    length = float(asked.length_m) if asked.length_m is not None else 0.0
    rows = []
    for number in range(parts):
        moment = now + timedelta(days=number)
        part = number % asked.days
        rows.append(
            Placed(
                uuid=f"{number:06d}",
                area=asked.zone,
                lift=number // asked.days + 1,
                placed_at=moment,
                day=moment.date(),
                alignment="planned" if length else "",
                station_from_m=length * part / asked.days,
                station_to_m=length * (part + 1) / asked.days,
                area_m2=None if asked.area_m2 is None else float(asked.area_m2 / asked.days),
                volume_m3=None if asked.volume_m3 is None else asked.volume_m3 / Decimal(parts),
                thickness_m=asked.thickness_m,
                material=asked.material,
                zone=asked.zone,
            )
        )
    return rows
