"""Issue and approve specification revisions."""

import json
import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import decisions, revisions
from compaction.actions.references import approve_revision, mark_tests
from compaction.actions.refusals import Refused, Unknown
from compaction.actions.revisions import Issued
from compaction.models import Criterion, Failure, SpecificationRevision, Test
from compaction.records import criterion, specification
from projects import canonical, stale
from projects.access import Open


def issue(*, opened: Open, code: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a revision with its criteria. Raises `ReadingsError`, `ContentConflict`, `Refused`."""
    opened.require("enter-specification")
    record = specification.read(body, code=code, rev=rev)
    content = canonical.text(body)
    with transaction.atomic():
        if known := revisions.repeated(SpecificationRevision, opened, code, rev, content):
            return known
        row = SpecificationRevision.objects.create(
            **revisions.as_sent(opened, code, rev, content, digest=record.facts.digest, reason=record.reason, now=now),
            title=record.title,
            edition=record.edition,
            reach=record.reach,
            effective_from=record.effective_from,
        )
        Criterion.objects.bulk_create(
            [
                Criterion(
                    specification=row,
                    number=facts.number,
                    quantity=facts.quantity,
                    minimum=facts.minimum,
                    maximum=facts.maximum,
                    contractual=facts.contractual,
                    zone=facts.zone,
                    depth_from_m=facts.depth_from_m,
                    depth_to_m=facts.depth_to_m,
                    clause=facts.clause,
                    unit=facts.unit,
                    statistic=facts.statistic,
                    conditions=canonical.text(more) if (more := criterion.plain(facts)) else "",
                )
                for facts in record.facts.criteria
            ]
        )
        if rev == 1:
            mark_tests(opened, Test.objects.all(), f"specification {code} entered")
        issued = revisions.told(
            opened, "specification.issued", row, body, digest=record.facts.digest, reason=record.reason, now=now
        )
    if rev == 1:
        jobs.wake_sweep()
    return issued


def approve(
    *, opened: Open, code: str, rev: int, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """An engineer approves a revision; every test of the project becomes stale."""
    opened.require("approve")
    with transaction.atomic():
        row = SpecificationRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
        if row is None:
            raise Unknown(f"There is no specification {code} rev {rev} in this project.")
        record = specification.read(json.loads(row.content), code=code, rev=rev)
        if lacking := specification.still_to_fill_in(record):
            raise Refused(lacking, code="draft-not-filled-in")
        _mark_failures(opened, row)  # before the journal's head is locked
        ruled = approve_revision(
            opened=opened,
            subject_kind="specification",
            row=row,
            client_uuid=client_uuid,
            body=body,
            reason=str(body.get("reason", "")),
            tests=Test.objects.all(),
            now=now,
        )
    jobs.wake_sweep()
    return ruled


def _mark_failures(opened: Open, row: SpecificationRevision) -> None:
    """A rule of retests that comes or goes moves failures whose tests stay as they are."""
    revisions = SpecificationRevision.objects.filter(project=opened.project, code=row.code)
    if revisions.filter(content__contains='"retest":{').exists():
        roots = Failure.objects.filter(project=opened.project).values_list("root_test", flat=True)
        cause = f"specification {row.code} rev {row.rev} approved"
        stale.mark(project=opened.project, marks=[stale.Mark("chain", str(root), cause) for root in roots])
