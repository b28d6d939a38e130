"""Issue and approve moisture-density references. Approval makes every test that it reaches stale."""

import json
import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from compaction import jobs
from compaction.actions import coverage_marks, decisions, revisions
from compaction.actions.refusals import NeedsAnother, Refused, Unknown
from compaction.actions.revisions import Issued
from compaction.models import Decision, ReferenceRevision, Test, TestVersion
from compaction.queries import laboratory
from compaction.records import kinds
from projects import canonical, stale
from projects.access import Open


def issue(*, opened: Open, code: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Add a revision. Raises `ReadingsError`, `ContentConflict`, `Refused` (not the next number)."""
    opened.require("enter-reference")
    record = kinds.read(body, code=code, rev=rev, moulds=laboratory.read(opened.project.pk).moulds)
    content = canonical.text(body)
    with transaction.atomic():
        if known := revisions.repeated(ReferenceRevision, opened, code, rev, content):
            return known
        row = ReferenceRevision.objects.create(
            **revisions.as_sent(opened, code, rev, content, digest=record.facts.digest, reason=record.reason, now=now),
            soil=record.soil,
            method=record.facts.method[:30],  # the column is for lists; the whole text stands in the content
            maximum_dry_density_kgm3=_column(record.facts.maximum_dry_density_kgm3, "0.0001"),
            optimum_water_content_pct=_column(record.facts.optimum_water_content_pct, "0.001"),
            reach=record.reach,
            effective_from=record.effective_from,
        )
        if rev == 1:
            mark_tests(opened, tests_reached(opened, code), f"reference {code} entered")
        issued = revisions.told(
            opened, "reference.issued", row, body, digest=record.facts.digest, reason=record.reason, now=now
        )
    if rev == 1:
        jobs.wake_sweep()
    return issued


def _column(value: Decimal, step: str) -> Decimal | None:
    """A figure as its column keeps it; what a kind of reference has not (zero) stays empty."""
    return value.quantize(Decimal(step)) if value else None


def approve(
    *, opened: Open, code: str, rev: int, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """An engineer approves a revision; the author of it can't. Tests naming the code become stale."""
    opened.require("approve")
    reason = str(body.get("reason", ""))
    with transaction.atomic():
        row = ReferenceRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
        if row is None:
            raise Unknown(f"There is no reference {code} rev {rev} in this project.")
        ruled = approve_revision(
            opened=opened,
            subject_kind="reference",
            row=row,
            client_uuid=client_uuid,
            body=body,
            reason=reason,
            tests=tests_reached(opened, code),
            now=now,
        )
    jobs.wake_sweep()
    return ruled


def approve_revision(
    *,
    opened: Open,
    subject_kind: str,
    row: Any,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    reason: str,
    tests: Any,
    now: datetime,
) -> decisions.Ruled:
    """What approving a reference and a specification have in common. Call inside a transaction."""
    repeated = decisions.known(opened, client_uuid, body)
    if repeated:
        return repeated
    if not reason.strip():
        raise Refused("Say in words on what ground it is approved.", code="reason-missing")
    person = opened.actor.person or opened.actor.ident
    if row.author == person:
        raise NeedsAnother(f"{person} entered {row}; another engineer has to approve it.")
    subject = f"{row.code}:{row.rev}"
    if Decision.objects.filter(
        project=opened.project, subject_kind=subject_kind, subject=subject, meaning="approved"
    ).exists():
        raise Refused(f"{row} is approved already.", code="approved-already")
    return decisions.write(
        opened=opened,
        client_uuid=client_uuid,
        body=body,
        subject_kind=subject_kind,
        subject=subject,
        meaning="approved",
        reason=reason,
        basis_digest=row.digest,
        changes_setup=True,
        now=now,
        before_journal=lambda _: mark_tests(opened, tests, f"{subject_kind} {row.code} rev {row.rev} approved"),
    )


def tests_reached(opened: Open, code: str) -> Any:
    """The tests that stand on the reference, and those with printed figures: they are compared with every curve."""
    printed = TestVersion.objects.filter(test__project=opened.project, content__contains='"printed":{')
    return Test.objects.filter(standing_on(opened, code) | Q(method="transcribed") | Q(pk__in=printed.values("test")))


def standing_on(opened: Open, code: str) -> Q:
    """The tests that name the reference, or a family that it belongs to, as their reference or for a one point."""
    codes = [code, *families_with(opened, code)]
    named = Q()
    for family in codes:
        named |= Q(content__contains='"family":' + canonical.text(family))
    choosing = TestVersion.objects.filter(named, test__project=opened.project, content__contains='"reference_choice":{')
    return Q(reference_code__in=codes) | Q(pk__in=choosing.values("test"))


def families_with(opened: Open, code: str) -> list[str]:
    """The codes of the families of which a revision, whichever, names the curve."""
    rows = ReferenceRevision.objects.filter(
        project=opened.project, content__contains='"kind":"family"', maximum_dry_density_kgm3__isnull=True
    ).values_list("code", "content")
    return sorted({family for family, content in rows if code in json.loads(content).get("curves", ())})


def mark_tests(opened: Open, tests: Any, cause: str, *, kind: str = "test") -> None:
    """Tests whose derived rows may no longer follow from the set-up; kind "place" where only the geometry changed."""
    uuids = tests.filter(project=opened.project).values_list("client_uuid", flat=True)
    marks = [stale.Mark(kind, str(client_uuid), cause) for client_uuid in uuids]
    stale.mark(project=opened.project, marks=[*marks, coverage_marks.everything(cause)])
