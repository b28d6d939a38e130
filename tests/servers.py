"""Real servers for the suite: a Redis, a PostgreSQL, Celery workers, a Chromium. Found, or started on demand.

A pytest plugin, loaded by name (`-p tests.servers`). Servers start when the first test asks for them, on
127.0.0.1 at a random port with a folder of their own, and end with the run. A server that is nowhere to be
found fails the tests that need it; the one exception is a browser, which is reported as not run.

TEST_REDIS_URL and TEST_DATABASE_URL name servers to use instead: empty ones, for the tests alone.
TESTS_MUST_RUN, a list of markers with commas, makes the run fail if no test with one of them passed.
"""

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.infrastructure.browsers import describe as describe_browser
from tests.infrastructure.browsers import find as find_browser
from tests.infrastructure.celery_workers import CeleryWorker
from tests.infrastructure.postgres_server import PostgresServer
from tests.infrastructure.postgres_server import describe as describe_postgres
from tests.infrastructure.postgres_server import running as running_postgres
from tests.infrastructure.redis_server import RedisServer
from tests.infrastructure.redis_server import describe as describe_redis
from tests.infrastructure.redis_server import running as running_redis

MARKER_OF_FIXTURE = {
    "redis_server": "redis",
    "own_redis_server": "redis",
    "postgres_server": "postgres",
    "celery_worker": "worker",
    "chromium": "browser",
}
MARKERS = list(dict.fromkeys(MARKER_OF_FIXTURE.values()))
passed_by_marker: Counter[str] = Counter()
browser_tests_not_run: set[str] = set()


# ---- the run as a whole --------------------------------------------------------------------------
@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Where Python is told to keep no compiled modules, the run's many processes share some until it ends."""
    if sys.dont_write_bytecode and not hasattr(config, "workerinput") and "PYTHONPYCACHEPREFIX" not in os.environ:
        folder = tempfile.TemporaryDirectory(prefix="compiled-")
        config.add_cleanup(folder.cleanup)
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = folder.name


def pytest_report_header() -> list[str]:
    """Say before the run what it will stand on."""
    inner = os.environ.get("LIFTLEDGER_TESTS_RUN_ON")
    if inner:
        return ["database: PostgreSQL, given by the run that started this one"]
    return [f"redis: {describe_redis()}", f"postgres: {describe_postgres()}", f"browser: {describe_browser()}"]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A test that asks for a server carries that server's marker (before `-m` looks at markers)."""
    for item in items:
        for fixture in getattr(item, "fixturenames", ()):
            if fixture in MARKER_OF_FIXTURE:
                item.add_marker(MARKER_OF_FIXTURE[fixture])


@pytest.hookimpl(tryfirst=True)
def pytest_collection_finish(session: pytest.Session) -> None:
    """The run on PostgreSQL takes longest: with two processes it starts first, beside everything else.

    After it come the tests of the played demo, together, so that one process plays it and not both.
    """
    session.items.sort(
        key=lambda item: ("tests/on_postgres/" not in item.nodeid, "played" not in getattr(item, "fixturenames", ()))
    )


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Count what really ran, by marker (under pytest-xdist: in the process that prints the summary)."""
    if report.when == "call" and report.passed:
        passed_by_marker.update(name for name in MARKERS if name in report.keywords)
    if report.skipped and "browser" in report.keywords:
        browser_tests_not_run.add(report.nodeid)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """One line that says which real servers the passed tests used."""
    if any(passed_by_marker.values()):
        used = ", ".join(f"{name} {passed_by_marker[name]}" for name in MARKERS)
        terminalreporter.write_line(f"passed with real servers: {used}")
    if browser_tests_not_run:
        terminalreporter.write_line(f"NOT RUN: {len(browser_tests_not_run)} browser tests; {describe_browser()}")
    idle = _idle()
    if idle:
        terminalreporter.write_line(f"FAILED: no test passed that uses {', '.join(idle)} (TESTS_MUST_RUN)")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail a run that was to exercise a server and did not."""
    if not hasattr(session.config, "workerinput") and _idle() and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def _idle() -> list[str]:
    wanted = [name.strip() for name in os.environ.get("TESTS_MUST_RUN", "").split(",")]
    return [name for name in wanted if name and not passed_by_marker[name]]


# ---- fixtures ------------------------------------------------------------------------------------
@pytest.fixture(scope="session")
def redis_server_of_the_run() -> Iterator[RedisServer]:
    """One server for the whole run; ask for `redis_server` instead, which is empty."""
    with running_redis() as server:
        yield server


@pytest.fixture
def redis_server(redis_server_of_the_run: RedisServer) -> RedisServer:
    """A real Redis or Valkey with nothing in it. Not to be paused or stopped: that is `own_redis_server`."""
    redis_server_of_the_run.empty()
    return redis_server_of_the_run


@pytest.fixture
def own_redis_server() -> Iterator[RedisServer]:
    """A server of this test's own, which it may pause, kill and start again."""
    with running_redis(look_at_environment=False) as server:
        yield server


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """A real PostgreSQL with a superuser; make databases of your own in it."""
    with running_postgres() as server:
        yield server


@pytest.fixture
def celery_worker(transactional_db: None, redis_server: RedisServer, tmp_path: Path) -> Iterator[CeleryWorker]:
    """A real worker process on `redis_server` and the test database, whose rows must be committed for it."""
    with CeleryWorker(broker_url=redis_server.url, folder=tmp_path) as worker:
        yield worker


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of a browser, for Playwright's `executable_path`; skips, and the run says so, where there is none."""
    path = find_browser()
    if path is None:
        pytest.skip(describe_browser())
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # Playwright's sync calls run inside an event loop
    return path
