"""What a new revision of an alignment or an area would do to every test, before anybody makes it.

The first piece is looked at while the person waits; the rest is stale work that the sweep takes in pieces, so that
a hundred thousand tests cost nobody a request and a stopped server loses nothing.
"""

import json
import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from math import hypot
from typing import Any, Final

from django.db import transaction

from compaction import jobs
from compaction.actions import foresight, place
from compaction.actions.refusals import ContentConflict, Refused, Unknown
from compaction.actions.revisions import Issued
from compaction.models import GeometryPreview, Test
from compaction.queries import set_up
from projects import canonical, stale
from projects.access import Open
from projects.models import AlignmentRevision, AreaRevision, JournalHead

AT_ONCE: Final = 200
PIECE: Final = 1000
ROWS_KEPT: Final = 200
RUNS_SHOWN: Final = 5
MOVED_M: Final = Decimal("0.001")
#: kind of stale work
STALE_KIND: Final = "preview"


@dataclass
class Counts:
    """What was found so far. The distance is a decimal written as text."""

    moved: int = 0
    farthest_m: str = "0"
    no_longer_placed: int = 0
    zone_changes: int = 0
    result_changes: int = 0
    pass_to_fail: int = 0
    fail_to_pass: int = 0


def begin(
    *,
    opened: Open,
    client_uuid: uuid.UUID,
    kind: str,
    code: str,
    content: Mapping[str, Any],
    now: datetime,
    name: str = "",
    area_kind: str = "zone",
    reason: str = "",
) -> GeometryPreview:
    """Ask what this content would change as the next revision. Raises `Refused` where it can't be read."""
    opened.require("set-up")
    frozen = (
        place.alignment_content(content)
        if kind == "alignment"
        else place.area_content(content, code=code, kind=area_kind, name=name)
    )
    text = canonical.text(frozen)
    known = GeometryPreview.objects.filter(project=opened.project, client_uuid=client_uuid).first()
    if known is not None:
        if known.content != text:
            raise ContentConflict(stored_sha256=known.digest, sent_sha256=canonical.digest(frozen))
        return known
    preview = GeometryPreview.objects.create(
        project=opened.project,
        client_uuid=client_uuid,
        kind=kind,
        code=code,
        name=name,
        reason=reason,
        content=text,
        digest=canonical.digest(frozen),
        setup_seq=opened.setup_seq,
        total=Test.objects.filter(project=opened.project, voided=False).count(),
        asked_by=opened.actor.person or opened.actor.ident,
        asked_at=now,
    )
    advance(preview, at_most=AT_ONCE, now=now)
    if preview.finished_at is None:
        with transaction.atomic():
            stale.mark(project=opened.project, marks=[stale.Mark(STALE_KIND, str(client_uuid), str(preview))])
        jobs.wake_sweep()
    return preview


def read(opened: Open, client_uuid: uuid.UUID) -> GeometryPreview:
    """A run of this project. Raises `Unknown`."""
    opened.require("read")
    preview = GeometryPreview.objects.filter(project=opened.project, client_uuid=client_uuid).first()
    if preview is None:
        raise Unknown("There is no such preview in this project.")
    return preview


def under_way(opened: Open, kind: str, code: str) -> list[GeometryPreview]:
    """The latest runs for an alignment or an area of which no revision was made."""
    opened.require("read")
    model = AlignmentRevision if kind == "alignment" else AreaRevision
    made = set(model.objects.filter(project=opened.project, code=code).values_list("content", flat=True))
    runs = GeometryPreview.objects.filter(project=opened.project, kind=kind, code=code).order_by("-asked_at")
    return [run for run in runs[:RUNS_SHOWN] if run.content not in made]


def make(opened: Open, client_uuid: uuid.UUID, *, now: datetime) -> Issued:
    """Issue what was asked about as the next revision. Asked once more, it is the same revision.

    Raises `Refused` while tests are still being looked at, or when the set-up has changed since.
    """
    preview = read(opened, client_uuid)
    model = AlignmentRevision if preview.kind == "alignment" else AreaRevision
    latest = model.objects.filter(project=opened.project, code=preview.code).order_by("-rev").first()
    if latest is not None and latest.content == preview.content:
        return Issued(False, latest, None)
    if preview.finished_at is None:
        raise Refused("Tests are still being looked at. Wait until the preview is finished.", code="preview-unfinished")
    if preview.setup_seq != opened.setup_seq:
        raise Refused("The set-up has changed since this was looked at. Ask again.", code="preview-out-of-date")
    content, rev = json.loads(preview.content), (latest.rev if latest else 0) + 1
    if preview.kind == "alignment":
        return place.issue_alignment(
            opened=opened, code=preview.code, rev=rev, name=preview.name, content=content, now=now
        )
    return place.issue_area(
        opened=opened,
        code=preview.code,
        rev=rev,
        name=preview.name,
        kind=content["kind"],
        content=content,
        reason=preview.reason,
        now=now,
    )


