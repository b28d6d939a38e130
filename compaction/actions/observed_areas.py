"""Record a proof roll or an area that was observed. It counts as no test and closes no failure."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction.actions import kept
from compaction.actions.kept import Kept
from compaction.actions.refusals import Refused
from compaction.models import ObservedArea
from compaction.queries import set_up
from compaction.queries.limits import range_from_text
from compaction.records.observed_area import ObservedAreaRecord, read
from projects import canonical, journal
from projects.access import Open
from projects.geometry.areas import Area, area_to_plain

SUBJECT = "observed_area"


def record(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Kept[ObservedArea]:
    """Store what was watched. Raises `ReadingsError`, `ContentConflict`, `Refused` (nothing of that id to replace)."""
    opened.require("record-observation")
    seen = read(body)
    limits = _limits(opened, seen)
    sent = canonical.digest(body)
    with transaction.atomic():
        if known := kept.repeated(ObservedArea, opened, client_uuid, sent, subject_kind=SUBJECT):
            return known
        _check_replaced(opened, seen)
        row = ObservedArea.objects.create(
            **kept.as_sent(opened, client_uuid, body, now=now),
            kind=seen.kind,
            area=seen.area,
            lift=seen.lift,
            observed_at=seen.observed_at,
            alignment=seen.alignment,
            limits=canonical.text(limits),
            verdict=seen.verdict,
            replaces=seen.replaces,
        )
        entry = journal.Entry(
            kind="observed_area.recorded",
            subject_kind=SUBJECT,
            subject=str(client_uuid),
            subject_version=1,
            body={"content": body, "content_sha256": sent, "limits": limits},
            performed_at=str(body.get("observed_at", "")),
        )
        receipt = kept.told(opened, entry, now=now)
    return Kept(receipt, True, row)


def _limits(opened: Open, seen: ObservedAreaRecord) -> dict[str, Any]:
    shape = range_from_text(
        set_up.load(opened.project, setup_seq=opened.setup_seq),
        moment=seen.observed_at,
        alignment=seen.alignment,
        station_from=seen.station_from,
        station_to=seen.station_to,
        offset_from=seen.offset_from,
        offset_to=seen.offset_to,
    )
    return area_to_plain(Area(code=seen.kind.replace("_", "-"), kind="limit", shape=shape, name=seen.area))


def _check_replaced(opened: Open, seen: ObservedAreaRecord) -> None:
    if seen.replaces is None:
        return
    rows = ObservedArea.objects.filter(project=opened.project)
    if not rows.filter(client_uuid=seen.replaces).exists():
        raise Refused(
            f"There is no record {seen.replaces} to replace; give the id of the one that was written wrongly.",
            code="nothing-to-replace",
        )
    if rows.filter(replaces=seen.replaces).exists():
        raise Refused(
            f"The record {seen.replaces} is replaced already; replace the newer one instead.", code="nothing-to-replace"
        )
