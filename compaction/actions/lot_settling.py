"""Bring lots up to date with the tests at their places. Safe to run twice; what changes nothing writes nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction.evaluation import lots
from compaction.evaluation.lots import LotResult
from compaction.models import Decision, Lot, LotOutcome, LotRevision
from compaction.queries import lots as lot_queries
from compaction.queries.lot_places import place_of
from projects import canonical
from projects.models import Project


@dataclass(frozen=True)
class Judged:
    """A lot judged on the tests of this moment."""

    code: str
    rev: int
    title: str
    result: LotResult
    content: dict[str, Any]
    digest: str


def judged(project: Project, revisions: Sequence[LotRevision], decided: Sequence[Decision]) -> Judged:
    """The lot of these revisions as it stands; stores nothing."""
    newest = revisions[-1]
    facts = lot_queries.facts_of(revisions, closed_at=decided[0].decided_at if decided else None)
    result = lots.judge(facts, lot_queries.tests_at(project, place_of(newest)))
    content = lots.to_plain(result)
    return Judged(newest.code, newest.rev, newest.title, result, content, lots.lot_digest(facts, content))


def settle(project: Project, codes: Sequence[str], *, causes: Mapping[str, str], now: datetime) -> int:
    """Judge these lots again and store what changed, each with its cause; returns how many results are new."""
    with transaction.atomic():
        heads = list(Lot.objects.select_for_update().filter(project=project, code__in=list(codes)).order_by("code"))
        revisions = lot_queries.revisions_of(project, [head.code for head in heads])
        decided = lot_queries.closings(project, [head.code for head in heads])
        return sum(
            settle_one(head, revisions[head.code], decided.get(head.code, []), causes.get(head.code, "settled"), now)
            for head in heads
        )


def settle_one(
    head: Lot, revisions: Sequence[LotRevision], decided: Sequence[Decision], cause: str, now: datetime
) -> bool:
    """Judge one lot whose head is locked; True if its result is new."""
    found = judged(head.project, revisions, decided)
    fresh = found.digest != head.outcome_digest
    if fresh:
        LotOutcome.objects.create(
            project=head.project,
            code=found.code,
            rev=found.rev,
            calculation_version=lots.LOT_CALCULATION_VERSION,
            outcome_digest=found.digest,
            result=found.result.result,
            basis=found.result.basis,
            content=canonical.text(found.content),
            cause=cause[:200],
            computed_at=now,
        )
    for name, value in _columns(found, decided).items():
        setattr(head, name, value)
    head.save()
    return fresh


def _columns(found: Judged, decided: Sequence[Decision]) -> dict[str, Any]:
    """What the head shows of a lot."""
    return {
        "rev": found.rev,
        "title": found.title,
        "state": decided[-1].meaning if decided else "open",
        "closed_at": decided[-1].decided_at if decided else None,
        "basis_changed": bool(decided) and decided[-1].basis_digest != found.digest,
        "result": found.result.result,
        "basis": found.result.basis,
        "tests": len(found.result.counting),
        "failing": len(found.result.failing),
        "outcome_digest": found.digest,
    }


def rebuild(project: Project) -> list[tuple[str, str, str]]:
    """Judge every lot again from nothing; (code, stored digest, digest found) where they differ."""
    differences = []
    heads = {head.code: head for head in Lot.objects.filter(project=project)}
    revisions = lot_queries.revisions_of(project)
    decided = lot_queries.closings(project, list(revisions))
    for code, rows in revisions.items():
        found = judged(project, rows, decided.get(code, []))
        head = heads.get(code)
        wanted = _columns(found, decided.get(code, []))
        if head is None or any(getattr(head, name) != value for name, value in wanted.items()):
            differences.append((code, head.outcome_digest if head else "", found.digest))
    return differences
