"""A real worker process on a real broker and the test database."""

import os
from pathlib import Path
from typing import Any

import pytest

from compaction import jobs
from tests.infrastructure.celery_workers import CeleryWorker
from tests.infrastructure.ports import wait_for
from tests.infrastructure.redis_server import RedisServer
from tests.infrastructure.test_jobs import publish_pickled, waiting

DONE = "Task compaction.tasks.sweep["


@pytest.mark.both_databases
def test_a_worker_runs_the_sweep_and_refuses_what_is_pickled(
    celery_worker: CeleryWorker, redis_server: RedisServer, settings: Any
) -> None:
    """Wake-ups are consumed by another process; a pickled message is refused unread and does not stop the worker."""
    settings.CELERY_BROKER_URL = redis_server.url
    heartbeat = celery_worker.folder / "last-sweep"
    assert not heartbeat.exists()
    jobs.wake_sweep()
    wait_for(heartbeat.exists, seconds=20, what=celery_worker.text)
    wait_for(lambda: waiting(redis_server) == 0, seconds=5, what="the queue to be empty")

    publish_pickled(redis_server.url)
    wait_for(
        lambda: "Refusing to deserialize" in celery_worker.text(), seconds=20, what="the refusal in the worker's log"
    )

    before = celery_worker.text().count("succeeded in")
    heartbeat.unlink()
    jobs.wake_sweep()
    wait_for(heartbeat.exists, seconds=20, what="the sweep after the pickled message")
    wait_for(lambda: celery_worker.text().count("succeeded in") > before, seconds=5, what="the worker to say so")


@pytest.mark.worker
def test_beat_wakes_the_sweep_by_itself(transactional_db: None, redis_server: RedisServer, tmp_path: Path) -> None:
    """Nobody publishes anything here but the worker's own beat."""
    with CeleryWorker(
        broker_url=redis_server.url, folder=tmp_path, LIFTLEDGER_SWEEP_SECONDS="1", with_beat=True
    ) as worker:
        wait_for((tmp_path / "last-sweep").exists, seconds=20, what=worker.text)
    assert [name for name in os.listdir(tmp_path) if name.startswith("beat-schedule")]  # noqa: PTH208
