"""References and specifications as pages and the API list them: revisions with approval and use."""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count

from compaction.facts import Finding, ReferenceFacts, SpecificationFacts
from compaction.models import Decision, ReferenceRevision, SpecificationRevision, Test
from compaction.queries import laboratory
from compaction.queries.laboratory import Laboratory
from compaction.queries.set_up import reference_entry, specification_entry
from compaction.records import kinds
from projects.access import Open


@dataclass(frozen=True)
class RevisionLine:
    """One revision with what was decided about it."""

    code: str
    rev: int
    author: str
    received_at: datetime
    reach: str
    reason: str
    approval: Decision | None
    facts: Any  # ReferenceFacts or SpecificationFacts
    title: str
    content: dict[str, Any]
    findings: tuple[Finding, ...] = ()


def _approvals(opened: Open, kind: str) -> dict[str, Decision]:
    return {
        ruling.subject: ruling
        for ruling in Decision.objects.filter(project=opened.project, subject_kind=kind, meaning="approved")
    }


def reference_list(opened: Open) -> dict[str, list[RevisionLine]]:
    """Code -> revisions, oldest first."""
    approvals = _approvals(opened, "reference")
    bench = laboratory.read(opened.project.pk)
    found: dict[str, list[RevisionLine]] = {}
    for row in ReferenceRevision.objects.filter(project=opened.project).order_by("code", "rev"):
        approval = approvals.get(f"{row.code}:{row.rev}")
        facts = reference_entry(row, approval.decided_at if approval else None, bench).facts
        line = _line(row, approval, facts=facts, title=row.soil, findings=curve_findings_of(row, bench))
        found.setdefault(row.code, []).append(line)
    return found


def specification_list(opened: Open) -> dict[str, list[RevisionLine]]:
    """Code -> revisions, oldest first."""
    approvals = _approvals(opened, "specification")
    found: dict[str, list[RevisionLine]] = {}
    for row in SpecificationRevision.objects.filter(project=opened.project).order_by("code", "rev"):
        approval = approvals.get(f"{row.code}:{row.rev}")
        facts = specification_entry(row, approval.decided_at if approval else None).facts
        found.setdefault(row.code, []).append(_line(row, approval, facts=facts, title=row.title))
    return found


def curve_findings_of(row: ReferenceRevision, bench: Laboratory) -> tuple[Finding, ...]:
    """What the figures of a revision say against each other."""
    return kinds.read(json.loads(row.content), code=row.code, rev=row.rev, moulds=bench.moulds).findings


def _line(
    row: ReferenceRevision | SpecificationRevision,
    approval: Decision | None,
    *,
    facts: ReferenceFacts | SpecificationFacts,
    title: str,
    findings: tuple[Finding, ...] = (),
) -> RevisionLine:
    return RevisionLine(
        code=row.code,
        rev=row.rev,
        author=row.author,
        received_at=row.received_at,
        reach=row.reach,
        reason=row.reason,
        approval=approval,
        facts=facts,
        title=title,
        content=json.loads(row.content),
        findings=findings,
    )


def tests_per_reference(opened: Open) -> dict[str, int]:
    """How many tests stand on each reference."""
    return dict(
        Test.objects.filter(project=opened.project, voided=False)
        .exclude(reference_code="")
        .values_list("reference_code")
        .annotate(Count("id"))
    )
