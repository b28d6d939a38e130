"""Records that come once, under the client's id: the same again is no second one, another body is a conflict."""

import uuid
from typing import Any

from compaction.actions.refusals import ContentConflict
from projects import journal
from projects.access import Open
from projects.models import JournalEvent


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
