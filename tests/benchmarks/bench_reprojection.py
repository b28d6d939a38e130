"""Move an alignment under many tests: seconds to ask what would change, and to place every test anew.

    .venv/bin/python -m tests.benchmarks.bench_reprojection [NUMBER OF TESTS] [depth]

With `depth` the alignment has a grade and its stations move too, so that every depth, and with it every outcome, is
another one; without, only the place of every test changes.

The tests are written in bulk (the same rows as by posting, without journal entries), so that only the job is timed.
Half way the job is stopped and started again. Uses the database named by LIFTLEDGER_DATABASE_URL; without it a SQLite
file in a folder that is removed.
"""

import os
import sys
import tempfile
import time
import uuid

PIECE = 1000
GRADE = {"points": [{"station": "900", "elevation": "5101"}, {"station": "5100", "elevation": "5121"}]}


def main(count: int, *, depth: bool = False) -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    django.setup()

    from django.core.management import call_command
    from django.db import connection

    from compaction.actions import geometry_previews, place, sweep
    from compaction.models import GeometryPreview, Test, TestPosition
    from tests.benchmarks.bench_reassessment import body
    from tests.builders import BASELINE, make_project

    call_command("migrate", verbosity=0)
    site = make_project(code=f"bench-{uuid.uuid4().hex[:8]}")
    if depth:
        graded = {**BASELINE, "profile": GRADE}
        place.issue_alignment(opened=site.opened(), code="main", rev=2, name="graded", content=graded, now=site.now)
        sweep.run_until_idle()
    for start in range(0, count, PIECE):
        write(site, [body(number) for number in range(start, min(start + PIECE, count))])
    moved: dict = {**BASELINE, "points": [["20000", "10010"], ["24000", "10010"]]}
    if depth:
        moved |= {"profile": GRADE, "start_station": "990"}
    began, began_process = time.perf_counter(), time.process_time()
    preview = geometry_previews.begin(
        opened=site.opened(), client_uuid=uuid.uuid4(), kind="alignment", code="main", content=moved, now=site.now
    )
    first = time.perf_counter() - began
    sweep.run_until_idle()
    whole, process = time.perf_counter() - began, time.process_time() - began_process
    preview = GeometryPreview.objects.get(pk=preview.pk)
    print(f"{connection.vendor}, {count} tests: first answer of the preview after {first:.1f} s")
    print(f"preview: {whole:.1f} s, process {process:.1f} s ({count / whole:.0f} and {count / process:.0f} a second)")
    print(geometry_previews.sentence(preview))
    began = time.perf_counter()
    place.issue_alignment(opened=site.opened(), code="main", rev=2 + depth, name="moved", content=moved, now=site.now)
    print(f"revision stored and every test marked in {time.perf_counter() - began:.1f} s")
    began, began_process = time.perf_counter(), time.process_time()
    tests = 0
    while tests < count // 2:
        tests += sweep.run_once(site.now).tests
    print(f"stopped after {tests} tests, {time.perf_counter() - began:.1f} s; started again")
    sweep.run_until_idle()
    took, process = time.perf_counter() - began, time.process_time() - began_process
    there = Test.objects.filter(project=site.project, northing_m__gt=3050).count()
    kept = TestPosition.objects.filter(test_version__test__project=site.project).count()
    print(f"{there} tests placed anew, with chains and cover, {kept} positions kept")
    print(f"applied: {took:.1f} s, process {process:.1f} s ({count / took:.0f} and {count / process:.0f} a second)")


def write(site, bodies: list[dict]) -> None:
    """Tests with version, position and outcome, as a posting writes them."""
    from django.db import transaction

    from compaction.actions.field_tests import outcome_values
    from compaction.models import Test, TestOutcome, TestPosition, TestVersion
    from compaction.queries import set_up
    from compaction.queries.derivation import derive, head_values
    from projects import canonical

    opened = site.opened()
    under = set_up.load(site.project, setup_seq=opened.setup_seq)
    found = [derive(made, set_up=under, received_at=site.now) for made in bodies]
    with transaction.atomic():
        tests = Test.objects.bulk_create(
            Test(
                project=site.project, client_uuid=uuid.uuid4(), received_at=site.now, device="bulk", **head_values(one)
            )
            for one in found
        )
        versions = TestVersion.objects.bulk_create(
            TestVersion(
                test=test,
                version=1,
                client_uuid=test.client_uuid,
                schema=1,
                raw_body="",
                raw_sha256="",
                content=canonical.text(made),
                content_sha256=canonical.digest(made),
                author="t.moss",
                received_at=site.now,
            )
            for test, made in zip(tests, bodies, strict=True)
        )
        TestPosition.objects.bulk_create(
            TestPosition(test_version=version, geometry_digest=one.geometry_digest, content=one.position_content)
            for version, one in zip(versions, found, strict=True)
        )
        TestOutcome.objects.bulk_create(
            TestOutcome(test_version=version, cause="recorded", computed_at=site.now, **outcome_values(one))
            for version, one in zip(versions, found, strict=True)
        )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("LIFTLEDGER_DATA_FOLDER", folder)
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000, depth="depth" in sys.argv[2:])
