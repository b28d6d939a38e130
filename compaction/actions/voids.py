"""Void a test: everything stays on record, struck through, with who and why.

A technician's own slip on the same day needs nobody else. Anything else takes two people: one asks,
another confirms. A low value is no reason.
"""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import decisions, lot_marks
from compaction.actions.refusals import NeedsAnother, Refused
from compaction.models import Decision, Test
from projects import stale
from projects.access import Open

SLIPS = {
    "wrong-project": "belongs to another project",
    "entered-twice": "entered twice under two ids",
    "mass-illegible": "a figure can't be read any more",
}
CAUSES = {
    "hole-collapsed": "the hole collapsed or sand was spilled",
    "count-failed": "the gauge count failed",
    "wrong-depth": "made at the wrong depth",
    "wrong-location": "made off the fill or in the wrong place",
    "out-of-calibration": "the equipment was out of calibration",
}
REASONS = {**SLIPS, **CAUSES}


def ask(
    *, opened: Open, test_uuid: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """Void at once (own slip, same project day) or put the wish on record for a second person."""
    opened.require("void-test")
    reason_code, reason = str(body.get("reason_code", "")), str(body.get("reason", ""))
    if reason_code not in REASONS:
        raise Refused(
            f"A test is voided for one of: {', '.join(REASONS)}. A low value is no reason; it is a failing test.",
            code="reason-unknown",
        )
    if not reason.strip():
        raise Refused("Say in words what happened.", code="reason-missing")
    with transaction.atomic():
        test = decisions.test_ruled_on(opened, test_uuid)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        if test.voided:
            raise Refused("The test is voided already.", code="test-voided")
        alone = _own_slip_today(opened, test, reason_code, now)
        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind="test",
            subject=str(test_uuid),
            meaning="voided" if alone else "void_asked",
            reason_code=reason_code,
            reason=reason,
            basis_digest=test.outcome_digest,
            now=now,
            before_journal=lambda _: _strike(test) if alone else None,
        )
    jobs.wake_sweep()
    return ruled


def confirm(
    *,
    opened: Open,
    test_uuid: uuid.UUID,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    now: datetime,
    void_uuid: uuid.UUID | None = None,
) -> decisions.Ruled:
    """The second person's word on a void that was asked for; `void_uuid` names which, if it is known."""
    opened.require("confirm-void")
    reason = str(body.get("reason", ""))
    if not reason.strip():
        raise Refused("Say in words what you checked.", code="reason-missing")
    with transaction.atomic():
        test = decisions.test_ruled_on(opened, test_uuid)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        asked = (
            Decision.objects.filter(
                project=opened.project, subject_kind="test", subject=str(test_uuid), meaning="void_asked"
            )
            .order_by("-decided_at")
            .first()
        )
        if asked is None or test.voided or void_uuid not in (None, asked.client_uuid):
            raise Refused("Nobody has asked to void this test, or it is voided already.", code="no-void-asked")
        person = opened.actor.person
        if person in (asked.person, test.technician):
            raise NeedsAnother(
                f"{asked.person} asked for the void and {test.technician or 'nobody'} made the test; "
                "a third pair of eyes has to confirm it."
            )
        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind="test",
            subject=str(test_uuid),
            meaning="voided",
            reason_code=asked.reason_code,
            reason=reason,
            basis_digest=test.outcome_digest,
            second_person=asked.person,
            now=now,
            before_journal=lambda _: _strike(test),
        )
    jobs.wake_sweep()
    return ruled


def _own_slip_today(opened: Open, test: Test, reason_code: str, now: datetime) -> bool:
    zone = opened.project.zone_info
    same_day = test.received_at.astimezone(zone).date() == now.astimezone(zone).date()
    return reason_code in SLIPS and same_day and opened.actor.person == test.technician


def _strike(test: Test) -> None:
    test.voided = True
    test.save(update_fields=["voided"])
    stale.mark(
        project=test.project,
        marks=[
            *(stale.Mark("chain", str(uuid_), "test voided") for uuid_ in {test.client_uuid, test.retest_of} if uuid_),
            *lot_marks.marks_now(test.project, [test], "test voided"),
        ],
    )