def found(preview: GeometryPreview) -> tuple[Counts, list[dict[str, Any]]]:
    """Counts and first changes so far."""
    return Counts(**json.loads(preview.counts)), json.loads(preview.rows)


def sentence(preview: GeometryPreview) -> str:
    """The counts in words."""
    counts, _ = found(preview)
    looked = f"Of {preview.total} tests {preview.looked_at} were looked at"
    return (
        f"{looked}: {counts.moved} move, at most {Decimal(counts.farthest_m):.3f} m; "
        f"{counts.zone_changes} change their zone; {counts.result_changes} change their result "
        f"({counts.pass_to_fail} pass to fail, "
        f"{counts.fail_to_pass} fail to pass)."
    )


def advance(preview: GeometryPreview, *, at_most: int, now: datetime) -> bool:
    """Look at the next tests; True when all have been looked at. The set-up moved: it starts again."""
    setup_seq = JournalHead.objects.values_list("setup_seq", flat=True).get(project_id=preview.project_id)
    if setup_seq != preview.setup_seq:
        preview.setup_seq, preview.reached, preview.looked_at = setup_seq, 0, 0
        preview.counts, preview.rows = "{}", "[]"
    under = _under(preview)
    counts, rows = found(preview)
    tests = list(
        Test.objects.filter(project_id=preview.project_id, voided=False, pk__gt=preview.reached).order_by("pk")[
            :at_most
        ]
    )
    for test, values, after in foresight.foreseen(preview.project_id, tests, under=under):
        row = _count(counts, test, values, after)
        if row and len(rows) < ROWS_KEPT:
            rows.append(row)
    preview.looked_at += len(tests)
    if tests:
        preview.reached = tests[-1].pk
    if len(tests) < at_most:
        preview.finished_at, preview.total = now, preview.looked_at
    preview.counts, preview.rows = canonical.text(asdict(counts)), canonical.text(rows)
    preview.save()
    return preview.finished_at is not None


def advance_stale(project_id: int, keys: list[str], *, now: datetime) -> list[str]:
    """One piece of each run; returns the keys that need more."""
    unfinished = []
    for preview in GeometryPreview.objects.filter(project_id=project_id, client_uuid__in=keys, finished_at=None):
        if not advance(preview, at_most=PIECE, now=now):
            unfinished.append(str(preview.client_uuid))
    return unfinished


def _under(preview: GeometryPreview) -> set_up.SetUp:
    current = set_up.load(preview.project, setup_seq=preview.setup_seq)
    content = json.loads(preview.content)
    if preview.kind == "alignment":
        return set_up.with_alignment(current, preview.code, content, at=preview.asked_at, digest=preview.digest)
    return set_up.with_area(current, preview.code, content, at=preview.asked_at, digest=preview.digest)


def _count(counts: Counts, test: Test, values: Mapping[str, Any], after: str) -> dict[str, Any] | None:
    """Add one test to the counts; its row if anything about it changes."""
    before = test.result
    shift_m = _shift_m(test, values)
    if shift_m is None:
        counts.no_longer_placed += 1
    moved = shift_m is None or shift_m > MOVED_M or values["station_text"] != test.station_text
    zone = (test.zone, test.exempt) != (values["zone"], values["exempt"])
    if moved:
        counts.moved += 1
        counts.farthest_m = str(max(Decimal(counts.farthest_m), shift_m or Decimal(0)))
    counts.zone_changes += zone
    counts.result_changes += before != after
    counts.pass_to_fail += (before, after) == ("pass", "fail")
    counts.fail_to_pass += (before, after) == ("fail", "pass")
    if not (zone or before != after or moved):
        return None
    return {
        "test": str(test.client_uuid),
        "label": test.label,
        "station_before": test.station_text,
        "station_after": values["station_text"],
        "shift_m": None if shift_m is None else str(shift_m),
        "zone_before": _zone(test.zone, test.exempt),
        "zone_after": _zone(values["zone"], values["exempt"]),
        "result_before": before,
        "result_after": after,
    }


def _zone(zone: str, exempt: bool) -> str:
    return "exempt" if exempt else zone


def _shift_m(test: Test, values: Mapping[str, Any]) -> Decimal | None:
    """How far the spot moves in plan; None where it had a place and has none any more."""
    before, after = (test.easting_m, test.northing_m), (values["easting_m"], values["northing_m"])
    if None in before:
        return Decimal(0)
    if None in after:
        return None
    away = hypot(*(float(there - here) for here, there in zip(before, after, strict=True)))
    return Decimal(repr(round(away, 4)))
