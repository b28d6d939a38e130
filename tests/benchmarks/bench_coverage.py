"""Work out the cover of many lifts from nothing, and what one more record costs.

    .venv/bin/python -m tests.benchmarks.bench_coverage [NUMBER OF LIFTS] [NUMBER OF TESTS]

Four areas side by side on one line, every lift of each placed; tests spread over them, one in twenty failing. Rows of
tests are copies of one that was posted, so that making them takes no time. Uses the database named by
LIFTLEDGER_DATABASE_URL; without it a SQLite file in a folder that is removed.
"""

import os
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

AREAS = 4
RULE = {
    "name": "fill",
    "counters": [
        {"basis": "volume", "interval": "2000 yd3", "within": "area"},
        {"basis": "area", "interval": "500 m2", "minimum": 1},
    ],
}
DAY_0 = datetime.fromisoformat("2020-05-01T08:00:00-06:00")


def main(lifts: int, tests: int) -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    django.setup()

    from django.core.management import call_command
    from django.db import connection, transaction

    from compaction.actions import coverage_settling, locations, placements, specifications, sweep
    from compaction.coverage import lifts as pure
    from compaction.queries import coverage, coverage_rows
    from tests.builders import SPECIFICATION, gauge_body, make_project

    call_command("migrate", verbosity=0)
    site = make_project(code=f"bench-{uuid.uuid4().hex[:8]}")
    body = {**SPECIFICATION, "frequency": [RULE], "reason": "bench"}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    approval = {"reason": "bench"}
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body=approval, now=site.now
    )
    with transaction.atomic():
        for number in range(lifts):
            placements.record(
                opened=site.opened("c.pike"), client_uuid=uuid.uuid4(), body=placement(number), now=site.now
            )
    template = site.post(gauge_body()).test
    _copies(template, lifts, tests)
    sweep.run_until_idle()
    project, under = site.project, coverage.current_set_up(site.project)

    started = time.perf_counter()
    book = coverage_rows.book(project, under)
    read = time.perf_counter() - started
    found = pure.covered(book)
    worked_out = time.perf_counter() - started - read
    states = {state: sum(one.state == state for one in found) for state in coverage.STATES}
    print(
        f"{connection.vendor}: {len(found)} lifts, {len(book.tests)} tests from nothing in {read + worked_out:.2f} s "
        f"({read:.2f} s reading, {worked_out:.2f} s working out); {states}"
    )
    started = time.perf_counter()
    coverage_settling.settle(project, ["*"], now=site.now)
    print(f"{connection.vendor}: all of it settled again, nothing new, in {time.perf_counter() - started:.2f} s")
    middle = 1 + lifts // AREAS // 2
    _each("one more test", lambda number: site.post(gauge_body(label=f"more {number}", lift=middle)))
    filled = site.opened("c.pike")
    _each(
        "one more placement",
        lambda number: placements.record(
            opened=filled, client_uuid=uuid.uuid4(), body=placement(lifts + number), now=site.now
        ),
    )
    where: dict[str, Any] = {"area": "Area 0", "tests": 4, "edge_margin": "1 ft", "done_within": "10 ft"}
    _each(
        "one draw of locations",
        lambda number: locations.draw(
            opened=site.opened(), client_uuid=uuid.uuid4(), body={**where, "lift": number + 1}, now=site.now
        ),
    )


def _each(what: str, write: Callable[[int], object]) -> None:
    """Write ten times and sweep; the median of both."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from compaction.actions import sweep

    written, swept = [], []
    for number in range(10):
        started = time.perf_counter()
        write(number)
        written.append(time.perf_counter() - started)
        with CaptureQueriesContext(connection) as captured:
            started = time.perf_counter()
            sweep.run_until_idle()
            swept.append(time.perf_counter() - started)
    print(
        f"{connection.vendor}: {what} written in {sorted(written)[5] * 1000:.0f} ms, its whole sweep "
        f"{sorted(swept)[5] * 1000:.0f} ms (medians of 10), {len(captured)} statements"
    )


def placement(number: int) -> dict[str, Any]:
    """Lift after lift, each area 300 ft long and 80 ft wide."""
    area, lift = number % AREAS, number // AREAS
    return {
        "area": f"Area {area}",
        "lift": lift + 1,
        "placed_at": (DAY_0 + timedelta(days=lift)).isoformat(),
        "alignment": "main",
        "station_from": f"{12 + 3 * area}+00",
        "station_to": f"{15 + 3 * area}+00",
        "offset_from": "40 L",
        "offset_to": "40 R",
        "thickness": "8 in",
        "quantity": "590 yd3",
    }


def _copies(template: Any, lifts: int, tests: int) -> None:
    from compaction.models import Failure, Test

    rows, failures = [], []
    for number in range(tests):
        group = number % lifts
        area, lift = group % AREAS, group // AREAS
        fails = (7 * number + number // lifts) % 20 == 0
        station_ft = 1200 + 300 * area + (number // lifts * 37) % 300
        row = Test(
            **{
                field.attname: getattr(template, field.attname)
                for field in Test._meta.concrete_fields
                if not field.primary_key
            }
        )
        row.client_uuid, row.label = uuid.uuid4(), str(number)
        row.performed_at = DAY_0 + timedelta(days=lift, hours=4, minutes=number // lifts)
        row.lift, row.station_m = lift + 1, Decimal(station_ft) * Decimal("0.3048")
        row.result = "fail" if fails else "pass"
        rows.append(row)
        if fails:
            failures.append(_failure(row, mended=number % 4 != 0))
    Test.objects.bulk_create(rows, batch_size=200)
    Failure.objects.bulk_create(failures, batch_size=200)


def _failure(row: Any, *, mended: bool) -> Any:
    from compaction.models import Failure

    later = row.performed_at + timedelta(hours=3)
    return Failure(
        project=row.project,
        uuid=uuid.uuid4(),
        root_test=row.client_uuid,
        kind="density",
        state="closed" if mended else "open",
        opened_at=row.performed_at,
        last_action_at=later,
        last_action="closed" if mended else "failed",
        closed_at=later if mended else None,
        extent_radius_m=Decimal(5),
        chain_digest="of the benchmark",
    )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("LIFTLEDGER_DATA_FOLDER", folder)
        main(*(int(text) for text in (sys.argv[1:] + ["200", "20000"][len(sys.argv) - 1 :])))
