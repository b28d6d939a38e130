"""What people do about a failure: report rework, close it, accept it, have it replaced."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from compaction import chain, jobs
from compaction.actions import chains, decisions, kept
from compaction.actions.kept import Kept
from compaction.actions.refusals import NotCurrent, Refused, Unknown
from compaction.models import Failure, Rework
from compaction.records.follow_up import read_rework, read_ruling
from projects import canonical, journal
from projects.access import Open

#: how the next action of a failure begins that a supervisor may close
SUPERVISOR: Final = "supervisor"


def report_rework(
    *, opened: Open, failure_uuid: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> Kept[Rework]:
    """Record what was done to the failed area. Raises `Unknown`, `ContentConflict`, `ReadingsError`."""
    opened.require("report-rework")
    record = read_rework(body)
    sent = canonical.digest(body)
    with transaction.atomic():
        failure = _failure(opened, failure_uuid)
        if known := kept.repeated(Rework, opened, client_uuid, sent, subject_kind="rework"):
            return known
        row = Rework.objects.create(
            **kept.as_sent(opened, client_uuid, body, now=now),
            failure_uuid=failure_uuid,
            performed_at=record.performed_at,
            method=record.method,
        )
        chains.settle(opened.project, [str(failure.root_test)])
        entry = journal.Entry(
            kind="failure.reworked",
            subject_kind="rework",
            subject=str(client_uuid),
            body={"content": body, "failure": str(failure_uuid)},
            performed_at=str(body.get("performed_at", "")),
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Kept(receipt, True, row)


def close(
    *, opened: Open, failure_uuid: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """An engineer's closing (a supervisor's where the rule of retests says so), on the figures shown.

    It is `closed`, `accepted_as_is` or `removed_and_replaced`.

    `basis_digest` is the digest the caller saw; if the chain moved since, the closing is refused.
    """
    opened.require("close-failure-by-rule")
    ruling = read_ruling(body)
    if ruling.meaning not in chain.CLOSURES:
        raise Refused(f"A failure ends as one of {', '.join(chain.CLOSURES)}.", code="meaning-unknown")
    with transaction.atomic():
        failure = _failure(opened, failure_uuid)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        chains.settle(opened.project, [str(failure.root_test)])
        failure.refresh_from_db()
        if ruling.basis_digest and ruling.basis_digest != failure.chain_digest:
            raise NotCurrent("The figures of this failure moved since you looked; look again and decide on these.")
        if failure.state in chain.FINISHED and not failure.basis_changed:
            raise Refused(f"The failure is {failure.state.replace('_', ' ')} already.", code="closed-already")
        if not (ruling.meaning == chain.CLOSED and failure.next_action.startswith(SUPERVISOR)):
            opened.require("close-failure")  # a supervisor closes only where the specification says so
        if ruling.meaning == chain.CLOSED:
            _check_closable(failure)

        def settle(_: object) -> None:
            chains.settle(opened.project, [str(failure.root_test)])

        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind="failure",
            subject=str(failure_uuid),
            meaning=ruling.meaning,
            reason_code=ruling.reason_code,
            reason=ruling.reason,
            basis_digest=failure.chain_digest,
            now=now,
            before_journal=settle,
        )
    jobs.wake_sweep()
    return ruled


def _check_closable(failure: Failure) -> None:
    again = failure.state == chain.CLOSED and failure.basis_changed  # closed before, on other figures
    if failure.state not in (chain.PASSED, chain.REASSESSED) and not again:
        raise Refused(
            "It can be closed after a passing retest. Before that it can be accepted as is, with the reason, "
            "or removed and replaced.",
            code="no-passing-retest",
        )
    if failure.next_action.startswith("laboratory"):
        raise Refused(
            "The passing retest still stands on field moisture; wait for the oven value, or accept it as is.",
            code="retest-provisional",
        )


def _failure(opened: Open, failure_uuid: uuid.UUID) -> Failure:
    found = Failure.objects.select_for_update().filter(project=opened.project, uuid=failure_uuid).first()
    if found is None:
        raise Unknown("There is no such failure in this project.")
    return found
