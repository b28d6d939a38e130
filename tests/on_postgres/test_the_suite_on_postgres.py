"""Every test marked `both_databases`, once more, on a real PostgreSQL, in a pytest process of its own.

The marked tests run on SQLite with the rest of the suite; here the same files run with another database.
A process of its own, because a Django process knows one set of databases from its start.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

from tests.infrastructure.postgres_server import PostgresServer

PROJECT = Path(__file__).resolve().parents[2]


def test_marked_tests_hold_on_postgres(postgres_server: PostgresServer) -> None:
    environment = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTEST_", "TESTS_MUST_RUN"))
    }
    environment["LIFTLEDGER_TESTS_RUN_ON"] = postgres_server.url
    tests = PROJECT / "tests"
    marked = [str(file) for file in sorted(tests.rglob("test_*.py")) if "both_databases" in file.read_text("utf-8")]
    line = [sys.executable, "-m", "pytest", "-m", "both_databases", "-q", "-p", "no:cacheprovider", "--durations=5"]
    line += [file for file in marked if file != __file__]
    ran = subprocess.run(line, cwd=PROJECT, env=environment, capture_output=True, text=True, check=False)
    print(ran.stdout[-6000:])
    assert ran.returncode == 0, (
        f"on {postgres_server.scalar('SHOW server_version')}:\n{ran.stdout[-20000:]}\n{ran.stderr[-3000:]}"
    )
    closing = ran.stdout.strip().splitlines()[-1]
    assert re.search(r"\b[1-9]\d* passed", closing), closing
    assert "skipped" not in closing, f"a test that must hold on both databases was skipped: {closing}"
