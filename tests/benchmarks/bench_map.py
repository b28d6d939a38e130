"""What the manager's pages cost on a large site: seconds on the server, bytes as they are and as they are sent.

    .venv/bin/python -m tests.benchmarks.bench_map [NUMBER OF LIFTS] [NUMBER OF TESTS]

Uses the database named by LIFTLEDGER_DATABASE_URL; without it a SQLite file in a folder that is removed.
"""

import os
import sys
import tempfile
import time
import uuid

ROUNDS = 3


def main(lifts: int, tests: int) -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    django.setup()

    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection
    from django.test import Client

    from tests.builders import make_project
    from tests.maps.many_tests import make_many

    settings.ALLOWED_HOSTS = ["testserver"]
    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    code = f"bench-{uuid.uuid4().hex[:8]}"
    site = make_project(code=code)
    make_many(site, lifts=lifts, tests=tests)
    client = Client(headers={"accept-encoding": "gzip"})
    client.force_login(site.user("m.dale"))
    newest = [
        f"map/{name}?lift={lifts}"
        for name in ("tests.json", "placements.geojson", "cells.geojson", "locations.geojson")
    ]
    site_wide = ["map", "map/frame", "map/frame.js", "map/areas.geojson", "map/alignment.geojson"]
    every = ["map/tests.json?lift=all", "map/placements.geojson?lift=all", "map/tests.geojson?lift=all"]
    print(f"{connection.vendor}: {lifts} lifts, {tests} tests")
    totals = {}
    for name, paths in (
        ("first view of the map (newest lift)", [*site_wide, *newest]),
        ("map of all lifts", [*site_wide, *every[:2]]),
        ("all tests as GeoJSON, for comparison", every[2:]),
        ("lift by station", ["coverage"]),
        ("today", ["?day=2020-05-03"]),
        ("day sheet", ["day-sheet?day=2020-05-03"]),
        ("one lift", [f"lifts/core/{lifts}"]),
        ("profile, all lifts", ["profile?lift=all", "profile.svg?lift=all"]),
    ):
        totals[name] = _measure(client, [f"/p/{code}/{path}" for path in paths])
        print("  {}: {:.2f} s, {:.0f} kB, {:.0f} kB sent".format(name, *totals[name]))


def _measure(client: object, paths: list[str]) -> tuple[float, float, float]:
    """Seconds (the best of some rounds), kilobytes as made, kilobytes compressed; each path once."""
    import gzip

    seconds, made, sent = 0.0, 0.0, 0.0
    for path in paths:
        best = float("inf")
        for _ in range(ROUNDS):
            started = time.perf_counter()
            answer = client.get(path)  # type: ignore[attr-defined]
            best = min(best, time.perf_counter() - started)
        assert answer.status_code == 200, (path, answer.status_code)
        plain = answer.content
        if answer.headers.get("Content-Encoding") == "gzip":
            sent += len(plain)
            plain = gzip.decompress(plain)
        else:
            sent += len(plain)
        seconds += best
        made += len(plain)
        if os.environ.get("EACH"):
            print(f"    {path}: {best:.2f} s, {len(plain) / 1000:.0f} kB, {len(answer.content) / 1000:.0f} kB sent")
    return seconds, made / 1000, sent / 1000


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("LIFTLEDGER_DATA_FOLDER", folder)
        main(*(int(text) for text in (sys.argv[1:] + ["200", "20000"][len(sys.argv) - 1 :])))
