"""`manage.py check`: each finding has its id, and a sound installation has none."""

from pathlib import Path
from typing import Any

import pytest
from django.core.checks import run_checks
from django.db import connection

from compaction import checks
from projects import append_only


def ids() -> list[str]:
    return sorted(str(found.id) for found in [*checks.safety(), *checks.addresses()])


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, []),
        ({"SECRET_KEY": "short"}, ["liftledger.E001"]),
        ({"DEBUG": True}, ["liftledger.W002"]),
        ({"ALLOWED_HOSTS": ["*"]}, ["liftledger.E003"]),
        ({"ALLOWED_HOSTS": ["density.example.org"]}, ["liftledger.W004"]),
        ({"ALLOWED_HOSTS": ["density.example.org"], "BEHIND_TLS": True}, []),
        ({"CELERY_BROKER_URL": "amqp://127.0.0.1"}, ["liftledger.E006"]),
        ({"CELERY_BROKER_URL": "rediss://127.0.0.1:6379/0"}, []),
        ({"TILE_URL": "https://tiles.example.org/map.png"}, ["liftledger.E007"]),
        ({"TILE_URL": "https://tiles.example.org/{z}/{x}/{y}.png"}, []),
    ],
)
def test_each_finding_has_its_id(settings: Any, changed: dict[str, object], expected: list[str]) -> None:
    for name, value in changed.items():
        setattr(settings, name, value)
    assert ids() == expected


def test_a_data_folder_open_to_everybody_is_reported(settings: Any, tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    settings.DATA_FOLDER = tmp_path
    assert ids() == ["liftledger.W005"]


def test_every_finding_says_what_to_do(settings: Any) -> None:
    settings.SECRET_KEY, settings.DEBUG, settings.ALLOWED_HOSTS = "x", True, ["*"]
    assert all(found.hint for found in checks.safety())


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_dropped_triggers_are_found_and_put_back() -> None:
    assert [
        found.id for found in run_checks(databases=["default"], tags=["database"]) if "liftledger" in str(found.id)
    ] == []
    append_only.remove(connection)
    assert "liftledger.E009" in [found.id for found in checks.databases(databases=["default"])]
    append_only.install(connection)
    assert checks.databases(databases=["default"]) == []
