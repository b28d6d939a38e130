"""Where to test next: an area on a lift with its cells, the locations drawn in them, and what became of each."""

import json
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from compaction.coverage import cells, locations
from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Cell, Placed, Tested
from compaction.coverage.ground import Ground, lay_together, rectangle
from compaction.coverage.locations import Planned, Ticked
from compaction.models import LiftCover, LocationDraw, LocationSubstitution, TestVersion
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from compaction.register import PlacementRow, TestRow
from projects import canonical
from projects.access import Open
from projects.geometry.areas import Polygon, Spot, area_from_plain


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
    placements: tuple[PlacementRow, ...]
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
    for one in placement_rows(opened):
        key = one.area, one.lift
        placed[key] = max(placed.get(key, one.placed_at), one.placed_at)
    return [
        GroupLine(area, lift, at, *covers.get((area, lift), (None, None)), drawn.get((area, lift), 0))
        for (area, lift), at in sorted(placed.items(), key=lambda item: (item[1], item[0][1], item[0][0]), reverse=True)
    ]


def group_plan(opened: Open, area: str, lift: int) -> GroupPlan | None:
    """The plan of one group; None where nothing is placed. Seven statements."""
    on_lift = placement_rows(opened, lift=lift)
    placed = tuple(row for row in on_lift if row.area == area)
    if not placed:
        return None
    cover = LiftCover.objects.filter(project=opened.project, area=area, lift=lift).first()
    draws = tuple(LocationDraw.objects.filter(project=opened.project, area=area, lift=lift).order_by("id"))
    tests = _tests_of(opened, on_lift, area, lift)
    grounds = grounds_of(placed)
    required = None if cover is None else cover.required
    drawn = json.loads(draws[-1].drawn) if draws else None
    changed = drawn is not None and drawn["basis_sha256"] != basis_digest(placed)
    count = required or 0
    if drawn is not None and (not count or (not changed and count <= len(drawn["locations"]))):
        count = len(drawn["locations"])
    division = cells.divide(grounds, count=count, area=area, lift=lift)
    return GroupPlan(
        area=area,
        lift=lift,
        placements=placed,
        grounds=grounds,
        tests=tests,
        required=required,
        draws=draws,
        division=division,
        cells=cells.assign(division, tests),
        locations=_lines(opened, draws[-1], drawn, tests) if drawn is not None else (),
        fill_changed=changed,
    )


def draw_row(opened: Open, client_uuid: uuid.UUID) -> LocationDraw | None:
    """A draw by its id."""
    return LocationDraw.objects.filter(project=opened.project, client_uuid=client_uuid).first()


def basis_digest(placed: Iterable[PlacementRow]) -> str:
    """Names the fill that a draw was made on."""
    return canonical.digest({"placements": sorted([row.uuid, row.version] for row in placed)})


def grounds_of(placed: Sequence[PlacementRow]) -> tuple[Ground, ...]:
    """The fill of a group, one ground for each alignment and one for what is given by corners."""
    outlines: dict[str, list[tuple[tuple[float, float], ...]]] = {}
    for row in placed:
        shape = area_from_plain(json.loads(row.limits)).shape
        if isinstance(shape, Polygon):
            corners = tuple((float(easting), float(northing)) for easting, northing in shape.corners)
            outlines.setdefault("", []).append(corners)
        else:
            outlines.setdefault(shape.alignment, []).append(
                rectangle(
                    float(shape.station_from_m),
                    float(shape.station_to_m),
                    float(shape.offset_from_m),
                    float(shape.offset_to_m),
                )
            )
    return tuple(lay_together(found, alignment=code) for code, found in sorted(outlines.items()))


def elevation_at(
    placed: Sequence[PlacementRow], *, alignment: str, station_m: float, offset_m: float
) -> Decimal | None:
    """The top of the newest placement there that states one: the height of the finished lift."""
    pair = (Decimal(str(round(station_m, 4))), Decimal(str(round(offset_m, 4))))
    spot = Spot(on_lines={alignment: pair}) if alignment else Spot(easting_m=pair[0], northing_m=pair[1])
    for row in sorted(placed, key=lambda one: (one.placed_at, one.uuid), reverse=True):
        if row.elevation_top_m is not None and area_from_plain(json.loads(row.limits)).shape.contains(spot):
            return row.elevation_top_m
    return None


# ---- tests ---------------------------------------------------------------------------------------
def _tests_of(opened: Open, on_lift: Sequence[PlacementRow], area: str, lift: int) -> tuple[Tested, ...]:
    belongs = Placements(_placed(opened, row) for row in on_lift)
    tests = (_tested(opened, row) for row in test_rows(opened, TestFilter(lift=lift), limit=None))
    return tuple(test for test in tests if belongs.group_of(test) == (area, lift))


def _placed(opened: Open, row: PlacementRow) -> Placed:
    shape = area_from_plain(json.loads(row.limits)).shape
    common: dict[str, Any] = {
        "uuid": row.uuid, "area": row.area, "lift": row.lift, "placed_at": row.placed_at,
        "day": row.placed_at.astimezone(opened.project.zone_info).date(),
    }  # fmt: skip
    if isinstance(shape, Polygon):
        return Placed(**common, outline=tuple((float(easting), float(northing)) for easting, northing in shape.corners))
    return Placed(
        **common,
        alignment=shape.alignment,
        station_from_m=float(shape.station_from_m),
        station_to_m=float(shape.station_to_m),
        offset_from_m=float(shape.offset_from_m),
        offset_to_m=float(shape.offset_to_m),
    )


def _tested(opened: Open, row: TestRow) -> Tested:
    own = row.failure_uuid and not row.retest_of
    return Tested(
        uuid=row.uuid,
        label=row.label,
        performed_at=row.performed_at,
        day=row.performed_at.astimezone(opened.project.zone_info).date(),
        area=row.zone,
        lift=row.lift,
        method=row.method,
        purpose=row.purpose,
        result="pending" if row.result.startswith("pending") else row.result,
        original=not row.retest_of and not row.check_of,
        held=bool(row.open_holds),
        voided=row.voided,
        exempt=row.exempt,
        failure_state=row.failure_state if own else "",
        alignment=row.alignment,
        station_m=_float(row.station_m),
        offset_m=_float(row.offset_m),
        easting_m=_float(row.easting_m),
        northing_m=_float(row.northing_m),
    )


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _named(opened: Open, lift: int) -> dict[str, str]:
    """Test -> the location that it names, of the tests on a lift."""
    versions = TestVersion.objects.filter(
        test__project=opened.project, test__lift=lift, content__contains='"location":"'
    ).order_by("version")
    named = {}
    for client_uuid, content in versions.values_list("test__client_uuid", "content"):
        location = json.loads(content).get("location")  # the newest version speaks
        if location:
            named[str(client_uuid)] = location
    return named


# ---- locations -----------------------------------------------------------------------------------
def _lines(
    opened: Open, draw: LocationDraw, drawn: dict[str, Any], tests: Sequence[Tested]
) -> tuple[LocationLine, ...]:
    instead: dict[str, list[LocationSubstitution]] = {}
    for row in LocationSubstitution.objects.filter(draw=draw).order_by("attempt"):
        instead.setdefault(str(row.location), []).append(row)
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
        named=_named(opened, draw.lift),
    )
    lines = []
    for one, place in now:
        taken = instead.get(one["id"], [])
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
