"""Record samples of soil. A later revision reaches the tests of every reference that names the sample."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from compaction import jobs
from compaction.actions import revisions
from compaction.actions.references import mark_tests, standing_on
from compaction.actions.revisions import Issued
from compaction.models import Test
from compaction.models.samples import SampleRevision
from compaction.queries import laboratory
from compaction.records import sample
from projects import canonical
from projects.access import Open


def record(*, opened: Open, code: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a revision. Raises `ReadingsError`, `ContentConflict`, `Refused` (not the next number)."""
    opened.require("enter-reference")
    read = sample.read(body, code=code, rev=rev)
    content = canonical.text(body)
    with transaction.atomic():
        if known := revisions.repeated(SampleRevision, opened, code, rev, content):
            return known
        row = SampleRevision.objects.create(
            **revisions.as_sent(opened, code, rev, content, digest=read.digest, reason=read.reason, now=now),
            description=read.description,
            group_symbol=read.facts.group_symbol,
        )
        references = laboratory.references_of(opened.project.pk, code)
        if references:
            standing = Q()
            for reference in references:
                standing |= standing_on(opened, reference)
            mark_tests(opened, Test.objects.filter(standing), f"sample {code} rev {rev}")
        issued = revisions.told(opened, "sample.recorded", row, body, digest=read.digest, reason=read.reason, now=now)
    if references:
        jobs.wake_sweep()
    return issued
