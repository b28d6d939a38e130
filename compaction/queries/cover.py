"""What lies over a spot: placements on higher lifts, failing that tests made there on a higher lift."""

import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from compaction.models import PlacementVersion, Test
from projects.geometry.areas import Area, Spot, area_from_plain
from projects.models import Project

FEW = 8


@dataclass(frozen=True)
class TestAbove:
    """A test that may lie over a failed spot."""

    label: str
    uuid: str
    lift: int
    performed_at: datetime
    easting_m: Decimal
    northing_m: Decimal


@dataclass(frozen=True)
class Cover:
    """Everything of a project that can lie over the spots it was read for. Two statements, however many spots."""

    project: Project
    placements: tuple[tuple[PlacementVersion, Area], ...]
    cells: dict[tuple[int, int], list[TestAbove]]

    def over(self, spot: Test, *, since: datetime, until: datetime | None) -> str:
        """The first thing put over the spot within a time, in words; empty if nothing was."""
        if spot.lift is None or spot.easting_m is None or spot.northing_m is None:
            return ""
        where = spot_of(spot)
        for placement, limits in self.placements:
            within = since <= placement.placed_at and (until is None or placement.placed_at <= until)
            if placement.lift > spot.lift and within and limits.contains(where):
                return f"lift {placement.lift} placed {self._day(placement.placed_at)} in {placement.area}"
        radius = self.project.failure_radius_m
        column, row = _cell(spot.easting_m, spot.northing_m, radius)
        near = (
            test
            for east in (column - 1, column, column + 1)
            for north in (row - 1, row, row + 1)
            for test in self.cells.get((east, north), ())
        )
        above = [
            test
            for test in near
            if test.lift > spot.lift
            and since <= test.performed_at
            and (until is None or test.performed_at <= until)
            and (test.easting_m - spot.easting_m) ** 2 + (test.northing_m - spot.northing_m) ** 2 <= radius**2
        ]
        if not above:
            return ""
        first = min(above, key=lambda test: (test.performed_at, test.uuid))
        return f"test {first.label or first.uuid[:8]} on lift {first.lift}, {self._day(first.performed_at)}"

    def _day(self, moment: datetime) -> str:
        return moment.astimezone(self.project.zone_info).date().isoformat()


def read(project: Project, spots: Iterable[Test]) -> Cover:
    """What can lie over the spots."""
    placed = [
        (spot.lift, spot.easting_m, spot.northing_m)
        for spot in spots
        if spot.lift is not None and spot.easting_m is not None and spot.northing_m is not None
    ]
    if not placed:
        return Cover(project, (), {})
    lowest = min(lift for lift, _, _ in placed)
    current: dict[uuid.UUID, PlacementVersion] = {}
    for row in PlacementVersion.objects.filter(project=project).order_by("client_uuid", "version"):
        current[row.client_uuid] = row
    placements = sorted(
        (row for row in current.values() if row.lift > lowest), key=lambda row: (row.placed_at, row.lift)
    )
    radius = project.failure_radius_m
    tests = Test.objects.filter(project=project, voided=False, lift__gt=lowest, easting_m__isnull=False)
    if len(placed) <= FEW:
        boxes = Q()
        for _, easting, northing in placed:
            boxes |= Q(
                easting_m__range=(easting - radius, easting + radius),
                northing_m__range=(northing - radius, northing + radius),
            )
        tests = tests.filter(boxes)
    wanted = {
        (column + east, row + north)
        for column, row in {_cell(easting, northing, radius) for _, easting, northing in placed}
        for east in (-1, 0, 1)
        for north in (-1, 0, 1)
    }
    cells: dict[tuple[int, int], list[TestAbove]] = {}
    columns = tests.values_list("easting_m", "northing_m", "lift", "performed_at", "client_uuid", "label")
    for east_m, north_m, lift, performed_at, client_uuid, label in columns.iterator(chunk_size=2000):
        if east_m is None or north_m is None or lift is None:
            continue
        cell = _cell(east_m, north_m, radius)
        if cell in wanted:
            above = TestAbove(label, str(client_uuid), lift, performed_at, east_m, north_m)
            cells.setdefault(cell, []).append(above)
    return Cover(project, tuple((row, area_from_plain(json.loads(row.limits))) for row in placements), cells)


def _cell(easting_m: Decimal, northing_m: Decimal, size_m: Decimal) -> tuple[int, int]:
    return int(easting_m // size_m), int(northing_m // size_m)


def spot_of(test: Test) -> Spot:
    """Where a test is, as areas ask for it."""
    on_lines = {}
    if test.alignment and test.station_m is not None and test.offset_m is not None:
        on_lines[test.alignment] = (test.station_m, test.offset_m)
    return Spot(
        easting_m=test.easting_m,
        northing_m=test.northing_m,
        on_lines=on_lines,
        elevation_m=test.elevation_m,
        depth_below_grade_m=test.depth_below_grade_m,
    )
