"""Where to test next: an area on a lift with its cells, the locations drawn in them, and what became of each."""

import json
import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.coverage import cells, locations
from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Cell, Placed, Tested
from compaction.coverage.fill import basis_digest, grounds_of
from compaction.coverage.frequency import Group
from compaction.coverage.ground import Ground
from compaction.models import LiftCover, LocationDraw, LocationSubstitution, PlacementVersion
from compaction.queries import coverage_rows, set_up
from compaction.queries.location_lines import LocationLine, location_lines, named_locations
from projects.access import Open


@dataclass(frozen=True)
class GroupLine:
    """An area on a lift in short. `missing`: tests required and not passed; `drawn`: locations of the draw in force."""

    area: str
    lift: int
    placed_at: datetime
    required: int | None
    made: int | None
    missing: int
    drawn: int


@dataclass(frozen=True)
class GroupPlan:
    """Everything about an area on a lift that says where to test."""

    area: str
    lift: int
    placements: tuple[Placed, ...]  # those that tests are wanted in
    grounds: tuple[Ground, ...]
    tests: tuple[Tested, ...]
    required: int | None
    draws: tuple[LocationDraw, ...]  # in order; the last one is in force
    division: cells.Division
    cells: tuple[Cell, ...]
    locations: tuple[LocationLine, ...]
    fill_changed: bool  # placed or corrected since the draw

    @property
    def draw(self) -> LocationDraw | None:
        return self.draws[-1] if self.draws else None

    @property
    def next_open(self) -> LocationLine | None:
        """The first location that is still to do."""
        return next((line for line in self.locations if line.state == locations.OPEN), None)

    @property
    def too_few(self) -> bool:
        """Whether more tests are required than locations were drawn."""
        return self.draw is not None and self.required is not None and self.required > len(self.locations)


def group_lines(opened: Open) -> list[GroupLine]:
    """Every area and lift with fill: where tests are missing first, then the newest fill. Three statements."""
    counts = LiftCover.objects.filter(project=opened.project).values_list("area", "lift", "required", "made", "short")
    covers = {(area, lift): (required, made, short) for area, lift, required, made, short in counts}
    drawn: dict[tuple[str, int], int] = {}
    for row in LocationDraw.objects.filter(project=opened.project).order_by("id"):
        drawn[row.area, row.lift] = len(json.loads(row.drawn)["locations"])
    placed: dict[tuple[str, int], datetime] = {}
    for area, lift, at in PlacementVersion.objects.filter(project=opened.project).values_list(
        "area", "lift", "placed_at"
    ):
        placed[area, lift] = max(placed.get((area, lift), at), at)
    lines = [
        GroupLine(area, lift, at, required=required, made=made, missing=missing, drawn=drawn.get((area, lift), 0))
        for (area, lift), at in placed.items()
        for required, made, missing in [covers.get((area, lift), (None, None, 0))]
    ]
    return sorted(lines, key=lambda line: (line.missing > 0, line.placed_at, line.lift, line.area), reverse=True)


def group_plan(opened: Open, area: str, lift: int) -> GroupPlan | None:
    """The plan of one group; None where nothing is placed."""
    return next(iter(group_plans(opened, lift=lift, area=area)), None)


def group_plans(opened: Open, *, lift: int | None = None, area: str | None = None) -> list[GroupPlan]:
    """The plans of every group with fill, of a lift or of all. About ten statements, however many groups.

    Fill that is exempt or of which somebody said why it is not tested gets no cells.
    """
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    fill = [one for one in coverage_rows.placements(opened.project, under) if lift is None or one.lift == lift]
    groups: dict[Group, list[Placed]] = {}
    for one in fill:
        if area is None or one.area == area:
            groups.setdefault((one.area, one.lift), []).append(one)
    if not groups:
        return []
    on_record = _Read(opened, under, lift, fill)
    return [on_record.plan(group, groups[group]) for group in sorted(groups, key=lambda key: (key[1], key[0]))]


class _Read:
    """What plans are made of, read once for all groups of a lift or of the project."""

    def __init__(self, opened: Open, under: set_up.SetUp, lift: int | None, fill: list[Placed]) -> None:
        project = opened.project
        on_lift = {} if lift is None else {"lift": lift}
        self.required: dict[Group, int | None] = {
            (area, number): required
            for area, number, required in LiftCover.objects.filter(project=project, **on_lift).values_list(
                "area", "lift", "required"
            )
        }
        self.draws: dict[Group, list[LocationDraw]] = {}
        for row in LocationDraw.objects.filter(project=project, **on_lift).order_by("id"):
            self.draws.setdefault((row.area, row.lift), []).append(row)
        self.instead: dict[str, list[LocationSubstitution]] = {}
        self.named: dict[str, str] = {}
        if self.draws:
            rows = LocationSubstitution.objects.filter(
                project=project, **{f"draw__{key}": on_lift[key] for key in on_lift}
            )
            for one in rows.order_by("attempt"):
                self.instead.setdefault(str(one.location), []).append(one)
            self.named = named_locations(opened, lift)
        self.tests: dict[Group | None, list[Tested]] = {}
        belongs = Placements(fill)
        for test in coverage_rows.tests(project, under, lifts=None if lift is None else [lift], zones=()):
            self.tests.setdefault(belongs.group_of(test), []).append(test)

    def plan(self, group: Group, placements: list[Placed]) -> GroupPlan:
        """The plan of one group."""
        placed = tuple(one for one in placements if not one.exempt and not one.not_tested)
        tests = tuple(self.tests.get(group, ()))
        draws = tuple(self.draws.get(group, ()))
        grounds = grounds_of(placed)
        required = self.required.get(group)
        drawn = json.loads(draws[-1].drawn) if draws else None
        changed = drawn is not None and drawn["basis_sha256"] != basis_digest(placed)
        count = required or 0
        if drawn is not None and (not count or (not changed and count <= len(drawn["locations"]))):
            count = len(drawn["locations"])
        division = cells.divide(grounds, count=count, area=group[0], lift=group[1])
        return GroupPlan(
            area=group[0],
            lift=group[1],
            placements=placed,
            grounds=grounds,
            tests=tests,
            required=required,
            draws=draws,
            division=division,
            cells=cells.assign(division, tests),
            locations=() if drawn is None else location_lines(drawn, tests, self.instead, self.named),
            fill_changed=changed,
        )


def find_location(opened: Open, location: uuid.UUID) -> tuple[GroupPlan, LocationLine] | None:
    """A location of a draw in force by its id, with its group."""
    rows = LocationDraw.objects.filter(project=opened.project, drawn__contains=str(location))
    for area, lift in rows.values_list("area", "lift")[:1]:
        plan = group_plan(opened, area, lift)
        line = next((one for one in plan.locations if one.uuid == str(location)), None) if plan else None
        if plan is not None and line is not None:
            return plan, line
    return None


def draw_row(opened: Open, client_uuid: uuid.UUID) -> LocationDraw | None:
    """A draw by its id."""
    return LocationDraw.objects.filter(project=opened.project, client_uuid=client_uuid).first()


def last_content(opened: Open) -> dict[str, Any]:
    """What the last draw of the project was asked with; empty where there is none."""
    row = LocationDraw.objects.filter(project=opened.project).order_by("-id").first()
    return {} if row is None else dict(json.loads(row.content))
