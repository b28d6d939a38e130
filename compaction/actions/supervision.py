"""Say what was found about a finding of the day, and switch kinds of findings on and off. No test is touched."""

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from compaction.actions import decisions
from compaction.actions.refusals import NeedsAnother, Refused, Unknown
from compaction.evaluation.supervision.facts import KINDS
from compaction.queries import supervision
from projects.access import Open

SHORTEST_REASON = 3


def dismiss(
    *, opened: Open, day: date, finding: str, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """A finding was looked at: `body` holds the reason and the digest of the figures shown. It stays on record.

    Raises `Unknown` (no such finding that day), `NeedsAnother` (one's own tests), `Refused` (no reason, other figures).
    """
    opened.require("see-supervision")
    reason = _reason(body)
    with transaction.atomic():
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        shown = next((one for one in supervision.on_day(opened, day) if one.id == finding), None)
        if shown is None:
            raise Unknown(
                "There is no such finding on that day; its tests may have been amended. Look at the day again."
            )
        if opened.actor.person in shown.technicians:
            raise NeedsAnother("Whoever made the tests can't dismiss a finding about them; another person has to.")
        if body.get("basis_digest") != shown.digest:
            raise Refused("The figures have moved since the page was shown. Look at them again.", code="figures-moved")
        return _write(
            opened, client_uuid, body, finding, supervision.SEEN, reason, now, shown.digest, shown.finding.code
        )


def switch(
    *, opened: Open, kind: str, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """Switch a kind of findings on or off for the project, with a reason. Raises `Unknown`, `Refused`."""
    opened.require("switch-supervision")
    reason = _reason(body)
    if kind not in KINDS:
        raise Unknown(f"There is no kind of finding {kind[:40]!r}; known are: {', '.join(KINDS)}.")
    if not isinstance(body.get("on"), bool):
        raise Refused("Say true or false under 'on'.", code="switch-missing")
    meaning = supervision.ON if body["on"] else supervision.OFF
    with transaction.atomic():
        repeated = decisions.known(opened, client_uuid, body)
        return repeated or _write(opened, client_uuid, body, kind, meaning, reason, now)


def _reason(body: Mapping[str, Any]) -> str:
    reason = body.get("reason")
    if not isinstance(reason, str) or len(reason.strip()) < SHORTEST_REASON or len(reason) > 4000:
        raise Refused("Say in words what was found or why, in at most 4000 characters.", code="reason-missing")
    return reason


def _write(
    opened: Open,
    client_uuid: uuid.UUID,
    body: Mapping[str, Any],
    subject: str,
    meaning: str,
    reason: str,
    now: datetime,
    basis_digest: str = "",
    detail: str = "",
) -> decisions.Ruled:
    return decisions.write(
        opened=opened,
        client_uuid=client_uuid,
        body=body,
        subject_kind=supervision.SUBJECT,
        subject=subject,
        meaning=meaning,
        reason=reason,
        detail=detail,
        basis_digest=basis_digest,
        now=now,
    )
