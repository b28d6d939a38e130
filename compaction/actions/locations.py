"""Draw random locations for an area on a lift, and substitute one that can't be tested. Neither is ever undone."""

import json
import secrets
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from compaction.actions import kept
from compaction.actions.refusals import NotCurrent, Refused, Unknown
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.coverage import cells, draws, locations
from compaction.coverage.draws import NoRoom, Place
from compaction.models import LocationDraw, LocationSubstitution
from compaction.queries import set_up
from compaction.queries.limits import point_from_text
from compaction.queries.locations import (
    GroupPlan,
    LocationLine,
    basis_digest,
    draw_row,
    elevation_at,
    group_plan,
    location_uuid,
)
from compaction.records.locations import DrawRecord, SubstitutionRecord, read_draw, read_substitution
from projects import canonical, journal
from projects.access import Open

DRAW, SUBSTITUTION = "location_draw", "location_substitution"


@dataclass(frozen=True)
class Drawn:
    receipt: journal.Receipt
    created: bool
    draw: LocationDraw


@dataclass(frozen=True)
class Substituted:
    receipt: journal.Receipt
    created: bool
    substitution: LocationSubstitution


def draw(
    *, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime, seed: str | None = None
) -> Drawn:
    """Draw a place in each cell. The seed is made here, never sent: nobody can look for one that suits.

    `seed` is for scenarios that must come out the same. Raises `ReadingsError`, `ContentConflict`, `NotCurrent`
    (another draw is in force), `Refused` (nothing placed, number not known, margin too wide).
    """
    opened.require("draw-locations")
    record = read_draw(body)
    sent = canonical.digest(body)
    try:
        with transaction.atomic():
            known = kept.known(LocationDraw, opened, client_uuid, sent)
            if known is not None:
                return Drawn(kept.receipt_of(opened, DRAW, client_uuid), False, known)
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
            receipt = _told(opened, now, "locations.drawn", DRAW, client_uuid, {
                "content": body, "content_sha256": sent, "seed": chosen, "algorithm": draws.ALGORITHM, "drawn": drawn,
            })  # fmt: skip
    except IntegrityError as error:  # somebody else drew for this group between our look and our write
        raise NotCurrent("Another draw of this area and lift was made just now; look at it first.") from error
    return Drawn(receipt, True, row)


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
                "id": location_uuid(client_uuid, place.cell.number),
                "cell": place.cell.number,
                "alignment": place.cell.alignment,
                "window": [
                    _metres(value)
                    for value in (
                        place.cell.station_from_m, place.cell.station_to_m,
                        place.cell.offset_from_m, place.cell.offset_to_m,
                    )
                ],
                **_place(plan, place),
            }
            for place in places
        ],
    }  # fmt: skip


def _metres(value: float) -> str:
    return f"{value:.6f}"


def _place(plan: GroupPlan, place: Place) -> dict[str, Any]:
    return {
        "u1": f"{place.u1:.{draws.DECIMALS}f}",
        "u2": f"{place.u2:.{draws.DECIMALS}f}",
        **_spot(plan, place.cell.alignment, place.station_m, place.offset_m),
    }


def _spot(plan: GroupPlan, alignment: str, station_m: float, offset_m: float) -> dict[str, Any]:
    elevation = elevation_at(plan.placements, alignment=alignment, station_m=station_m, offset_m=offset_m)
    return {
        "station_m": f"{station_m:.4f}",
        "offset_m": f"{offset_m:.4f}",
        "elevation_m": None if elevation is None else f"{elevation:.4f}",
    }


