"""The engine: look for stale work in the database, claim it, redo it. Messages only make it look sooner."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby

from django.db import transaction

from compaction.actions import chains, coverage_marks, coverage_settling, geometry_previews, lot_settling, reassessment
from compaction.models import Failure
from projects import stale
from projects.models import Project, StaleWork

logger = logging.getLogger(__name__)
TAKE = reassessment.BATCH
#: kinds of work; later ones stand on earlier ones
ORDER = ("test", "place", "chain", "lot", coverage_marks.KIND, geometry_previews.STALE_KIND)
#: batches of a kind in one round: the rounds of many tests are not spent looking for other work
BATCHES = {"test": 8, "place": 8}
#: rows in a batch where not as many as of tests: chains read what lies above once a batch
TAKES = {"chain": 1000}
#: what is worked out from many rows of other kinds waits until none of them is due in its project
AFTER = {
    "chain": ("test", "place"),
    "lot": ("test", "place", "chain"),
    coverage_marks.KIND: ("test", "place", "chain"),
}


@dataclass
class Swept:
    tests: int = 0
    chains: int = 0
    lots: int = 0
    lifts: int = 0
    previews: int = 0
    failed: int = 0

    @property
    def anything(self) -> bool:
        return bool(self.tests or self.chains or self.lots or self.lifts or self.previews or self.failed)


def run_until_idle(*, clock: Callable[[], datetime] = lambda: datetime.now(UTC), at_most: int = 100_000) -> Swept:
    """Redo stale work until none is due; returns how much was done."""
    total = Swept()
    for _ in range(at_most):
        done = run_once(clock())
        if not done.anything:
            break
        total.tests += done.tests
        total.chains += done.chains
        total.lots += done.lots
        total.lifts += done.lifts
        total.previews += done.previews
        total.failed += done.failed
    return total


def run_once(now: datetime) -> Swept:
    """A few batches of each kind."""
    swept = Swept()
    for kind in ORDER:
        for _ in range(BATCHES.get(kind, 1)):
            due = stale.due(now=now, kinds=[kind])
            if kind in AFTER:
                busy = stale.due(now=now, kinds=AFTER[kind]).order_by().values_list("project_id", flat=True)
                due = due.exclude(project_id__in=list(busy.distinct()))
            ids = list(due.values_list("pk", flat=True)[: TAKES.get(kind, TAKE)])
            if not ids:
                break
            rows = stale.claim(ids=ids, now=now)
            for project, part in _by_project(rows):
                _redo(kind, project, part, now, swept)
    _settle_new_failures(swept)
    return swept


def _redo(kind: str, project: Project, rows: list[StaleWork], now: datetime, swept: Swept) -> None:
    try:
        if kind in ("test", "place"):
            reassessment.reassess(
                project=project,
                uuids=[row.key for row in rows],
                causes={row.key: row.cause for row in rows},
                now=now,
                only_place=kind == "place",
            )
            swept.tests += len(rows)
        elif kind == "lot":
            causes = {row.key: row.cause for row in rows}
            lot_settling.settle(project, [row.key for row in rows], causes=causes, now=now)
            swept.lots += len(rows)
        elif kind == coverage_marks.KIND:
            coverage_settling.settle(project, [row.key for row in rows], now=now)
            swept.lifts += len(rows)
        elif kind == geometry_previews.STALE_KIND:
            _look_on(project, rows, now, swept)
            return
        else:
            chains.settle(project, [row.key for row in rows])
            swept.chains += len(rows)
        stale.done(rows)
    except Exception as error:  # one bad row must not stop the sweep: it is parked after five attempts and shown
        logger.exception("Stale work of kind %s failed.", kind)
        if len(rows) == 1:
            stale.failed(rows, error=f"{type(error).__name__}: {error}")
            swept.failed += 1
            return
        for row in rows:
            _redo(kind, project, [row], now, swept)


def _look_on(project: Project, rows: list[StaleWork], now: datetime, swept: Swept) -> None:
    """One piece of each preview; what is not finished stays due, behind everything else that is."""
    unfinished = geometry_previews.advance_stale(project.pk, [row.key for row in rows], now=now)
    swept.previews += len(rows)
    stale.done(rows)
    with transaction.atomic():
        again = [stale.Mark(geometry_previews.STALE_KIND, row.key, row.cause) for row in rows if row.key in unfinished]
        stale.mark(project=project, marks=again)


def _settle_new_failures(swept: Swept) -> None:
    """Failures opened by a posting, whose chain nobody has looked at: an empty digest says so."""
    fresh = list(
        Failure.objects.filter(chain_digest="").select_related("project").order_by("project_id", "uuid")[:TAKE]
    )
    for project, part in _by_project(fresh):
        chains.settle(project, [str(failure.root_test) for failure in part])
        swept.chains += len(part)


def _by_project(rows):
    ordered = sorted(rows, key=lambda row: row.project_id)
    for _, group in groupby(ordered, key=lambda row: row.project_id):
        part = list(group)
        yield part[0].project, part
