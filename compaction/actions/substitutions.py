"""Substitute a location that can't be tested: another place in its cell, with a reason; the first one is kept."""

import json
import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from compaction.actions import kept
from compaction.actions.kept import Kept
from compaction.actions.locations import place_content, spot_content, told
from compaction.actions.refusals import NotCurrent, Refused, Unknown
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.coverage import cells, draws, locations
from compaction.coverage.draws import NoRoom
from compaction.models import LocationDraw, LocationSubstitution
from compaction.queries import set_up
from compaction.queries.limits import point_from_text
from compaction.queries.location_lines import LocationLine
from compaction.queries.locations import GroupPlan, draw_row, group_plan
from compaction.records.locations import SubstitutionRecord, read_substitution
from projects import canonical
from projects.access import Open

SUBSTITUTION = "location_substitution"


def substitute(
    *,
    opened: Open,
    draw_uuid: uuid.UUID,
    location: uuid.UUID,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    now: datetime,
) -> Kept[LocationSubstitution]:
    """Take another place in the same cell; the one that is given up stays on record.

    Raises `ReadingsError`, `ContentConflict`, `Unknown`, `NotCurrent` (the draw is replaced), `Refused` (tested
    already, or the place stated is not in the cell).
    """
    opened.require("draw-locations")
    record = read_substitution(body)
    sent = canonical.digest({"location": str(location), "content": body})
    try:
        with transaction.atomic():
            if known := kept.repeated(LocationSubstitution, opened, client_uuid, sent, subject_kind=SUBSTITUTION):
                return known
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
            receipt = told(opened, now, "location.substituted", SUBSTITUTION, client_uuid, {
                "draw": str(draw_uuid), "location": str(location), "attempt": attempt, "content": body,
                "content_sha256": sent, "place": place,
            })  # fmt: skip
    except IntegrityError as error:
        raise NotCurrent("Somebody substituted this location just now; look at it first.") from error
    return Kept(receipt, True, made)


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
    return place_content(plan, place)


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
    return spot_content(plan, line.alignment, float(station_m), float(offset_m))
