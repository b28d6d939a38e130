"""Lots with their tests: models in, what `evaluation.lots` judges and what pages and the API show out."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.db.models import F

from compaction.calculations.lot_declaration import LotFacts, LotTest
from compaction.models import Decision, Lot, LotOutcome, LotRevision, Test, TestOutcome
from compaction.queries.lot_places import LotPlace
from compaction.records import lot
from projects.access import Open
from projects.models import Project

#: how a lot ends
CLOSINGS: Final = ("accepted", "rejected")
#: quantity of a rule -> name of the figure in an outcome
FIGURES: Final = {
    "percent_compaction": "percent_compaction",
    "water_content_deviation": "water_content_deviation_pct",
    "relative_density": "relative_density_pct",
    "dry_density": "dry_density_kgm3",
}
_PART: Final = 400


def facts_of(revisions: Sequence[LotRevision], *, closed_at: datetime | None = None) -> LotFacts:
    """The newest of a lot's revisions, in force since the first of those that say the same without a break."""
    newest = revisions[-1]
    declared_at = newest.declared_at
    for row in reversed(revisions):
        if row.digest != newest.digest:
            break
        declared_at = row.declared_at
    facts = lot.read(json.loads(newest.content), code=newest.code, rev=newest.rev).facts
    return replace(facts, declared_at=declared_at, closed_at=closed_at, digest=newest.digest)


def closings(project: Project, codes: Sequence[str]) -> dict[str, list[Decision]]:
    """The closing decisions of lots, oldest first. One statement."""
    found: dict[str, list[Decision]] = {}
    rows = Decision.objects.filter(project=project, subject_kind="lot", subject__in=list(codes), meaning__in=CLOSINGS)
    for row in rows.order_by("decided_at", "id"):
        found.setdefault(row.subject, []).append(row)
    return found


def revisions_of(project: Project, codes: Sequence[str] | None = None) -> dict[str, list[LotRevision]]:
    """Code -> revisions, oldest first. One statement."""
    rows = LotRevision.objects.filter(project=project).order_by("code", "rev")
    if codes is not None:
        rows = rows.filter(code__in=list(codes))
    found: dict[str, list[LotRevision]] = {}
    for row in rows:
        found.setdefault(row.code, []).append(row)
    return found


def tests_at(project: Project, place: LotPlace) -> list[LotTest]:
    """Every test at a place, with the figures of its current outcome. One statement, and one for each 400 tests."""
    rows = Test.objects.filter(project=project)
    if place.zone:
        rows = rows.filter(zone=place.zone)
    if place.lift_from is not None and place.lift_to is not None:
        rows = rows.filter(lift__gte=place.lift_from, lift__lte=place.lift_to)
    return lot_tests(project, [row for row in rows.order_by("performed_at", "client_uuid") if place.holds(row)])


def lot_tests(project: Project, tests: Sequence[Test]) -> list[LotTest]:
    """Tests as a lot looks at them."""
    contents: dict[int, str] = {}
    for start in range(0, len(tests), _PART):
        contents |= dict(
            TestOutcome.objects.filter(
                test_version__test__in=[row.pk for row in tests[start : start + _PART]],
                test_version__version=F("test_version__test__current_version"),
                inputs_digest=F("test_version__test__inputs_digest"),
            )
            .order_by("id")
            .values_list("test_version__test_id", "content")
        )
    zone = project.zone_info
    found = []
    for row in tests:
        outcome = json.loads(contents[row.pk])
        figures = outcome["figures"]
        judged = {one["quantity"]: Decimal(one["judged"]) for one in outcome["criteria"] if one["judged"] is not None}
        found.append(
            LotTest(
                uuid=str(row.client_uuid),
                label=row.label,
                performed_at=row.performed_at,
                day=row.performed_at.astimezone(zone).date(),
                purpose=row.purpose,
                technician=row.technician,
                result=row.result,
                basis=row.basis,
                outcome_digest=row.outcome_digest,
                retest_of=str(row.retest_of or ""),
                check_of=str(row.check_of or ""),
                voided=row.voided,
                held=bool(row.open_holds),
                exempt=row.exempt,
                values={name: Decimal(figures[figure]) for name, figure in FIGURES.items() if figure in figures},
                judged=judged,
            )
        )
    return found


# ---- shown ---------------------------------------------------------------------------------------
@dataclass(frozen=True)
class LotStory:
    """A lot with everything on record about it."""

    row: Lot
    facts: LotFacts
    revisions: list[LotRevision]
    outcomes: list[LotOutcome]
    decisions: list[Decision]
    content: dict[str, Any]  # of the outcome in force; empty until the sweep has been there


def lot_rows(opened: Open) -> list[Lot]:
    """Every lot, open ones first."""
    found = Lot.objects.filter(project=opened.project)
    return sorted(found, key=lambda row: (row.state != "open", row.code))


def lot_story(opened: Open, code: str) -> LotStory | None:
    """One lot; None if there is none to be seen. Four statements."""
    row = Lot.objects.filter(project=opened.project, code=code).first()
    if row is None:
        return None
    revisions = revisions_of(opened.project, [code])[code]
    decided = closings(opened.project, [code]).get(code, [])
    outcomes = list(LotOutcome.objects.filter(project=opened.project, code=code).order_by("id"))
    current = next((one for one in reversed(outcomes) if one.outcome_digest == row.outcome_digest), None)
    return LotStory(
        row=row,
        facts=facts_of(revisions, closed_at=decided[0].decided_at if decided else None),
        revisions=revisions,
        outcomes=outcomes,
        decisions=decided,
        content=json.loads(current.content) if current else {},
    )
