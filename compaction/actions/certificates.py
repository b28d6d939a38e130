"""Enter operators' certificates; tests of the person, or of everybody where they are the first, are looked at again."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from compaction import jobs
from compaction.actions import kept
from compaction.actions.kept import Kept
from compaction.actions.references import mark_tests
from compaction.actions.refusals import Refused
from compaction.models import OperatorCertificate, Test
from compaction.queries import instrument_use
from compaction.records.certificates import CertificateRecord, read
from projects import canonical, journal
from projects.access import Open

SUBJECT = "certificate"


def enter(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Kept[OperatorCertificate]:
    """Add a certificate. Raises `ReadingsError`, `ContentConflict`, `Refused` (nothing to replace)."""
    opened.require("enter-certificate")
    record = read(body)
    sent = canonical.digest(body)
    with transaction.atomic():
        if known := kept.repeated(OperatorCertificate, opened, client_uuid, sent, subject_kind=SUBJECT):
            return known
        reached = tests_reached(opened, record)
        row = OperatorCertificate.objects.create(
            **kept.as_sent(opened, client_uuid, body, now=now),
            person=record.facts.person,
            subject=record.facts.subject,
            valid_from=record.facts.valid_from,
            valid_until=record.facts.valid_until,
            replaces=record.replaces,
        )
        mark_tests(opened, reached, f"certificate of {record.facts.person} for {record.facts.subject}")
        entry = journal.Entry(
            kind="certificate.entered",
            subject_kind=SUBJECT,
            subject=str(client_uuid),
            subject_version=1,
            body={"content": body, "content_sha256": sent},
            changes_setup=True,
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Kept(receipt, True, row)


def tests_reached(opened: Open, record: CertificateRecord) -> QuerySet[Test]:
    """Tests that may change: the person's; everybody's where the project kept none of the kind until now.

    Raises `Refused` if the certificate to replace is not there.
    """
    facts, subjects, persons = record.facts, {record.facts.subject}, {record.facts.person}
    if record.replaces is not None:
        replaced = OperatorCertificate.objects.filter(project=opened.project, client_uuid=record.replaces).first()
        if replaced is None:
            raise Refused(f"There is no certificate {record.replaces} to replace.", code="nothing-to-replace")
        subjects.add(replaced.subject)
        persons.add(replaced.person)
    others = OperatorCertificate.objects.filter(project=opened.project, subject=facts.subject)
    if not others.exists() or record.replaces is not None:
        return instrument_use.those_certified(opened.project, subjects=subjects, persons=())
    return instrument_use.those_certified(opened.project, subjects=subjects, persons=persons)
