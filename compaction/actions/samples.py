"""Record samples of soil. A later revision reaches the tests of every reference that names the sample."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from compaction import jobs
from compaction.actions.references import Issued, check_next, mark_tests, standing_on
from compaction.actions.refusals import ContentConflict
from compaction.models import Test
from compaction.models.samples import SampleRevision
from compaction.queries import laboratory
from compaction.records import sample
from projects import canonical, journal
from projects.access import Open


def record(*, opened: Open, code: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a revision. Raises `ReadingsError`, `ContentConflict`, `Refused` (not the next number)."""
    opened.require("enter-reference")
    read = sample.read(body, code=code, rev=rev)
    content = canonical.text(body)
    with transaction.atomic():
        known = SampleRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
        if known is not None:
            if known.content != content:
                raise ContentConflict(
                    stored_sha256=canonical.digest(known.content), sent_sha256=canonical.digest(content)
                )
            return Issued(False, known, None)
        check_next(SampleRevision, opened, code, rev)
        row = SampleRevision.objects.create(
            project=opened.project,
            code=code,
            rev=rev,
            description=read.description,
            group_symbol=read.facts.group_symbol,
            content=content,
            digest=read.digest,
            reason=read.reason,
            author=opened.actor.person or opened.actor.ident,
            received_at=now,
        )
        references = laboratory.references_of(opened.project.pk, code)
        if references:
            standing = Q()
            for reference in references:
                standing |= standing_on(opened, reference)
            mark_tests(opened, Test.objects.filter(standing), f"sample {code} rev {rev}")
        [receipt], _ = journal.append(
            project=opened.project,
            actor=opened.actor,
            now=now,
            entries=[
                journal.Entry(
                    kind="sample.recorded",
                    subject_kind="sample",
                    subject=code,
                    subject_version=rev,
                    body={"content": body, "digest": read.digest},
                    reason=read.reason,
                    changes_setup=True,
                )
            ],
        )
    if references:
        jobs.wake_sweep()
    return Issued(True, row, receipt)
