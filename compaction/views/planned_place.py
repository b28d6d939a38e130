"""A planned location as the beginning of a test: its station, offset and lift stand in the entry form."""

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.queries.location_places import place
from compaction.queries.locations import find_location
from projects.access import Open


@dataclass(frozen=True)
class PlannedPlace:
    """What the form is filled in with, and the words over it."""

    location: str
    cell: int
    lift: int
    area: str
    content: dict[str, Any]


def planned_place(opened: Open, written: str, *, now: datetime) -> PlannedPlace | None:
    """The location of a draw in force; None for anything else. The elevation is left to whoever measures it."""
    try:
        location = uuid.UUID(written)
    except ValueError:
        return None
    found = find_location(opened, location)
    if found is None:
        return None
    plan, line = found
    content: dict[str, Any] = {"lift": plan.lift}
    there = place(opened, line, now=now)
    if line.alignment:
        offset = "0" if there.field_offset == "CL" else " ".join(there.field_offset.split()[::2])  # "15 ft L": "15 L"
        content["position"] = {"alignment": line.alignment, "station": there.field_station, "offset": offset}
    return PlannedPlace(line.uuid, line.cell, plan.lift, plan.area, content)
