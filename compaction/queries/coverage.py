"""Coverage as lists, pages and the API show it: every area and lift, one of them with all about it, totals."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.coverage import stored
from compaction.coverage.belonging import Placements
from compaction.coverage.facts import FAILED, OPEN, RELEASED, SHORT, Covered, FrequencyRule, Placed, Tested
from compaction.coverage.ratios import Curve, Ratio, ratios
from compaction.models import Decision, LiftCover, NotTested
from compaction.queries import coverage_rows, set_up
from compaction.queries.set_up import SetUp
from projects.access import Open
from projects.models import JournalHead, Project

STATES: Final = (OPEN, SHORT, FAILED, RELEASED)
BY: Final = ("lift", "area", "zone", "day", "material")


def lift_rows(opened: Open, area: str | None = None, *, state: str | None = None) -> list[Covered]:
    """Every area and lift as the sweep found it, by area and lift. One statement."""
    rows = LiftCover.objects.filter(project=opened.project).order_by("area", "lift")
    if area is not None:
        rows = rows.filter(area=area)
    if state is not None:
        rows = rows.filter(state=state)
    return [stored.from_plain(json.loads(content)) for content in rows.values_list("content", flat=True)]


def loud(opened: Open) -> list[Covered]:
    """What must not be overlooked: lifts with a buried failure, and lifts placed over one that was not released."""
    rows = LiftCover.objects.filter(project=opened.project)
    found = (rows.filter(buried__gt=0) | rows.filter(over_unreleased=True)).order_by("area", "lift")
    return [stored.from_plain(json.loads(content)) for content in found.values_list("content", flat=True)]


@dataclass(frozen=True)
class GroupStory:
    """One area on one lift with everything on record about it."""

    covered: Covered
    placements: list[Placed]
    tests: list[Tested]  # every test that belongs to it, in order of time, counting or not
    rules: tuple[FrequencyRule, ...]
    decisions: list[Decision]
    not_tested: list[NotTested]


def group(opened: Open, area: str, lift: int) -> GroupStory | None:
    """One area on one lift; None if there is none. About ten statements."""
    row = LiftCover.objects.filter(project=opened.project, area=area, lift=lift).first()
    if row is None:
        return None
    under = current_set_up(opened.project)
    placed = coverage_rows.placements(opened.project, under)
    where = Placements(placed)
    tests = [
        test
        for test in coverage_rows.tests(opened.project, under, lifts=[lift], zones=())
        if where.group_of(test) == (area, lift)
    ]
    here = sorted(
        (one for one in placed if (one.area, one.lift) == (area, lift)), key=lambda one: (one.placed_at, one.uuid)
    )
    rules_of = coverage_rows.rules_of(under)
    rules = dict.fromkeys(rule for one in here for rule in rules_of(one.zone, one.placed_at))
    return GroupStory(
        covered=stored.from_plain(json.loads(row.content)),
        placements=here,
        tests=sorted(tests, key=lambda test: (test.performed_at, test.uuid)),
        rules=tuple(rules),
        decisions=list(
            Decision.objects.filter(
                project=opened.project,
                subject_kind=coverage_rows.SUBJECT_KIND,
                subject=coverage_rows.subject_of(area, lift),
            ).order_by("decided_at", "client_uuid")
        ),
        not_tested=list(
            NotTested.objects.filter(project=opened.project, area=area, lift=lift).order_by("noted_at", "client_uuid")
        ),
    )


def current_set_up(project: Project) -> SetUp:
    """The set-up as it stands. One statement where the process has it."""
    seq = JournalHead.objects.values_list("setup_seq", flat=True).get(project=project)
    return set_up.load(project, setup_seq=seq)


@dataclass
class Total:
    """Counts added up over lifts. Sums of what is not known everywhere are None."""

    key: str
    groups: int = 0
    states: dict[str, int] = field(default_factory=lambda: dict.fromkeys(STATES, 0))
    volume_m3: Decimal | None = Decimal(0)
    area_m2: float | None = 0.0
    required: int | None = 0
    made: int = 0
    passing: int = 0
    failing: int = 0
    short: int = 0
    pending: int = 0
    held: int = 0
    buried: int = 0
    retests: int = 0
    over_unreleased: int = 0
    not_tested: int = 0

    def add(self, one: Covered) -> None:
        """Another group."""
        self.groups += 1
        self.states[one.state] += 1
        self.volume_m3 = None if self.volume_m3 is None or one.volume_m3 is None else self.volume_m3 + one.volume_m3
        self.area_m2 = None if self.area_m2 is None or one.area_m2 is None else round(self.area_m2 + one.area_m2, 2)
        self.required = None if self.required is None or one.required is None else self.required + one.required
        for name in ("made", "passing", "failing", "short", "pending", "held", "buried", "retests"):
            setattr(self, name, getattr(self, name) + getattr(one, name))
        self.over_unreleased += one.over_unreleased
        self.not_tested += bool(one.not_tested)


def totals(opened: Open, by: str = "lift") -> list[Total]:
    """Required, made, passing and short by lift, area, zone, day or material. One statement.

    A group belongs to the day, by the clock of the project, on which its first fill was placed.
    """
    zone = opened.project.zone_info
    keys: dict[str, Callable[[Covered], Any]] = {
        "lift": lambda one: one.lift,
        "area": lambda one: one.area,
        "zone": lambda one: one.zone,
        "material": lambda one: one.material,
        "day": lambda one: one.first_placed_at.astimezone(zone).date() if one.first_placed_at else date.min,
    }
    found: dict[Any, Total] = {}
    for one in lift_rows(opened):
        key = keys[by](one)
        found.setdefault(key, Total("" if key == date.min else str(key))).add(one)
    return [found[key] for key in sorted(found)]


def checks(opened: Open) -> list[Ratio]:
    """What is asked for beside the lifts: tests checked by another method, laboratory curves per quantity."""
    under = current_set_up(opened.project)
    specifications = [entry.facts for entries in under.specifications.values() for entry in entries]
    if not any(_beside(rule) for facts in specifications for rule in facts.frequency):
        return []
    return ratios(coverage_rows.book(opened.project, under), curves=_curves(under))


def _beside(rule: FrequencyRule) -> bool:
    return rule.counts == "references" or any(counter.basis == "tests" for counter in rule.counters)


def _curves(under: SetUp) -> Iterable[Curve]:
    """Every approved laboratory curve, by its code and soil."""
    return [
        Curve(entry.facts.code, entry.soil)
        for entries in under.references.values()
        for entry in entries
        if entry.approved_at is not None
    ]
