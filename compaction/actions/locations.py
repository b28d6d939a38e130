"""Draw random locations for an area on a lift. A draw is never undone; another takes its place, with a reason."""

import secrets
import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from compaction.actions import kept
from compaction.actions.kept import Kept
from compaction.actions.refusals import NotCurrent, Refused
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.coverage import cells, draws, locations
from compaction.coverage.draws import NoRoom, Place
from compaction.coverage.fill import basis_digest, elevation_at
from compaction.models import LocationDraw
from compaction.queries.locations import (
    GroupPlan,
    group_plan,
)
from compaction.records.locations import DrawRecord, read_draw
from projects import canonical, journal
from projects.access import Open

DRAW = "location_draw"


def draw(
    *, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime, seed: str | None = None
) -> Kept[LocationDraw]:
    """Draw a place in each cell. The seed is made here, never sent: nobody can look for one that suits.

    `seed` is for scenarios that must come out the same. Raises `ReadingsError`, `ContentConflict`, `NotCurrent`
    (another draw is in force), `Refused` (nothing placed, number not known, margin too wide).
    """
    opened.require("draw-locations")
    record = read_draw(body)
    sent = canonical.digest(body)
    try:
        with transaction.atomic():
            if known := kept.repeated(LocationDraw, opened, client_uuid, sent, subject_kind=DRAW):
                return known
            plan = _plan(opened, record, now)
            chosen = seed or secrets.token_hex(8)
            drawn = _drawn(plan, record, client_uuid, chosen)
            row = LocationDraw.objects.create(
                project=opened.project,
                client_uuid=client_uuid,
                area=record.area,
                lift=record.lift,
                seed=chosen,
                algorithm=draws.ALGORITHM,
                supersedes=record.replaces,
                reason_code=record.reason_code,
                reason=record.reason,
                content=canonical.text(body),
                content_sha256=sent,
                drawn=canonical.text(drawn),
                author=opened.actor.person or opened.actor.ident,
                drawn_at=now,
            )
            receipt = told(opened, now, "locations.drawn", DRAW, client_uuid, {
                "content": body, "content_sha256": sent, "seed": chosen, "algorithm": draws.ALGORITHM, "drawn": drawn,
            })  # fmt: skip
    except IntegrityError as error:  # somebody else drew for this group between our look and our write
        raise NotCurrent("Another draw of this area and lift was made just now; look at it first.") from error
    return Kept(receipt, True, row)


def _plan(opened: Open, record: DrawRecord, now: datetime) -> GroupPlan:
    plan = group_plan(opened, record.area, record.lift)
    if plan is None or not any(row.placed_at <= now for row in plan.placements):
        raise Refused(
            f"No fill is on record for lift {record.lift} in {record.area}; locations are drawn after it is placed.",
            code="nothing-placed",
        )
    in_force = None if plan.draw is None else plan.draw.client_uuid
    if record.replaces != in_force:
        if in_force is None:
            raise NotCurrent("There is no draw here to replace; leave 'replaces' out.")
        raise NotCurrent(
            f"Draw {in_force} is in force here; to draw again name it as 'replaces' and say why.",
        )
    return plan


def _drawn(plan: GroupPlan, record: DrawRecord, client_uuid: uuid.UUID, seed: str) -> dict[str, Any]:
    """What was drawn, whole: the fill it stands on, the cells, U1, U2 and places."""
    count = record.tests or plan.required
    if not count:
        raise ReadingsError(
            [ReadingError("/tests", "missing", "How many tests are required here is not known; say how many to draw.")]
        )
    division = cells.divide(plan.grounds, count=count, area=plan.area, lift=plan.lift)
    try:
        places = draws.draw(division, seed=seed, edge_margin_m=float(record.edge_margin_m))
    except NoRoom as error:
        raise ReadingsError([ReadingError("/edge_margin", "no-room", str(error))]) from error
    return {
        "required": plan.required,
        "placements": sorted(row.uuid for row in plan.placements),
        "basis_sha256": basis_digest(plan.placements),
        "edge_margin_m": format(record.edge_margin_m, "f"),
        "done_within_m": format(record.done_within_m, "f"),
        "locations": [
            {
                "id": locations.location_uuid(client_uuid, place.cell.number),
                "cell": place.cell.number,
                "alignment": place.cell.alignment,
                "window": [
                    _metres(value)
                    for value in (
                        place.cell.station_from_m, place.cell.station_to_m,
                        place.cell.offset_from_m, place.cell.offset_to_m,
                    )
                ],
                **place_content(plan, place),
            }
            for place in places
        ],
    }  # fmt: skip


def _metres(value: float) -> str:
    return f"{value:.6f}"


def place_content(plan: GroupPlan, place: Place) -> dict[str, Any]:
    """A random place as it is kept, with U1 and U2."""
    return {
        "u1": f"{place.u1:.{draws.DECIMALS}f}",
        "u2": f"{place.u2:.{draws.DECIMALS}f}",
        **spot_content(plan, place.cell.alignment, place.station_m, place.offset_m),
    }


def spot_content(plan: GroupPlan, alignment: str, station_m: float, offset_m: float) -> dict[str, Any]:
    """A place as it is kept, with the height of the lift there."""
    elevation = elevation_at(plan.placements, alignment=alignment, station_m=station_m, offset_m=offset_m)
    return {
        "station_m": f"{station_m:.4f}",
        "offset_m": f"{offset_m:.4f}",
        "elevation_m": None if elevation is None else f"{elevation:.4f}",
    }


def told(
    opened: Open, now: datetime, kind: str, subject_kind: str, client_uuid: uuid.UUID, body: dict[str, Any]
) -> journal.Receipt:
    """Write it into the journal, last of all."""
    entry = journal.Entry(
        kind=kind,
        subject_kind=subject_kind,
        subject=str(client_uuid),
        subject_version=1,
        body=body,
        performed_at=now.isoformat(),
    )
    return kept.told(opened, entry, now=now)
