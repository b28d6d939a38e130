"""Register gauges and other instruments, with the period in which their calibration holds."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions.references import Issued, mark_tests
from compaction.actions.refusals import ContentConflict, Refused
from compaction.models import ApparatusRecord, Test
from compaction.records.follow_up import read_apparatus
from projects import canonical, journal
from projects.access import Open


def register(*, opened: Open, serial: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a record of an instrument; tests of the project are looked at again."""
    opened.require("enter-apparatus")
    record = read_apparatus(body, serial=serial)
    if record.valid_until and record.valid_until < record.valid_from:
        raise Refused("The period ends before it begins; check the two days.", code="period-crossed")
    with transaction.atomic():
        known = ApparatusRecord.objects.filter(project=opened.project, serial=serial, rev=rev).first()
        if known is not None:
            stored = canonical.text(
                [known.kind, known.name, known.values, str(known.valid_from), str(known.valid_until)]
            )
            sent = canonical.text(
                [
                    record.kind,
                    record.name,
                    canonical.text(dict(record.values)),
                    str(record.valid_from),
                    str(record.valid_until),
                ]
            )
            if stored != sent:
                raise ContentConflict(stored_sha256=canonical.digest(stored), sent_sha256=canonical.digest(sent))
            return Issued(False, known, None)
        latest = (
            ApparatusRecord.objects.filter(project=opened.project, serial=serial)
            .order_by("-rev")
            .values_list("rev", flat=True)
            .first()
        )
        if rev != (latest or 0) + 1:
            raise Refused(
                f"The next record of {serial} is {(latest or 0) + 1}, not {rev}.", code="revision-out-of-order"
            )
        row = ApparatusRecord.objects.create(
            project=opened.project,
            serial=serial,
            rev=rev,
            kind=record.kind,
            name=record.name,
            values=canonical.text(dict(record.values)),
            valid_from=record.valid_from,
            valid_until=record.valid_until,
            author=opened.actor.person or opened.actor.ident,
            received_at=now,
        )
        mark_tests(
            opened, Test.objects.filter(performed_at__date__gte=record.valid_from), f"apparatus {serial} rev {rev}"
        )
        [receipt], _ = journal.append(
            project=opened.project,
            actor=opened.actor,
            now=now,
            entries=[
                journal.Entry(
                    kind="apparatus.registered",
                    subject_kind="apparatus",
                    subject=serial,
                    subject_version=rev,
                    body={"content": body},
                    changes_setup=True,
                )
            ],
        )
    jobs.wake_sweep()
    return Issued(True, row, receipt)
