"""Write a decision: idempotent by its id, with its reason, before the journal entry."""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.actions.refusals import ContentConflict
from compaction.models import Decision
from projects import canonical, journal
from projects.access import Open
from projects.journal import Receipt
from projects.models import JournalEvent


@dataclass(frozen=True)
class Ruled:
    receipt: Receipt
    created: bool
    decision: Decision


def known(opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any]) -> Ruled | None:
    """The decision with that id if it is on record. Raises `ContentConflict` if it says something else."""
    found = Decision.objects.filter(project=opened.project, client_uuid=client_uuid).first()
    if found is None:
        return None
    sent = canonical.digest(body)
    if found.content_sha256 != sent:
        raise ContentConflict(stored_sha256=found.content_sha256, sent_sha256=sent)
    event = JournalEvent.objects.select_related("project").get(
        project=opened.project, subject_kind="decision", subject=str(client_uuid)
    )
    return Ruled(journal.receipt_of(event), False, found)


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
    write_journal: Callable[[list[journal.Entry]], list[Receipt]],
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
    [receipt] = write_journal(
        [
            journal.Entry(
                kind=f"{subject_kind}.{meaning}",
                subject_kind="decision",
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
        ]
    )
    return Ruled(receipt, True, decision)
