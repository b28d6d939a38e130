"""Write a decision: idempotent by its id, with its reason, before the journal entry."""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.actions import kept
from compaction.actions.refusals import Unknown
from compaction.models import Decision, Test
from projects import canonical, journal
from projects.access import Open
from projects.journal import Receipt

SUBJECT = "decision"


@dataclass(frozen=True)
class Ruled:
    receipt: Receipt
    created: bool
    decision: Decision


def test_ruled_on(opened: Open, test_uuid: uuid.UUID) -> Test:
    """The test that a decision or an amendment is about, locked. Raises `Unknown`, also for another device's test."""
    test = Test.objects.select_for_update().filter(project=opened.project, client_uuid=test_uuid).first()
    if test is None or (opened.only_own and test.device != opened.actor.ident):
        raise Unknown("There is no such test in this project.")
    return test


def known(opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any]) -> Ruled | None:
    """The decision with that id if it is on record. Raises `ContentConflict` if it says something else."""
    found = kept.known(Decision, opened, client_uuid, canonical.digest(body))
    return None if found is None else Ruled(kept.receipt_of(opened, SUBJECT, client_uuid), False, found)


def write(
    *,
    opened: Open,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    subject_kind: str,
    subject: str,
    meaning: str,
    reason: str,
    now: datetime,
    before_journal: Callable[[Decision], None] = lambda _: None,
    detail: str = "",
    reason_code: str = "",
    basis_digest: str = "",
    second_person: str = "",
    changes_setup: bool = False,
) -> Ruled:
    """Add the row, let the caller mark what it makes stale, then write the journal."""
    decision = Decision.objects.create(
        project=opened.project,
        client_uuid=client_uuid,
        subject_kind=subject_kind,
        subject=subject,
        meaning=meaning,
        detail=detail,
        reason_code=reason_code,
        reason=reason,
        basis_digest=basis_digest,
        person=opened.actor.person or opened.actor.ident,
        second_person=second_person,
        content_sha256=canonical.digest(body),
        decided_at=now,
    )
    before_journal(decision)
    entry = journal.Entry(
        kind=f"{subject_kind}.{meaning}",
        subject_kind=SUBJECT,
        subject=str(client_uuid),
        body={
            "content": body,
            "subject_kind": subject_kind,
            "subject": subject,
            "meaning": meaning,
            "detail": detail,
            "basis_digest": basis_digest,
            "person": decision.person,
            "second_person": second_person,
        },
        reason_code=reason_code,
        reason=reason,
        changes_setup=changes_setup,
    )
    return Ruled(kept.told(opened, entry, now=now), True, decision)
