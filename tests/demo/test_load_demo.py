"""The command: once, all or nothing, the same figures each time, and a test that is ready to be sent."""

import io
import json
import stat
import uuid
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import transaction

from compaction.actions import field_tests
from compaction.demo import site
from compaction.demo.scenario import Scenario, build
from compaction.management import demo_notice
from compaction.management.commands import load_demo
from compaction.models import Failure, Test
from compaction.queries import set_up
from projects import access
from projects.actions import keys
from projects.models import Project, User
from tests.demo.conftest import TODAY, play


def short(*, today: object = TODAY) -> Scenario:
    return build(today=TODAY, lifts=())


@pytest.fixture
def data_folder(settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    settings.DATA_FOLDER = tmp_path
    monkeypatch.setattr(load_demo, "build", short)
    set_up.forget()
    return tmp_path


def load() -> str:
    out = io.StringIO()
    call_command("load_demo", stdout=out)
    return out.getvalue()


@pytest.mark.django_db
def test_it_loads_once_and_leaves_a_notice_for_the_owner_of_the_folder(data_folder: Path) -> None:
    said = load()
    assert "day  1 of 25" in said
    assert "exempt area: " in said
    file = data_folder / "demo.json"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    notice = demo_notice.read(file)
    assert notice is not None
    assert notice["project"] == site.CODE
    assert {row["username"] for row in notice["accounts"]} == {person.username for person in site.PEOPLE}
    for row in notice["accounts"]:
        assert User.objects.get(username=row["username"]).check_password(row["password"])
    before, tests = file.read_text(encoding="utf-8"), Test.objects.count()
    assert "here already" in load()
    assert file.read_text(encoding="utf-8") == before
    assert (Test.objects.count(), Project.objects.count()) == (tests, 1)


@pytest.mark.django_db
def test_the_ready_test_is_taken_with_the_key_and_passes(data_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Of today, as it is loaded in earnest: a gauge's standard count serves a week at the most.
    monkeypatch.setattr(load_demo, "build", lambda *, today: build(today=today, lifts=()))
    load()
    notice = json.loads((data_folder / "demo.json").read_text(encoding="utf-8"))
    assert notice["device_key"] in (
        demo_notice.curl(notice, address="http://127.0.0.1:8300", now=datetime.now(UTC)) or ""
    )
    now = datetime.now(UTC)
    key, roles = keys.authenticate(notice["device_key"], now=now)
    recorded = field_tests.record(
        opened=access.open_with_key(key, notice["project"], roles=roles),
        client_uuid=uuid.uuid4(),
        body=notice["curl_body"],
        raw="",
        now=now,
    )
    assert recorded.test.result == "pass"
    assert recorded.test.zone == "fill"
    assert recorded.test.open_holds == recorded.test.finding_codes == ""


@pytest.mark.django_db
def test_a_load_that_breaks_off_leaves_nothing(data_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_off(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(load_demo, "_ready_test", break_off)
        with pytest.raises(KeyboardInterrupt):
            load()
    assert not Project.objects.exists()
    assert not User.objects.exists()
    assert not (data_folder / "demo.json").exists()


@pytest.mark.django_db
def test_the_same_seed_and_day_give_the_same_outcomes() -> None:
    assert _digests() == _digests()


def _digests() -> tuple[list[tuple[object, ...]], list[tuple[object, ...]]]:
    with transaction.atomic():
        play(build(today=TODAY, lifts=(1,)))
        tests = list(Test.objects.order_by("client_uuid").values_list("client_uuid", "inputs_digest", "outcome_digest"))
        failures = list(Failure.objects.order_by("root_test", "kind").values_list("root_test", "kind", "chain_digest"))
        transaction.set_rollback(True)
    assert len(tests) > 30
    assert failures
    return tests, failures


@pytest.mark.django_db
def test_an_account_that_exists_keeps_its_password_and_the_administrator_can_open_a_project(data_folder: Path) -> None:
    User.objects.create_user("k.averel", password="kept as it was")
    load()
    assert User.objects.get(username="k.averel").check_password("kept as it was")
    assert User.objects.get(username="a.winlow").has_perm("projects.add_project")
    assert not User.objects.get(username="n.tarrow").has_perm("projects.add_project")
