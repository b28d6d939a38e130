"""A real Celery worker process on the test database."""

import os
import signal
import subprocess
import sys
from pathlib import Path

from django.conf import settings
from django.db import connection

from tests.infrastructure.ports import wait_for

PROJECT = Path(__file__).resolve().parents[2]


def service_environment(*, folder: Path, **given: str) -> dict[str, str]:
    """The environment of a service process on the database that this test uses; nothing else of LIFTLEDGER_*."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("LIFTLEDGER_")}
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    return {
        **clean,
        "LIFTLEDGER_DATA_FOLDER": str(folder),
        "LIFTLEDGER_DATABASE_URL": _url_of_test_database(),
        "LIFTLEDGER_SECRET_KEY": settings.SECRET_KEY,
        **given,
    }


def _url_of_test_database() -> str:
    found = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{found['NAME']}"
    secret = f":{found['PASSWORD']}" if found["PASSWORD"] else ""
    return f"postgres://{found['USER']}{secret}@{found['HOST']}:{found['PORT']}/{found['NAME']}"


class CeleryWorker:
    """`celery worker` with one child process, until the end of the block. Raises when it does not get ready."""

    def __init__(self, *, broker_url: str, folder: Path, with_beat: bool = False, **environment: str) -> None:
        self.folder = folder
        self.with_beat = with_beat
        self.log = folder / "worker.log"
        self.environment = service_environment(folder=folder, LIFTLEDGER_BROKER_URL=broker_url, **environment)
        self.process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> "CeleryWorker":
        line = [sys.executable, "-m", "celery", "-A", "compaction.celery", "worker", "--concurrency", "1"]
        line += ["--without-mingle", "--without-gossip", "--loglevel", "INFO"]
        line += ["--beat"] if self.with_beat else []
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                line, cwd=PROJECT, env=self.environment, stdout=log, stderr=log, start_new_session=True
            )
        try:
            wait_for(self._ready, seconds=60, what="the worker to say that it is ready")
        except BaseException:
            self._end()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        self._end()

    def text(self) -> str:
        """Everything the worker has written so far."""
        return self.log.read_text(encoding="utf-8", errors="replace")

    def _ready(self) -> bool:
        assert self.process
        if self.process.poll() is not None:
            raise AssertionError(f"the worker ended at once:\n{self.text()[-3000:]}")
        return " ready." in self.text()

    def _end(self) -> None:
        """Ask it to finish; then make sure that no child of its session is left."""
        if self.process is None:
            return
        self.process.terminate()
        try:
            self.process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
