"""Run a benchmark on a PostgreSQL of its own: `.venv/bin/python -m tests.benchmarks.on_postgres bench_posting ...`."""

import os
import subprocess
import sys

from tests.infrastructure.postgres_server import running


def main() -> int:
    with running() as server:
        environment = {**os.environ, "LIFTLEDGER_DATABASE_URL": server.url}
        line = [sys.executable, "-m", f"tests.benchmarks.{sys.argv[1]}", *sys.argv[2:]]
        return subprocess.run(line, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
