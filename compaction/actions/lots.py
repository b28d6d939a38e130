"""Declare lots before their tests are made, see what a rule would say, close them as a whole."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import decisions, kept, lot_settling, revisions
from compaction.actions.refusals import NotCurrent, Refused, Unknown
from compaction.actions.revisions import Issued
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.evaluation import lots
from compaction.evaluation.lots import LotResult
from compaction.models import Lot, LotRevision
from compaction.queries import lots as lot_queries
from compaction.queries import set_up
from compaction.queries.limits import range_from_text
from compaction.queries.lot_places import LotPlace
from compaction.records import lot
from compaction.records.follow_up import read_ruling
from compaction.records.lot import LotRecord
from projects import canonical, journal, stale
from projects.access import Open
from projects.geometry.areas import Area, area_to_plain

#: without offsets a range takes in the whole width; wider than any fill (m)
WHOLE_WIDTH = ("5000 m L", "5000 m R")
EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)


def declare(*, opened: Open, code: str, rev: int, body: Mapping[str, Any], now: datetime) -> Issued:
    """Declare a lot or its next revision. Tests made before this moment do not enter it.

    Raises `ReadingsError`, `ContentConflict`, `Refused` (not the next number, closed, days that are over).
    """
    opened.require("declare-lot")
    record = lot.read(body, code=code, rev=rev)
    outlines = [area_to_plain(area) for area in _outlines(opened, record, now)]
    digest = lots.facts_digest(record.facts, outlines)
    content = canonical.text(body)
    with transaction.atomic():
        head = Lot.objects.select_for_update().filter(project=opened.project, code=code).first()
        if known := revisions.repeated(LotRevision, opened, code, rev, content):
            return known
        _check_times(opened, record, head, now)
        row = LotRevision.objects.create(
            project=opened.project,
            code=code,
            rev=rev,
            title=str(body["title"]),
            content=content,
            outlines=canonical.text(outlines),
            digest=digest,
            reason=record.reason,
            author=opened.actor.person or opened.actor.ident,
            declared_at=now,
        )
        if head is None:
            head = Lot.objects.create(project=opened.project, code=code, rev=rev, title=row.title)
        else:
            head.rev, head.title = rev, row.title
            head.save(update_fields=["rev", "title"])
        stale.mark(project=opened.project, marks=[stale.Mark("lot", code, f"revision {rev} declared")])
        entry = journal.Entry(
            kind="lot.declared",
            subject_kind="lot",
            subject=code,
            subject_version=rev,
            body={"content": body, "outlines": outlines, "digest": digest},
            reason=record.reason,
            changes_setup=True,
        )
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Issued(True, row, receipt)


def _check_times(opened: Open, record: LotRecord, head: Lot | None, now: datetime) -> None:
    if head is not None and head.state != "open":
        raise Refused(f"Lot {head.code} is {head.state}; declare a new lot instead.", code="lot-closed")
    if head is not None and not record.reason.strip():
        raise Refused("Say in words why the lot is declared anew.", code="reason-missing")
    today = now.astimezone(opened.project.zone_info).date()
    last = record.facts.last_day
    if last is not None and last < today:
        raise Refused(
            f"The lot's last day, {last}, is over; a lot is declared before its tests are made.",
            code="declared-afterwards",
        )


def _outlines(opened: Open, record: LotRecord, now: datetime) -> list[Area]:
    """The area and the range between stations, as they lie on the geometry of today. Raises `ReadingsError`."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    found = []
    known = {entry.code: entry for entry in under.areas_at(now)}
    errors = [
        ReadingError(f"/{name}", "unknown-area", f"There is no area {code!r}; known are: {', '.join(known) or 'none'}.")
        for name, code in (("zone", record.facts.zone), ("area", record.area))
        if code and code not in known
    ]
    if errors:
        raise ReadingsError(errors)
    if record.area:
        found.append(known[record.area].geometry)
    if record.stations:
        shape = range_from_text(
            under,
            moment=now,
            alignment=record.stations["alignment"],
            station_from=record.stations["station_from"],
            station_to=record.stations["station_to"],
            offset_from=record.stations.get("offset_from", WHOLE_WIDTH[0]),
            offset_to=record.stations.get("offset_to", WHOLE_WIDTH[1]),
        )
        found.append(Area(code=record.facts.code, kind="limit", shape=shape))
    return found


@dataclass(frozen=True)
class Preview:
    """A lot that was not declared: what it would be, and what its rules say of the tests so far."""

    record: LotRecord
    result: LotResult
    content: dict[str, Any]


def preview(*, opened: Open, body: Mapping[str, Any], now: datetime) -> Preview:
    """What the rules would say of the tests so far, as if the lot had been declared before all of them.

    Nothing is stored, and none of these tests would enter the lot. Raises `ReadingsError`.
    """
    opened.require("read")
    record = lot.read(body, code="preview", rev=1)
    facts = replace(record.facts, declared_at=EARLIEST)
    outlines = tuple(_outlines(opened, record, now))
    place = LotPlace("preview", facts.zone, facts.lift_from, facts.lift_to, outlines)
    result = lots.judge(facts, lot_queries.tests_at(opened.project, place))
    content = lots.to_plain(result)
    for member in content["members"]:
        if member["counts"]:
            member["reason"] = member["reason"].partition("; ")[2] or "made so far"
    return Preview(record, result, content)


def close(
    *, opened: Open, code: str, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """An engineer accepts or rejects the lot on the figures looked at (`basis_digest`, compulsory).

    Raises `Unknown`, `ReadingsError`, `NotCurrent` (figures moved), `Refused` (closed already). Failures of single
    tests are not touched by it.
    """
    opened.require("close-lot")
    ruling = read_ruling(body)
    if ruling.meaning not in lot_queries.CLOSINGS:
        raise Refused(f"A lot ends as one of {', '.join(lot_queries.CLOSINGS)}.", code="meaning-unknown")
    with transaction.atomic():
        head = Lot.objects.select_for_update().filter(project=opened.project, code=code).first()
        if head is None:
            raise Unknown("There is no such lot in this project.")
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        declared = lot_queries.revisions_of(opened.project, [code])[code]
        decided = lot_queries.closings(opened.project, [code]).get(code, [])
        lot_settling.settle_one(head, declared, decided, "looked at again before closing", now)
        if ruling.basis_digest != head.outcome_digest:
            raise NotCurrent("The figures of this lot moved since you looked; look again and decide on these.")
        if decided and not head.basis_changed:
            raise Refused(f"The lot is {head.state} already, on these figures.", code="closed-already")
        return decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind="lot",
            subject=code,
            meaning=ruling.meaning,
            reason=ruling.reason,
            basis_digest=head.outcome_digest,
            now=now,
            before_journal=lambda decision: _keep(head, decision),
        )


def _keep(head: Lot, decision: Any) -> None:
    """What the closing does to the head: tests made after it stay out, so the result is judged with it in force."""
    declared = lot_queries.revisions_of(head.project, [head.code])[head.code]
    decided = lot_queries.closings(head.project, [head.code])[head.code]
    lot_settling.settle_one(head, declared, decided, f"lot {decision.meaning}", decision.decided_at)
