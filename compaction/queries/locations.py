"""Where to test next: an area on a lift with its cells, the locations drawn in them, and what became of each."""

import json
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import F

from compaction.coverage import cells, locations
from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Cell, Placed, Tested
from compaction.coverage.frequency import Group
from compaction.coverage.ground import TOUCHING_M, Ground, lay_together, rectangle
from compaction.coverage.locations import Planned, Ticked
from compaction.coverage.outlines import inside
from compaction.models import LiftCover, LocationDraw, LocationSubstitution, PlacementVersion, TestVersion
from compaction.queries import coverage_rows, set_up
from projects import canonical
from projects.access import Open


@dataclass(frozen=True)
class GroupLine:
    """An area on a lift in short. `drawn`: locations of the draw in force."""

    area: str
    lift: int
    placed_at: datetime
    required: int | None
    made: int | None
    drawn: int


@dataclass(frozen=True)
class LocationLine:
    """A location with its state. `instead_of` holds its places before, the first as drawn."""

    uuid: str
    cell: int
    alignment: str
    station_m: float
    offset_m: float
    elevation_m: Decimal | None
    u1: str
    u2: str
    attempt: int
    ticked: Ticked
    instead_of: tuple[dict[str, Any], ...] = ()
    reason_code: str = ""
    reason: str = ""

    @property
    def state(self) -> str:
        return self.ticked.state


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


def location_uuid(draw: uuid.UUID, cell: int) -> str:
    """The id of a location follows from its draw and its cell."""
    return str(uuid.uuid5(draw, f"cell {cell}"))


def group_lines(opened: Open) -> list[GroupLine]:
    """Every area and lift with fill, the newest fill first. Three statements."""
    covers = {
        (area, lift): (required, made)
        for area, lift, required, made in LiftCover.objects.filter(project=opened.project).values_list(
            "area", "lift", "required", "made"
        )
    }
    drawn: dict[tuple[str, int], int] = {}
    for row in LocationDraw.objects.filter(project=opened.project).order_by("id"):
        drawn[row.area, row.lift] = len(json.loads(row.drawn)["locations"])
    placed: dict[tuple[str, int], datetime] = {}
    for area, lift, at in PlacementVersion.objects.filter(project=opened.project).values_list(
        "area", "lift", "placed_at"
    ):
        placed[area, lift] = max(placed.get((area, lift), at), at)
    return [
        GroupLine(
            area,
            lift,
            at,
            required=covers.get((area, lift), (None, None))[0],
            made=covers.get((area, lift), (None, None))[1],
            drawn=drawn.get((area, lift), 0),
        )
        for (area, lift), at in sorted(placed.items(), key=lambda item: (item[1], item[0][1], item[0][0]), reverse=True)
    ]


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
            self.named = _named(opened, lift)
        self.tests: dict[Group | None, list[Tested]] = {}
        belongs = Placements(fill)
        for test in coverage_rows.tests(project, under, lifts=None if lift is None else [lift]):
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
            locations=() if drawn is None else _lines(drawn, tests, self.instead, self.named),
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


def basis_digest(placed: Iterable[Placed]) -> str:
    """Names the fill that a draw was made on: where it lies and how high, not what was remarked beside."""
    return canonical.digest(
        {
            "placements": sorted(
                [
                    one.uuid,
                    one.alignment,
                    *(f"{value:.4f}" for value in (one.station_from_m, one.station_to_m)),
                    *(f"{value:.4f}" for value in (one.offset_from_m, one.offset_to_m)),
                    " ".join(f"{first:.4f},{second:.4f}" for first, second in one.outline if not one.alignment),
                ]
                for one in placed
            )
        }
    )


def grounds_of(placed: Iterable[Placed]) -> tuple[Ground, ...]:
    """The fill of a group, one ground for each alignment and one for what is given by corners."""
    outlines: dict[str, list[tuple[tuple[float, float], ...]]] = {}
    for one in placed:
        if one.alignment:
            corners = rectangle(one.station_from_m, one.station_to_m, one.offset_from_m, one.offset_to_m)
            outlines.setdefault(one.alignment, []).append(corners)
        elif one.outline:
            outlines.setdefault("", []).append(one.outline)
    return tuple(lay_together(found, alignment=code) for code, found in sorted(outlines.items()))


