"""The two addresses that machines ask."""

import os
import time
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client

from compaction.views import health


def test_healthz_needs_no_database(client: Client) -> None:
    assert client.get("/healthz").json() == {"status": "ok"}
    assert client.post("/healthz").status_code == 405


@pytest.mark.both_databases
@pytest.mark.django_db
def test_readyz_is_ok_with_nothing_to_do(client: Client) -> None:
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok", "problems": []})


@pytest.mark.django_db
def test_readyz_names_missing_migrations(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health.MigrationExecutor, "migration_plan", lambda *_: [("projects", "0099")])
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()["problems"]) == (503, ["migrations"])


def test_readyz_hides_what_the_database_said(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise OperationalError("password of liftledger@10.0.0.7 refused")

    monkeypatch.setattr(health, "MigrationExecutor", broken)
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()["problems"]) == (503, ["database"])
    assert "10.0.0.7" not in answer.content.decode()


@pytest.mark.django_db
def test_readyz_reports_a_sweep_that_does_not_come(
    client: Client, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Waiting:
        def exists(self) -> bool:
            return True

    monkeypatch.setattr(health.stale, "due", lambda **_: Waiting())
    settings.SWEEP_HEARTBEAT = heartbeat = tmp_path / "last-sweep"
    assert client.get("/readyz").json()["problems"] == ["sweep"], "there never was one"
    heartbeat.touch()
    assert client.get("/readyz").status_code == 200
    long_ago = time.time() - settings.READY_WORK_SECONDS - 1
    os.utime(heartbeat, (long_ago, long_ago))
    assert client.get("/readyz").json()["problems"] == ["sweep"]
