"""Post tests from several writers to a real server, beside a bare DRF endpoint that stores the same fields.

    .venv/bin/python -m tests.benchmarks.bench_posting [--writers 8] [--seconds 20] [--only tests]

Uses the database named by LIFTLEDGER_DATABASE_URL; without it a SQLite file in a folder that is removed.
Prints posts a second, ratios, latencies and errors; nothing here decides a test. Talks to 127.0.0.1 only.
"""

import argparse
import collections
import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from datetime import UTC, datetime, timedelta


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


def prepare() -> tuple[str, str, dict]:
    """A project, a key and the fields of one stored test, for the bare endpoint."""
    import django

    django.setup()
    from django.core.management import call_command
    from django.forms.models import model_to_dict

    from projects.actions import keys
    from projects.models import Scope
    from tests.builders import gauge_body, make_project

    call_command("migrate", verbosity=0)
    site = make_project(code=f"bench-{uuid.uuid4().hex[:8]}")
    key = keys.issue(
        opened=site.opened("a.wood"),
        owner=site.user("t.moss"),
        name="bench",
        scopes=[Scope.SUBMIT, Scope.READ_PROJECT],
        now=datetime.now(UTC),
    )[1]
    recorded = site.post(gauge_body())
    fields = {name: value for name, value in model_to_dict(recorded.test).items() if name != "id"}
    plain = {
        name: value if isinstance(value, bool | int | None.__class__) else str(value) for name, value in fields.items()
    }
    return site.project.code, key, plain


def a_body(number: int) -> dict:
    from tests.builders import failing_body, gauge_body

    moment = datetime(2026, 5, 1, 14, 0, tzinfo=UTC) + timedelta(seconds=13 * number)
    make = failing_body if number % 8 == 0 else gauge_body
    body = make(performed_at=moment.isoformat(), label=str(number), lift=1 + number % 12)
    body["position"] = {**body["position"], "station": f"{11 + number % 38}+{number % 100:02d}"}
    return body


class Load:
    """Writers that post without pause for so many seconds, each on a connection of its own."""

    def __init__(self, port: int, writers: int, seconds: float) -> None:
        self.port, self.writers, self.seconds = port, writers, seconds
        self.latencies: list[float] = []
        self.statuses: collections.Counter = collections.Counter()

    def run(self, request) -> float:
        self.latencies, self.statuses = [], collections.Counter()
        threads = [threading.Thread(target=self._write, args=(writer, request)) for writer in range(self.writers)]
        started = time.perf_counter()
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return len(self.latencies) / (time.perf_counter() - started)

    def _write(self, writer: int, request) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        end = time.perf_counter() + self.seconds
        number = writer
        while time.perf_counter() < end:
            method, address, headers, body = request(number)
            started = time.perf_counter()
            try:
                connection.request(method, address, body, headers)
                answer = connection.getresponse()
                answer.read()
                self.statuses[answer.status] += 1
            except (OSError, http.client.HTTPException) as error:
                self.statuses[type(error).__name__] += 1
                connection.close()
            self.latencies.append(time.perf_counter() - started)
            number += self.writers

    def words(self) -> str:
        ordered = sorted(self.latencies)
        at = [ordered[min(len(ordered) - 1, int(len(ordered) * share))] * 1000 for share in (0.5, 0.95, 0.99, 1)]
        return f"p50/p95/p99/max {'/'.join(f'{value:.0f}' for value in at)} ms, answers {dict(self.statuses)}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--writers", type=int, default=8)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--only", choices=["bare", "tests", "batch"])
    given = parser.parse_args()
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.benchmarks.bare"
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("LIFTLEDGER_DATA_FOLDER", folder)
        code, key, fields = prepare()
        port = free_port()
        line = [sys.executable, "-m", "gunicorn", "compaction.wsgi", "-b", f"127.0.0.1:{port}"]
        options = ["-w", "2", "--threads", "4", "--log-level", "warning"]
        server = subprocess.Popen([*line, *options])
        try:
            wait_for(port)
            measure(Load(port, given.writers, given.seconds), code, key, fields, given.only)
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(30)


def measure(load: Load, code: str, key: str, fields: dict, only: str | None) -> None:
    from django.db import connection

    json_type = {"Content-Type": "application/json"}
    authorised = {**json_type, "Authorization": f"Bearer {key}"}
    rates: dict[str, float] = {}

    def bare(number: int):
        body = a_body(number)
        made = {**fields, "client_uuid": str(uuid.uuid4()), "performed_at": body["performed_at"]}
        return "POST", "/bare/", json_type, json.dumps({"fields": made, "body": body})

    def one(number: int):
        address = f"/api/v1/projects/{code}/tests/{uuid.UUID(int=random.getrandbits(128))}"
        return "PUT", address, authorised, json.dumps(a_body(number))

    def batch(number: int):
        items = [{"id": str(uuid.uuid4()), "test": a_body(number * 20 + place)} for place in range(20)]
        return "POST", f"/api/v1/projects/{code}/tests:batch", authorised, json.dumps({"items": items})

    for name, request, each in (("bare", bare, 1), ("tests", one, 1), ("batch", batch, 20)):
        if only in (None, name):
            rates[name] = load.run(request) * each
            print(f"{connection.vendor} {name}: {rates[name]:.0f} tests a second, {load.words()}", flush=True)
    if "bare" in rates and "tests" in rates:
        print(f"{connection.vendor}: one test by PUT runs at {rates['tests'] / rates['bare']:.2f} of the bare endpoint")
        if "batch" in rates:
            print(f"{connection.vendor}: in batches of 20 at {rates['batch'] / rates['bare']:.2f} of it")


def wait_for(port: int) -> None:
    for _ in range(200):
        try:
            with socket.create_connection(("127.0.0.1", port), 0.2):
                return
        except OSError:
            time.sleep(0.1)
    raise SystemExit("The server did not start.")


if __name__ == "__main__":
    main()
