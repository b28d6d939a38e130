"""Records that come in revisions: counted from 1 without gaps, each kept once, the same again is no second one."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.actions import kept
from compaction.actions.refusals import ContentConflict, Refused
from projects import canonical, journal
from projects.access import Open


@dataclass(frozen=True)
class Issued:
    """A revision on record; the receipt is given when it is made."""

    created: bool
    revision: Any
    receipt: journal.Receipt | None


def repeated(model: Any, opened: Open, code: str, rev: int, content: str) -> Issued | None:
    """The revision if it is on record; otherwise it has to be the next one.

    Raises `ContentConflict` if it says something else, `Refused` if it is not the next number.
    """
    known = model.objects.filter(project=opened.project, code=code, rev=rev).first()
    if known is None:
        check_next(model, opened, code, rev)
        return None
    if known.content != content:
        raise ContentConflict(stored_sha256=canonical.digest(known.content), sent_sha256=canonical.digest(content))
    return Issued(False, known, None)


def check_next(model: Any, opened: Open, code: str, rev: int) -> None:
    """Revisions of a code count from 1 without gaps. Raises `Refused`."""
    latest = (
        model.objects.filter(project=opened.project, code=code).order_by("-rev").values_list("rev", flat=True).first()
    )
    expected = (latest or 0) + 1
    if rev != expected:
        raise Refused(f"The next revision of {code} is {expected}, not {rev}.", code="revision-out-of-order")


def as_sent(
    opened: Open, code: str, rev: int, content: str, *, digest: str, reason: str, now: datetime
) -> dict[str, Any]:
    """The columns that every revision has: whose, which one, as written, by whom, when it came and why."""
    return {
        "project": opened.project,
        "code": code,
        "rev": rev,
        "content": content,
        "digest": digest,
        "reason": reason,
        "author": opened.actor.person or opened.actor.ident,
        "received_at": now,
    }


def told(
    opened: Open,
    kind: str,
    row: Any,
    body: Mapping[str, Any],
    *,
    digest: str,
    reason: str,
    now: datetime,
    changes_setup: bool = True,
) -> Issued:
    """Write the revision into the journal, last of all; the subject is the first word of `kind`."""
    entry = journal.Entry(
        kind=kind,
        subject_kind=kind.partition(".")[0],
        subject=row.code,
        subject_version=row.rev,
        body={"content": body, "digest": digest},
        reason=reason,
        changes_setup=changes_setup,
    )
    return Issued(True, row, kept.told(opened, entry, now=now))