def elevation_at(placed: Iterable[Placed], *, alignment: str, station_m: float, offset_m: float) -> Decimal | None:
    """The top of the newest placement there that states one: the height of the finished lift."""
    for one in sorted(placed, key=lambda one: (one.placed_at, one.uuid), reverse=True):
        if one.elevation_top_m is None or one.alignment != alignment:
            continue
        if alignment:
            along = one.station_from_m - TOUCHING_M <= station_m <= one.station_to_m + TOUCHING_M
            there = along and one.offset_from_m - TOUCHING_M <= offset_m <= one.offset_to_m + TOUCHING_M
        else:
            there = inside(one.outline, (station_m, offset_m))
        if there:
            return one.elevation_top_m
    return None


# ---- locations -----------------------------------------------------------------------------------
def _named(opened: Open, lift: int | None) -> dict[str, str]:
    """Test -> the location that it names, of the tests on a lift or of all."""
    versions = TestVersion.objects.filter(test__project=opened.project, content__contains='"location":"')
    if lift is not None:
        versions = versions.filter(test__lift=lift)
    named = {}
    current = versions.filter(version=F("test__current_version"))
    for client_uuid, content in current.values_list("test__client_uuid", "content"):
        location = json.loads(content).get("location")
        if location:
            named[str(client_uuid)] = location
    return named


def _lines(
    drawn: dict[str, Any],
    tests: Sequence[Tested],
    instead: Mapping[str, Sequence[LocationSubstitution]],
    named: Mapping[str, str],
) -> tuple[LocationLine, ...]:
    now: list[tuple[dict[str, Any], dict[str, Any]]] = []  # (as drawn, as it stands)
    for one in drawn["locations"]:
        taken = instead.get(one["id"])
        now.append((one, json.loads(taken[-1].place) if taken else one))
    counting = [test for test in tests if cells.counts(test)]
    ticked = locations.tick_off(
        [
            Planned(one["id"], one["cell"], one["alignment"], float(place["station_m"]), float(place["offset_m"]))
            for one, place in now
        ],
        tests,
        within_m=float(drawn["done_within_m"]),
        tested_cells={one["cell"]: [test.uuid for test in counting if _in_window(test, one)] for one, _ in now},
        named=named,
    )
    lines = []
    for one, place in now:
        taken = instead.get(one["id"], ())
        lines.append(
            LocationLine(
                uuid=one["id"],
                cell=one["cell"],
                alignment=one["alignment"],
                station_m=float(place["station_m"]),
                offset_m=float(place["offset_m"]),
                elevation_m=None if place["elevation_m"] is None else Decimal(place["elevation_m"]),
                u1=place["u1"],
                u2=place["u2"],
                attempt=len(taken),
                ticked=ticked[one["id"]],
                instead_of=(one, *(json.loads(row.place) for row in taken[:-1])) if taken else (),
                reason_code=taken[-1].reason_code if taken else "",
                reason=taken[-1].reason if taken else "",
            )
        )
    return tuple(lines)


def _in_window(test: Tested, one: dict[str, Any]) -> bool:
    """Whether a test lies in the cell as it was drawn; on the line to the next one it belongs to that one."""
    station_from, station_to, offset_from, offset_to = map(float, one["window"])
    if one["alignment"]:
        place = (test.station_m, test.offset_m) if test.alignment == one["alignment"] else (None, None)
    else:
        place = (test.easting_m, test.northing_m)
    return (
        place[0] is not None
        and place[1] is not None
        and station_from <= place[0] < station_to
        and offset_from <= place[1] < offset_to
    )


def last_content(opened: Open) -> dict[str, Any]:
    """What the last draw of the project was asked with; empty where there is none."""
    row = LocationDraw.objects.filter(project=opened.project).order_by("-id").first()
    return {} if row is None else dict(json.loads(row.content))
