"""Correct a record by a new version that names the one it replaces. Nothing is overwritten."""

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction import jobs
from compaction.actions import decisions, field_tests, lot_marks
from compaction.actions.refusals import ContentConflict, NotCurrent, Refused
from compaction.models import Decision, Test, TestVersion
from compaction.queries import set_up
from compaction.queries.derivation import derive, head_values
from projects import canonical, journal, stale
from projects.access import NotAllowed, Open
from projects.journal import Receipt
from projects.models import JournalEvent

REASONS = {
    "oven-water-content": "the oven value has come",
    "own-slip": "a slip of the pen by whoever wrote it",
    "wrong-reference": "the wrong reference was named",
    "position": "the position was wrong",
    "copied-wrongly": "copied wrongly from the sheet",
    "review": "found in review",
}
LABORATORY_REASONS = {"oven-water-content"}


@dataclass(frozen=True)
class Amended:
    receipt: Receipt
    created: bool
    test: Test


def amend(
    *,
    opened: Open,
    test_uuid: uuid.UUID,
    client_uuid: uuid.UUID,
    replaces: int,
    content: Mapping[str, Any],
    reason_code: str,
    reason: str,
    raw: str,
    now: datetime,
) -> Amended:
    """Add a version in place of version `replaces`.

    Raises `Unknown`, `NotCurrent` (somebody amended in between), `ContentConflict` (the amendment's id is
    known with other content), `Refused` (no reason; voided) and `observation.ContentError`.
    """
    opened.require("amend-test")
    if reason_code not in REASONS:
        raise Refused(f"The reason is one of {', '.join(REASONS)}; got {reason_code[:40]!r}.", code="reason-unknown")
    if not reason.strip():
        raise Refused("Say in words why the record is amended.", code="reason-missing")
    if opened.roles == {"laboratory"} and reason_code not in LABORATORY_REASONS:
        raise NotAllowed("amend-test")
    sent = canonical.digest(content)
    amended = field_tests.under_current_set_up(
        opened,
        lambda under: _amend(
            opened, test_uuid, client_uuid, replaces, content, reason_code, reason, raw, sent, under, now
        ),
    )
    if amended.created:
        jobs.wake_sweep()
    return amended


def _amend(
    opened: Open,
    test_uuid: uuid.UUID,
    client_uuid: uuid.UUID,
    replaces: int,
    content: Mapping[str, Any],
    reason_code: str,
    reason: str,
    raw: str,
    sent: str,
    under: set_up.SetUp,
    now: datetime,
) -> Amended:
    test = decisions.test_ruled_on(opened, test_uuid)
    known = TestVersion.objects.filter(test=test, client_uuid=client_uuid, version__gt=1).first()
    if known is not None:
        if known.content_sha256 != sent:
            raise ContentConflict(stored_sha256=known.content_sha256, sent_sha256=sent)
        return Amended(receipt=_receipt(opened, test, known.version), created=False, test=test)
    if test.voided:
        raise Refused("A voided test can't be amended; record a new test.", code="test-voided")
    if replaces != test.current_version:
        raise NotCurrent(
            f"The current version is {test.current_version}, the amendment replaces {replaces}. "
            "Read the current version and amend that."
        )
    previous = TestVersion.objects.get(test=test, version=replaces)
    derived = derive(content, set_up=under, received_at=test.received_at)
    version = test.current_version + 1
    relatives = {uuid for uuid in (test.retest_of,) if uuid}
    field_tests.store_version(
        test,
        derived,
        version=version,
        client_uuid=client_uuid,
        body=content,
        raw=raw,
        sent=sent,
        opened=opened,
        now=now,
        supersedes=previous,
        reason_code=reason_code,
        reason=reason,
    )
    values = {
        **head_values(derived, released=released_holds(opened, test, derived.outcome_digest)),
        "current_version": version,
    }
    lots = lot_marks.marks(under, [test], "test amended")  # where it was before ...
    for name, value in values.items():
        setattr(test, name, value)
    test.save(update_fields=list(values))
    lots += lot_marks.marks(under, [test], "test amended")  # ... and where it is now
    relatives.add(test.client_uuid)
    stale.mark(
        project=opened.project,
        marks=[
            *lots,
            *(stale.Mark("chain", str(relative), f"test amended to version {version}") for relative in relatives),
        ],
    )
    entry = journal.Entry(
        kind="test.amended",
        subject_kind="test",
        subject=str(test_uuid),
        subject_version=version,
        body={
            "content": content,
            "content_sha256": sent,
            "amendment": str(client_uuid),
            "replaces": replaces,
            "changes": changes(previous, content),
            **field_tests.derived_body(derived),
        },
        performed_at=str(content.get("performed_at", "")),
        reason_code=reason_code,
        reason=reason,
    )
    [receipt] = field_tests.write_journal(opened, [entry], under=under, now=now)
    return Amended(receipt=receipt, created=True, test=test)


def changes(previous: TestVersion, content: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Old and new of every top-level member that differs."""
    old = json.loads(previous.content)
    return [
        {"member": name, "old": old.get(name), "new": content.get(name)}
        for name in sorted({*old, *content})
        if old.get(name) != content.get(name)
    ]


def released_holds(opened: Open, test: Test, outcome_digest: str) -> frozenset[str]:
    """Holds that a person released on exactly these figures."""
    return frozenset(
        Decision.objects.filter(
            project=opened.project,
            subject_kind="test",
            subject=str(test.client_uuid),
            meaning="hold_released",
            basis_digest=outcome_digest,
        ).values_list("detail", flat=True)
    )


def _receipt(opened: Open, test: Test, version: int) -> Receipt:
    event = JournalEvent.objects.select_related("project").get(
        project=opened.project,
        subject_kind="test",
        subject=str(test.client_uuid),
        kind="test.amended",
        subject_version=version,
    )
    return journal.receipt_of(event)
