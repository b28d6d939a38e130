"""The locations of one draw: where each stands now, and what became of it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import F

from compaction.coverage import cells, locations
from compaction.coverage.facts import Tested
from compaction.coverage.locations import Planned, Ticked
from compaction.models import LocationSubstitution, TestVersion
from projects.access import Open


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


def named_locations(opened: Open, lift: int | None) -> dict[str, str]:
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


def location_lines(
    drawn: dict[str, Any],
    tests: Sequence[Tested],
    instead: Mapping[str, Sequence[LocationSubstitution]],
    named: Mapping[str, str],
) -> tuple[LocationLine, ...]:
    """The locations of a draw by cell, each where it stands now, ticked off by the tests of the group."""
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
