"""Register gauges and other instruments with their calibrations; tests that use them are looked at again."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import kept
from compaction.actions.references import mark_tests
from compaction.actions.refusals import ContentConflict, Refused
from compaction.actions.revisions import Issued
from compaction.models import ApparatusRecord
from compaction.queries import instrument_use
from compaction.records import apparatus
from projects import canonical, journal
from projects.access import Open


def register(*, opened: Open, serial: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a record of an instrument. Raises `ReadingsError`, `ContentConflict`, `Refused` (period, not the next)."""
    opened.require("enter-apparatus")
    record = read_record(body, serial=serial)
    content = canonical.text(body)
    with transaction.atomic():
        known = ApparatusRecord.objects.filter(project=opened.project, serial=serial, rev=rev).first()
        if known is not None:
            _same(known, record, content)
            return Issued(False, known, None)
        check_next(opened, serial, rev)
        row = ApparatusRecord.objects.create(
            project=opened.project,
            serial=serial,
            rev=rev,
            kind=record.kind,
            name=record.name,
            values=canonical.text(dict(record.values)),
            content=content,
            valid_from=record.valid_from,
            valid_until=record.valid_until,
            author=opened.actor.person or opened.actor.ident,
            received_at=now,
        )
        serials = instrument_use.reached_through(opened.project, serial, belongs_to=record.belongs_to)
        mark_tests(opened, instrument_use.those_naming(opened.project, serials), f"apparatus {serial} rev {rev}")
        entry = journal.Entry(
            kind="apparatus.registered",
            subject_kind="apparatus",
            subject=serial,
            subject_version=rev,
            body={"content": body},
            changes_setup=True,
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Issued(True, row, receipt)


def read_record(body: Mapping[str, Any], *, serial: str) -> apparatus.ApparatusRecord:
    """The record as read. Raises `ReadingsError`, and `Refused` for a period that ends before it begins."""
    record = apparatus.read(body, serial=serial)
    if record.valid_until and record.valid_until < record.valid_from:
        raise Refused("The period ends before it begins; check the two days.", code="period-crossed")
    return record


def check_next(opened: Open, serial: str, rev: int) -> None:
    """Records of an instrument count from 1 without gaps. Raises `Refused`."""
    latest = (
        ApparatusRecord.objects.filter(project=opened.project, serial=serial)
        .order_by("-rev")
        .values_list("rev", flat=True)
        .first()
    )
    if rev != (latest or 0) + 1:
        raise Refused(f"The next record of {serial} is {(latest or 0) + 1}, not {rev}.", code="revision-out-of-order")


def _same(known: ApparatusRecord, record: apparatus.ApparatusRecord, content: str) -> None:
    """Whether the record on file says the same; one from before contents were kept is compared by its columns."""
    stored, sent = known.content, content
    if not stored:
        stored = _columns(known.kind, known.name, known.values, known.valid_from, known.valid_until)
        values = canonical.text(dict(record.values))
        sent = _columns(record.kind, record.name, values, record.valid_from, record.valid_until)
    if stored != sent:
        raise ContentConflict(stored_sha256=canonical.digest(stored), sent_sha256=canonical.digest(sent))


def _columns(kind: str, name: str, values: str, valid_from: Any, valid_until: Any) -> str:
    return canonical.text([kind, name, values, str(valid_from), str(valid_until)])
