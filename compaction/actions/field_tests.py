"""Record a test: what was written, where it is, what follows from it, in one transaction.

Lock order: the test's head, stale marks in key order, the journal's head last. If the set-up moved
between reading it and that lock, the transaction is undone and done again under the new set-up.
"""

import hashlib
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from django.db import IntegrityError, transaction
from django.db.models import Q

from compaction import evaluation, jobs, observation
from compaction.actions import lot_marks
from compaction.actions.refusals import ContentConflict
from compaction.models import Failure, Test, TestOutcome, TestPosition, TestVersion
from compaction.queries import set_up
from compaction.queries.chains import failure_uuid
from compaction.queries.derivation import Derived, derive, failed_kinds, head_values
from projects import canonical, journal, stale
from projects.access import Open
from projects.journal import Receipt
from projects.models import JournalEvent, JournalHead

Done = TypeVar("Done")
TRIES = 4


@dataclass(frozen=True)
class Recorded:
    receipt: Receipt
    created: bool
    test: Test
    chain: str  # "none", "linked" or "pending-parent"
    derived: Derived | None = None  # what follows from it; not looked up again for a repeat


class SetUpMoved(Exception):
    """The set-up changed under our hands; the transaction is to be done again."""


def under_current_set_up(opened: Open, work: Callable[[set_up.SetUp], Done]) -> Done:
    """Do the work in a transaction under a set-up that still stands when its last lock is taken."""
    setup_seq = opened.setup_seq
    for _ in range(TRIES):
        try:
            with transaction.atomic():
                return work(set_up.load(opened.project, setup_seq=setup_seq))
        except SetUpMoved:
            setup_seq = JournalHead.objects.get(project=opened.project).setup_seq
    raise SetUpMoved(f"The set-up changed {TRIES} times in a row.")


def write_journal(opened: Open, entries: list[journal.Entry], *, under: set_up.SetUp, now: datetime) -> list[Receipt]:
    receipts, found = journal.append(project=opened.project, actor=opened.actor, entries=entries, now=now)
    if found != under.setup_seq:
        raise SetUpMoved
    return receipts


def record(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], raw: str, now: datetime) -> Recorded:
    """Store a new test, or recognise one that is here already.

    Raises `observation.ContentError` (can't be read), `ContentConflict` (same id, other content).
    """
    opened.require("submit-test")
    sent = canonical.digest(body)
    try:
        recorded = under_current_set_up(opened, lambda under: _record(opened, client_uuid, body, raw, sent, under, now))
    except IntegrityError:
        # A twin of this request was faster: its row is committed now, so this one is the repeat.
        existing = Test.objects.filter(project=opened.project, client_uuid=client_uuid).first()
        if existing is None:
            raise
        return repeat(opened, existing, sent)
    if recorded.created:
        jobs.wake_sweep()
    return recorded


def _record(
    opened: Open,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    raw: str,
    sent: str,
    under: set_up.SetUp,
    now: datetime,
) -> Recorded:
    retest_of = body.get("retest_of") if isinstance(body, Mapping) else None
    wanted = [client_uuid, *([retest_of] if _is_uuid(retest_of) else [])]
    family = list(
        Test.objects.filter(project=opened.project).filter(Q(client_uuid__in=wanted) | Q(retest_of=client_uuid))
    )
    mine = next((test for test in family if test.client_uuid == client_uuid), None)
    if mine is not None:
        return repeat(opened, mine, sent)
    derived = derive(body, set_up=under, received_at=now)
    test = Test.objects.create(
        project=opened.project,
        client_uuid=client_uuid,
        received_at=now,
        device=opened.actor.ident,
        **head_values(derived),
    )
    store_version(
        test, derived, version=1, client_uuid=client_uuid, body=body, raw=raw, sent=sent, opened=opened, now=now
    )
    kinds = failed_kinds(derived.outcome)
    parent_known = any(str(other.client_uuid) == retest_of for other in family)
    if kinds and not parent_known and not any(str(other.retest_of) == str(client_uuid) for other in family):
        open_failures(opened, test, kinds)
        marks = []
    else:
        marks = [stale.Mark("chain", str(client_uuid), "test recorded")]
    # A failure opened here marks its lift when its chain is settled: one statement fewer.
    beside = lot_marks.marks(under, [test], "test recorded", lifts=bool(marks))
    stale.mark(project=opened.project, marks=[*marks, *beside])
    entry = journal.Entry(
        kind="test.recorded",
        subject_kind="test",
        subject=str(client_uuid),
        subject_version=1,
        body={"content": body, "content_sha256": sent, **derived_body(derived)},
        performed_at=str(body.get("performed_at", "")),
    )
    [receipt] = write_journal(opened, [entry], under=under, now=now)
    chain = "none" if not retest_of else "linked" if parent_known else "pending-parent"
    return Recorded(receipt=receipt, created=True, test=test, chain=chain, derived=derived)


