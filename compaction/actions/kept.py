"""Records that come once, under the client's id: the same again is no second one, another body is a conflict."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from compaction.actions.refusals import ContentConflict
from projects import canonical, journal
from projects.access import Open
from projects.models import JournalEvent

Row = TypeVar("Row")


@dataclass(frozen=True)
class Kept(Generic[Row]):
    """A record under the client's id, and the receipt that was given for it."""

    receipt: journal.Receipt
    created: bool
    row: Row


def known(model: Any, opened: Open, client_uuid: uuid.UUID, sent_sha256: str) -> Any | None:
    """The row with that id, if it is on record. Raises `ContentConflict` if it says something else."""
    found = model.objects.filter(project=opened.project, client_uuid=client_uuid).first()
    if found is not None and found.content_sha256 != sent_sha256:
        raise ContentConflict(stored_sha256=found.content_sha256, sent_sha256=sent_sha256)
    return found


def receipt_of(opened: Open, subject_kind: str, client_uuid: uuid.UUID) -> journal.Receipt:
    """The receipt that was given for it."""
    event = JournalEvent.objects.select_related("project").get(
        project=opened.project, subject_kind=subject_kind, subject=str(client_uuid)
    )
    return journal.receipt_of(event)


def repeated(
    model: Any, opened: Open, client_uuid: uuid.UUID, sent_sha256: str, *, subject_kind: str
) -> Kept[Any] | None:
    """What is on record under that id with its receipt, if anything. Raises `ContentConflict`."""
    found = known(model, opened, client_uuid, sent_sha256)
    return None if found is None else Kept(receipt_of(opened, subject_kind, client_uuid), False, found)


def as_sent(opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], *, now: datetime) -> dict[str, Any]:
    """The columns that every such record has: whose, under which id, as written, by whom, when it came."""
    return {
        "project": opened.project,
        "client_uuid": client_uuid,
        "content": canonical.text(body),
        "content_sha256": canonical.digest(body),
        "author": opened.actor.person or opened.actor.ident,
        "received_at": now,
    }


def told(opened: Open, entry: journal.Entry, *, now: datetime) -> journal.Receipt:
    """Write it into the journal, last of all: nothing is locked after the journal's head."""
    [receipt], _ = journal.append(project=opened.project, actor=opened.actor, now=now, entries=[entry])
    return receipt
