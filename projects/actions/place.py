"""Add revisions of alignments and areas.

Whoever derives from them marks what is stale and only then writes the journal entry returned here,
because the journal's head is the last lock of a transaction.
"""

from datetime import date, datetime
from typing import Any

from projects import canonical, journal
from projects.access import Open
from projects.models import AlignmentRevision, AreaRevision


class RevisionConflict(Exception):
    """That revision exists already with other content."""


def issue_alignment(
    *,
    opened: Open,
    code: str,
    rev: int,
    name: str,
    content: dict[str, Any],
    now: datetime,
    reach: str = "all",
    effective_from: date | None = None,
) -> tuple[AlignmentRevision, journal.Entry | None]:
    """Add a revision of an alignment; returns it and the journal entry (None if known)."""
    return _issue(
        AlignmentRevision,
        "alignment",
        opened,
        code,
        rev,
        content,
        now,
        name=name,
        reach=reach,
        effective_from=effective_from,
    )


def issue_area(
    *,
    opened: Open,
    code: str,
    rev: int,
    name: str,
    kind: str,
    content: dict[str, Any],
    now: datetime,
    reason: str = "",
    reach: str = "all",
    effective_from: date | None = None,
) -> tuple[AreaRevision, journal.Entry | None]:
    """Add a revision of a zone or exempt area; returns it and the journal entry (None if known)."""
    return _issue(
        AreaRevision,
        "area",
        opened,
        code,
        rev,
        content,
        now,
        name=name,
        kind=kind,
        reason=reason,
        reach=reach,
        effective_from=effective_from,
    )


def _issue(model, subject_kind: str, opened: Open, code: str, rev: int, content, now: datetime, **values):
    opened.require("set-up")
    text = canonical.text(content)
    digest = canonical.digest({"content": content, **{k: str(v) for k, v in values.items()}})
    existing = model.objects.filter(project=opened.project, code=code, rev=rev).first()
    if existing is not None:
        if existing.digest != digest:
            raise RevisionConflict(f"{code} rev {rev} exists with other content; issue the next revision instead.")
        return existing, None
    latest = model.objects.filter(project=opened.project, code=code).order_by("-rev").first()
    expected = latest.rev + 1 if latest else 1
    if rev != expected:
        raise RevisionConflict(f"The next revision of {code} is {expected}, not {rev}.")
    row = model.objects.create(
        project=opened.project, code=code, rev=rev, content=text, digest=digest, created_at=now, **values
    )
    entry = journal.Entry(
        kind=f"{subject_kind}.revised",
        subject_kind=subject_kind,
        subject=code,
        subject_version=rev,
        body={
            "code": code,
            "rev": rev,
            "content": content,
            **{key: None if value is None else str(value) for key, value in values.items()},
        },
        changes_setup=True,
    )
    return row, entry