def store_version(
    test: Test,
    derived: Derived,
    *,
    version: int,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    raw: str,
    sent: str,
    opened: Open,
    now: datetime,
    supersedes: TestVersion | None = None,
    reason_code: str = "",
    reason: str = "",
) -> TestVersion:
    """The three rows of a version: as written, where it is, what follows."""
    row = TestVersion.objects.create(
        test=test,
        version=version,
        supersedes=supersedes,
        client_uuid=client_uuid,
        schema=observation.SCHEMA,
        raw_body=raw,
        raw_sha256=hashlib.sha256(raw.encode("utf-8")).hexdigest(),
        content=canonical.text(body),
        content_sha256=sent,
        reason_code=reason_code,
        reason=reason,
        author=opened.actor.person or opened.actor.ident,
        received_at=now,
    )
    TestPosition.objects.create(
        test_version=row, geometry_digest=derived.geometry_digest, content=derived.position_content
    )
    TestOutcome(
        **outcome_values(derived), test_version=row, cause="recorded" if version == 1 else "amended", computed_at=now
    ).save(force_insert=True)
    return row


def outcome_values(derived: Derived) -> dict[str, Any]:
    values = head_values(derived)
    return {
        "inputs_digest": derived.outcome.inputs_digest,
        "calculation_version": evaluation.CALCULATION_VERSION,
        "outcome_digest": derived.outcome_digest,
        "result": derived.outcome.result,
        "percent_compaction": values["percent_compaction"],
        "reference": derived.reference,
        "specification": derived.specification,
        "content": derived.outcome_content,
    }


def derived_body(derived: Derived) -> dict[str, Any]:
    """What the journal keeps of a derivation: enough to see whether a replay gives the same."""
    return {
        "geometry_digest": derived.geometry_digest,
        "inputs_digest": derived.outcome.inputs_digest,
        "outcome_digest": derived.outcome_digest,
        "calculation_version": evaluation.CALCULATION_VERSION,
        "result": derived.outcome.result,
        "basis": derived.outcome.basis,
        "reference": derived.reference,
        "specification": derived.specification,
    }


def open_failures(opened: Open, test: Test, kinds: frozenset[str]) -> None:
    """A failing test opens its failure at once, even when it is held. Its chain is settled by the sweep:
    an empty chain digest says that this is still to be done."""
    root = str(test.retest_of or test.client_uuid)
    Failure.objects.bulk_create(
        [
            Failure(
                project=opened.project,
                uuid=failure_uuid(opened.project.uuid, root, kind),
                root_test=root,
                kind=kind,
                state="open",
                opened_at=test.performed_at,
                last_action_at=test.performed_at,
                last_action=(f"failed at test {test}" + (f" ({test.technician})" if test.technician else ""))[:200],
                next_action="contractor: rework, then technician: retest",
                extent_radius_m=opened.project.failure_radius_m,
                chain_digest="",
            )
            for kind in sorted(kinds)
        ],
        ignore_conflicts=True,
    )


def repeat(opened: Open, test: Test, sent: str) -> Recorded:
    """The receipt of the first time, whatever happened to the record since. Raises `ContentConflict`."""
    stored = TestVersion.objects.get(test=test, version=1)
    if stored.content_sha256 != sent:
        raise ContentConflict(stored_sha256=stored.content_sha256, sent_sha256=sent)
    return Recorded(receipt=first_receipt(opened, test), created=False, test=test, chain="none")


def first_receipt(opened: Open, test: Test) -> Receipt:
    event = JournalEvent.objects.select_related("project").get(
        project=opened.project, subject_kind="test", subject=str(test.client_uuid), kind="test.recorded"
    )
    return journal.receipt_of(event)


def _is_uuid(text: Any) -> bool:
    try:
        return isinstance(text, str) and str(uuid.UUID(text)) == text
    except ValueError:
        return False


def preview(*, opened: Open, body: Mapping[str, Any], now: datetime) -> Derived:
    """What a record would give, without storing anything."""
    if not opened.may("submit-test"):
        opened.require("read")
    return derive(body, set_up=set_up.load(opened.project, setup_seq=opened.setup_seq), received_at=now)