def substitute(
    *,
    opened: Open,
    draw_uuid: uuid.UUID,
    location: uuid.UUID,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    now: datetime,
) -> Substituted:
    """Take another place in the same cell; the one that is given up stays on record.

    Raises `ReadingsError`, `ContentConflict`, `Unknown`, `NotCurrent` (the draw is replaced), `Refused` (tested
    already, or the place stated is not in the cell).
    """
    opened.require("draw-locations")
    record = read_substitution(body)
    sent = canonical.digest({"location": str(location), "content": body})
    try:
        with transaction.atomic():
            known = kept.known(LocationSubstitution, opened, client_uuid, sent)
            if known is not None:
                return Substituted(kept.receipt_of(opened, SUBSTITUTION, client_uuid), False, known)
            row, plan, line = _line(opened, draw_uuid, location)
            attempt = line.attempt + 1
            place = _instead(opened, row, plan, line, record, now, attempt)
            made = LocationSubstitution.objects.create(
                project=opened.project,
                client_uuid=client_uuid,
                draw=row,
                location=location,
                attempt=attempt,
                reason_code=record.reason_code,
                reason=record.reason,
                content=canonical.text(body),
                content_sha256=sent,
                place=canonical.text(place),
                author=opened.actor.person or opened.actor.ident,
                received_at=now,
            )
            receipt = _told(opened, now, "location.substituted", SUBSTITUTION, client_uuid, {
                "draw": str(draw_uuid), "location": str(location), "attempt": attempt, "content": body,
                "content_sha256": sent, "place": place,
            })  # fmt: skip
    except IntegrityError as error:
        raise NotCurrent("Somebody substituted this location just now; look at it first.") from error
    return Substituted(receipt, True, made)


def _line(opened: Open, draw_uuid: uuid.UUID, location: uuid.UUID) -> tuple[LocationDraw, GroupPlan, LocationLine]:
    row = draw_row(opened, draw_uuid)
    plan = None if row is None else group_plan(opened, row.area, row.lift)
    if row is None or plan is None:
        raise Unknown("There is no such draw in this project.")
    if plan.draw is None or plan.draw.pk != row.pk:
        raise NotCurrent("This draw has been replaced by another; its locations are no longer in force.")
    line = next((one for one in plan.locations if one.uuid == str(location)), None)
    if line is None:
        raise Unknown("There is no such location in this draw.")
    if line.state == locations.DONE:
        name = line.ticked.label or line.ticked.test[:8]
        raise Refused(f"Test {name} was made there already.", code="tested-already")
    return row, plan, line


def _instead(
    opened: Open,
    row: LocationDraw,
    plan: GroupPlan,
    line: LocationLine,
    record: SubstitutionRecord,
    now: datetime,
    attempt: int,
) -> dict[str, Any]:
    """The place taken instead: as stated, else the next random one of the same cell, on the fill as it is now."""
    drawn = json.loads(row.drawn)
    kept_window = next(one for one in drawn["locations"] if one["id"] == line.uuid)["window"]
    if record.station:
        return {"u1": "", "u2": "", **_stated(opened, plan, line, record, now, kept_window)}
    division = cells.divide(plan.grounds, count=len(drawn["locations"]), area=plan.area, lift=plan.lift)
    if plan.fill_changed:
        raise NotCurrent("Fill was placed or corrected since this draw, so its cells have moved; draw again first.")
    try:
        [place] = draws.draw(
            division,
            seed=row.seed,
            edge_margin_m=float(drawn["edge_margin_m"]),
            numbers=[line.cell],
            attempt=attempt,
        )
    except NoRoom as error:
        raise Refused(str(error), code="no-room") from error
    return _place(plan, place)


def _stated(
    opened: Open, plan: GroupPlan, line: LocationLine, record: SubstitutionRecord, now: datetime, window: list[str]
) -> dict[str, Any]:
    if not line.alignment:
        raise ReadingsError(
            [ReadingError("/station", "no-alignment", "This fill has no alignment; leave station and offset out.")]
        )
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    station_m, offset_m = point_from_text(
        under, moment=now, alignment=line.alignment, station=record.station, offset=record.offset
    )
    station_from, station_to, offset_from, offset_to = map(Decimal, window)
    if not (station_from <= station_m <= station_to and offset_from <= offset_m <= offset_to):
        raise Refused(
            f"Station {record.station}, {record.offset} is not in cell {line.cell}; a substitute stays in its cell, so "
            "that no part of the lift is left out.",
            code="outside-the-cell",
        )
    return _spot(plan, line.alignment, float(station_m), float(offset_m))


def _told(
    opened: Open, now: datetime, kind: str, subject_kind: str, client_uuid: uuid.UUID, body: dict[str, Any]
) -> journal.Receipt:
    [receipt], _ = journal.append(
        project=opened.project,
        actor=opened.actor,
        now=now,
        entries=[
            journal.Entry(
                kind=kind,
                subject_kind=subject_kind,
                subject=str(client_uuid),
                subject_version=1,
                body=body,
                performed_at=now.isoformat(),
            )
        ],
    )
    return receipt
