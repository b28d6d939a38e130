"""Release a hold: a supervisor or engineer says, on these figures, why the reading can stand."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import decisions, lot_marks
from compaction.actions.refusals import NeedsAnother, Refused
from projects import stale
from projects.access import Open


def release(
    *, opened: Open, test_uuid: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """Release one hold by its code. It returns by itself if the figures change afterwards."""
    opened.require("release-hold")
    code, reason = str(body.get("hold", "")), str(body.get("reason", ""))
    if not reason.strip():
        raise Refused("Say in words why the reading can stand.", code="reason-missing")
    with transaction.atomic():
        test = decisions.test_ruled_on(opened, test_uuid)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        holds = test.open_holds.split()
        if code not in holds:
            raise Refused(
                f"The test has no open hold {code[:40]!r}; open are: {', '.join(holds) or 'none'}.", code="no-such-hold"
            )
        if opened.actor.person == test.technician:
            raise NeedsAnother("Whoever made the test can't release its hold; another person has to.")

        def lift(_: object) -> None:
            test.open_holds = " ".join(item for item in holds if item != code)
            test.save(update_fields=["open_holds"])
            keys = {test.client_uuid, test.retest_of} - {None}
            marks = [stale.Mark("chain", str(key), "hold released") for key in keys]
            lots = lot_marks.marks_now(opened.project, [test], "hold released")
            stale.mark(project=opened.project, marks=[*marks, *lots])

        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind="test",
            subject=str(test_uuid),
            meaning="hold_released",
            detail=code,
            reason=reason,
            basis_digest=test.outcome_digest,
            now=now,
            before_journal=lift,
        )
    jobs.wake_sweep()
    return ruled
