"""Enter standard counts of a gauge. The verdict is derived; tests made with the gauge since are looked at again."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import kept
from compaction.actions.kept import Kept
from compaction.actions.references import mark_tests
from compaction.actions.refusals import Refused
from compaction.models import StandardCount
from compaction.queries import instrument_use
from compaction.records.standard_counts import StandardCountRecord, read
from projects import canonical, journal
from projects.access import Open

SUBJECT = "standard_count"


def enter(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Kept[StandardCount]:
    """Add counts as taken. Raises `ReadingsError`, `ContentConflict`, `Refused` (replaces a count of another gauge)."""
    opened.require("enter-count")
    record = read(body)
    sent = canonical.digest(body)
    with transaction.atomic():
        if known := kept.repeated(StandardCount, opened, client_uuid, sent, subject_kind=SUBJECT):
            return known
        since = since_when(opened, record)
        row = StandardCount.objects.create(
            **kept.as_sent(opened, client_uuid, body, now=now),
            serial=record.serial,
            purpose=record.purpose,
            taken_at=record.taken_at,
            replaces=record.replaces,
        )
        mark_tests(
            opened,
            instrument_use.those_since(opened.project, record.serial, since=since),
            f"standard count of {record.serial} of {record.taken_at:%Y-%m-%d}",
        )
        entry = journal.Entry(
            kind="standard_count.entered",
            subject_kind=SUBJECT,
            subject=str(client_uuid),
            subject_version=1,
            body={"content": body, "content_sha256": sent},
            performed_at=str(body.get("taken_at", "")),
            changes_setup=True,
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Kept(receipt, True, row)


def since_when(opened: Open, record: StandardCountRecord) -> datetime:
    """The moment from which tests can depend on a count: its own, or that of the count it replaces, if earlier."""
    if record.replaces is None:
        return record.taken_at
    replaced = StandardCount.objects.filter(project=opened.project, client_uuid=record.replaces).first()
    if replaced is None or replaced.serial != record.serial:
        raise Refused(
            f"There is no count {record.replaces} of {record.serial} to replace; give the id of the count that was "
            "written wrongly.",
            code="nothing-to-replace",
        )
    return min(record.taken_at, replaced.taken_at)
