"""References and specifications as pages and the API list them: revisions with approval and use."""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count

from compaction.facts import Finding
from compaction.models import Decision, ReferenceRevision, SpecificationRevision, Test
from compaction.queries.set_up import reference_entry, specification_entry
from compaction.records import reference
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
    found: dict[str, list[RevisionLine]] = {}
    for row in ReferenceRevision.objects.filter(project=opened.project).order_by("code", "rev"):
        approval = approvals.get(f"{row.code}:{row.rev}")
        entry = reference_entry(row, approval.decided_at if approval else None)
        found.setdefault(row.code, []).append(
            RevisionLine(
                row.code,
                row.rev,
                row.author,
                row.received_at,
                row.reach,
                row.reason,
                approval,
                entry.facts,
                row.soil,
                json.loads(row.content),
                curve_findings_of(row),
            )
        )
    return found


def curve_findings_of(row: ReferenceRevision) -> tuple[Finding, ...]:
    """What the figures of a revision say against each other."""
    return reference.read(json.loads(row.content), code=row.code, rev=row.rev).findings


def specification_list(opened: Open) -> dict[str, list[RevisionLine]]:
    """Code -> revisions, oldest first."""
    approvals = _approvals(opened, "specification")
    found: dict[str, list[RevisionLine]] = {}
    for row in SpecificationRevision.objects.filter(project=opened.project).order_by("code", "rev"):
        approval = approvals.get(f"{row.code}:{row.rev}")
        entry = specification_entry(row, approval.decided_at if approval else None)
        found.setdefault(row.code, []).append(
            RevisionLine(
                row.code,
                row.rev,
                row.author,
                row.received_at,
                row.reach,
                row.reason,
                approval,
                entry.facts,
                row.title,
                json.loads(row.content),
            )
        )
    return found


def tests_per_reference(opened: Open) -> dict[str, int]:
    """How many tests stand on each reference."""
    return dict(
        Test.objects.filter(project=opened.project, voided=False)
        .exclude(reference_code="")
        .values_list("reference_code")
        .annotate(Count("id"))
    )
