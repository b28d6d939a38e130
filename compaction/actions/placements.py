"""Record fill as placed. Placing over an open failure is recorded and loud, never refused."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from compaction import jobs
from compaction.actions import coverage_marks
from compaction.actions.refusals import ContentConflict, NotCurrent
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.models import Failure, PlacementVersion
from compaction.queries import coverage_rows, set_up
from compaction.queries.limits import STEP_M, range_from_text
from compaction.records.follow_up import PlacementRecord, read_placement
from projects import canonical, journal, stale
from projects.access import Open
from projects.geometry.areas import Area, AreaError, Polygon, area_to_plain
from projects.models import JournalEvent


@dataclass(frozen=True)
class Placed:
    receipt: journal.Receipt
    created: bool
    placement: PlacementVersion


def record(
    *, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime, replaces: int = 0
) -> Placed:
    """Store a placement (`replaces` 0) or a new version of one. Failures beneath it are looked at again."""
    opened.require("submit-placement")
    placed = read_placement(body)
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    limits = _limits(placed, under)
    sent = canonical.digest(body)
    with transaction.atomic():
        versions = list(
            PlacementVersion.objects.filter(project=opened.project, client_uuid=client_uuid).order_by("version")
        )
        same = next((row for row in versions if row.content_sha256 == sent), None)
        if same is not None:
            return Placed(_receipt(opened, client_uuid, same.version), False, same)
        if versions and replaces == 0:
            raise ContentConflict(stored_sha256=versions[-1].content_sha256, sent_sha256=sent)
        if replaces != (versions[-1].version if versions else 0):
            raise NotCurrent(f"The current version is {versions[-1].version if versions else 0}, not {replaces}.")
        row = PlacementVersion.objects.create(
            project=opened.project,
            client_uuid=client_uuid,
            version=replaces + 1,
            area=placed.area,
            lift=placed.lift,
            placed_at=placed.placed_at,
            alignment=placed.alignment,
            elevation_top_m=placed.elevation_top_m,
            thickness_m=placed.thickness_m,
            quantity_m3=placed.quantity_m3,
            limits=canonical.text(area_to_plain(limits)),
            content=canonical.text(body),
            content_sha256=sent,
            author=opened.actor.person or opened.actor.ident,
            received_at=now,
        )
        beneath = Failure.objects.filter(
            Q(closed_at__isnull=True) | Q(closed_at__gte=placed.placed_at),
            project=opened.project,
            opened_at__lte=placed.placed_at,
        ).values_list("root_test", flat=True)
        stale.mark(
            project=opened.project,
            marks=[
                *(stale.Mark("chain", str(root), f"lift {placed.lift} placed in {placed.area}") for root in beneath),
                _mark(opened, row, versions),
            ],
        )
        [receipt], _ = journal.append(
            project=opened.project,
            actor=opened.actor,
            now=now,
            entries=[
                journal.Entry(
                    kind="placement.recorded",
                    subject_kind="placement",
                    subject=str(client_uuid),
                    subject_version=row.version,
                    body={"content": body, "content_sha256": sent, "limits": area_to_plain(limits)},
                    performed_at=str(body.get("placed_at", "")),
                )
            ],
        )
    jobs.wake_sweep()
    return Placed(receipt, True, row)


def _mark(opened: Open, row: PlacementVersion, before: list[PlacementVersion]) -> stale.Mark:
    """What of the cover may change: the lift and what its fill reaches, or everything.

    Everything where fill moved, because what it left is not told from what is there; and where the first limits come
    that only outlines can compare with others (`coverage_rows.compared_by_outline`).
    """
    cause = f"lift {row.lift} placed in {row.area}"
    if any((one.area, one.lift, one.limits) != (row.area, row.lift, row.limits) for one in before[-1:]):
        return coverage_marks.everything(cause)
    others = PlacementVersion.objects.filter(project=opened.project).exclude(pk=row.pk).order_by()
    lines = set(others.values_list("alignment", flat=True).distinct())
    by_outline = coverage_rows.compared_by_outline
    if by_outline(lines) != by_outline(lines | {row.alignment}):
        return coverage_marks.everything(cause)
    return coverage_marks.placed(row.lift, cause)


def _limits(placed: PlacementRecord, under: set_up.SetUp) -> Area:
    if placed.outline:
        return Area(code=f"lift-{placed.lift}", kind="limit", shape=_outline(placed), name=placed.area)
    shape = range_from_text(
        under,
        moment=placed.placed_at,
        alignment=placed.alignment,
        station_from=placed.station_from,
        station_to=placed.station_to,
        offset_from=placed.offset_from,
        offset_to=placed.offset_to,
    )
    return Area(code=f"lift-{placed.lift}", kind="limit", shape=shape, name=placed.area)


def _outline(placed: PlacementRecord) -> Polygon:
    try:
        corners = tuple((easting.quantize(STEP_M), northing.quantize(STEP_M)) for easting, northing in placed.outline)
        return Polygon(corners)
    except AreaError as error:
        raise ReadingsError([ReadingError("/outline", "limits", str(error))]) from error


def _receipt(opened: Open, client_uuid: uuid.UUID, version: int) -> journal.Receipt:
    event = JournalEvent.objects.select_related("project").get(
        project=opened.project, subject_kind="placement", subject=str(client_uuid), subject_version=version
    )
    return journal.receipt_of(event)
