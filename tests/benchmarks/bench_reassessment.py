"""Reassess many tests after a revision of their Proctor: seconds and statements.

    .venv/bin/python -m tests.benchmarks.bench_reassessment [NUMBER OF TESTS]

Uses the database named by LIFTLEDGER_DATABASE_URL; without it a SQLite file in a folder that is removed.
"""

import os
import sys
import tempfile
import time
import uuid
from datetime import timedelta


def main(count: int) -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    django.setup()

    from django.core.management import call_command
    from django.db import connection, transaction
    from django.test.utils import CaptureQueriesContext

    from compaction.actions import references, sweep
    from compaction.models import Test
    from projects import journal
    from tests.builders import PROCTOR, make_project

    call_command("migrate", verbosity=0)
    site = make_project(code=f"bench-{uuid.uuid4().hex[:8]}")
    started = time.perf_counter()
    with transaction.atomic():
        for number in range(count):
            site.post(body(number), id_=uuid.uuid4())
    posted = time.perf_counter() - started
    sweep.run_until_idle()
    references.issue(
        opened=site.opened("l.finch"),
        code="P-1",
        rev=2,
        body={**PROCTOR, "maximum_dry_density": "111.7 pcf", "reason": "verification"},
        now=site.now,
    )
    references.approve(
        opened=site.opened(), code="P-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "seen"}, now=site.now
    )
    before = Test.objects.filter(project=site.project, result="fail").count()
    with CaptureQueriesContext(connection) as captured:
        started = time.perf_counter()
        swept = sweep.run_until_idle()
        took = time.perf_counter() - started
    after = Test.objects.filter(project=site.project, result="fail").count()
    print(f"{connection.vendor}: {count} tests posted in one transaction, {count / posted:.0f} a second")
    print(
        f"{connection.vendor}: reassessed {swept.tests} tests and {swept.chains} chains in {took:.1f} s, "
        f"{len(captured)} statements ({len(captured) / count:.2f} a test); failing before {before}, after {after}"
    )
    started = time.perf_counter()
    assert journal.verify(site.project) == []
    print(f"{connection.vendor}: journal verified in {time.perf_counter() - started:.1f} s")


def body(number: int) -> dict:
    from datetime import datetime

    from tests.builders import gauge_body

    moment = datetime.fromisoformat("2026-05-01T08:00:00-06:00") + timedelta(minutes=7 * number)
    wet = 119.5 + (number * 37 % 100) / 20
    made = gauge_body(performed_at=moment.isoformat(), label=str(number), lift=1 + number // 400)
    made["readings"] = {**made["readings"], "wet_density": f"{wet:.1f} pcf"}
    made["position"] = {**made["position"], "station": f"{12 + number % 35}+{number % 100:02d}"}
    return made


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("LIFTLEDGER_DATA_FOLDER", folder)
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
