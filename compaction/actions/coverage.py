"""What people do about coverage: sign the release of a lift, say why one is not tested, ask what would be required."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import coverage_marks, coverage_settling, decisions, kept
from compaction.actions.kept import Kept
from compaction.actions.refusals import NotCurrent, Refused, Unknown
from compaction.coverage.facts import RELEASED, Covered
from compaction.models import NotTested
from compaction.queries import coverage as coverage_queries
from compaction.queries import coverage_rows
from compaction.records.follow_up import read_ruling
from compaction.records.placement_parts import read_note
from projects import canonical, journal, stale
from projects.access import Open
from projects.models import Project


def release(
    *, opened: Open, area: str, lift: int, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """Sign the release of a lift, on the figures looked at (`basis_digest`, compulsory).

    It falls by itself when these figures move. Raises `Unknown`, `ReadingsError`, `NotCurrent` (figures moved),
    `Refused` (a failure is open, tests are missing, nothing to sign, released already).
    """
    opened.require("release-lift")
    ruling = read_ruling(body)
    if ruling.meaning != coverage_rows.RELEASED:
        raise Refused(f"The meaning of this decision is {coverage_rows.RELEASED!r}.", code="meaning-unknown")
    with transaction.atomic():
        Project.objects.select_for_update(no_key=True).get(pk=opened.project.pk)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        coverage_settling.settle_in_turn(opened.project, {str(lift)}, now=now)
        shown = _shown(opened, area, lift)
        if ruling.basis_digest != shown.digest:
            raise NotCurrent("The figures of this lift moved since you looked; look again and sign these.")
        _check_releasable(shown)

        def mark(_: object) -> None:
            stale.mark(
                project=opened.project,
                marks=[stale.Mark(coverage_marks.KIND, str(lift), "release signed")],
            )

        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind=coverage_rows.SUBJECT_KIND,
            subject=coverage_rows.subject_of(area, lift),
            meaning=coverage_rows.RELEASED,
            reason_code=ruling.reason_code,
            reason=ruling.reason,
            basis_digest=shown.digest,
            now=now,
            before_journal=mark,
        )
    jobs.wake_sweep()
    return ruled


def _shown(opened: Open, area: str, lift: int) -> Covered:
    found = next((one for one in coverage_queries.lift_rows(opened, area) if one.lift == lift), None)
    if found is None:
        raise Unknown(f"Nothing is placed or tested on lift {lift} of {area!r} in this project.")
    return found


def _check_releasable(shown: Covered) -> None:
    """A signature takes the place of tests only where somebody said why there are none; never of an open failure."""
    if shown.state == RELEASED:
        raise Refused("The lift is released already.", code="released-already")
    if shown.failing:
        raise Refused(f"{shown.sentence} Close it first; a release does not close a failure.", code="failure-open")
    if not (shown.signature_wanted or shown.not_tested):
        raise Refused(
            f"{shown.sentence} There is nothing to sign: make the tests, or record why they are not made.",
            code="nothing-to-sign",
        )


def note_not_tested(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Kept[NotTested]:
    """Record why an area on a lift is not tested. Raises `ReadingsError`, `ContentConflict`."""
    opened.require("note-not-tested")
    record = read_note(body)
    sent = canonical.digest(body)
    with transaction.atomic():
        if known := kept.repeated(NotTested, opened, client_uuid, sent, subject_kind="not_tested"):
            return known
        row = NotTested.objects.create(
            **kept.as_sent(opened, client_uuid, body, now=now),
            area=record.area,
            lift=record.lift,
            reason_code=record.reason_code,
            reason=record.reason,
            noted_at=record.noted_at,
        )
        stale.mark(
            project=opened.project,
            marks=[stale.Mark(coverage_marks.KIND, str(record.lift), "said why it is not tested")],
        )
        entry = journal.Entry(
            kind="lift.not_tested",
            subject_kind="not_tested",
            subject=str(client_uuid),
            body={"content": body, "content_sha256": sent},
            performed_at=str(body.get("noted_at", "")),
            reason_code=record.reason_code,
            reason=record.reason,
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Kept(receipt, True, row)
