"""Voids with their second person, and holds with their release."""

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from compaction.models import Test
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db
COLLAPSED = {"reason_code": "hole-collapsed", "reason": "sand ran into a void beside the hole"}


@pytest.fixture
def posted(crew: Caller) -> str:
    id_ = uuid.uuid4()
    assert crew.put(f"tests/{id_}", builders.gauge_body()).status_code == 201
    return f"tests/{id_}"


def test_an_own_slip_of_the_same_day_is_voided_at_once(crew: Caller, posted: str) -> None:
    address = f"{posted}/voids/{uuid.uuid4()}"
    body = {"reason_code": "entered-twice", "reason": "sent from two tablets"}
    answer = crew.put(address, body)
    assert answer.status_code == 201
    assert answer.json()["decision"]["meaning"] == "voided"
    assert crew.get(posted).json()["current"]["voided"] is True
    assert crew.get("tests?result=voided").json()["items"][0]["mark"] == "voided"
    again = crew.put(address, body)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    assert again.json() == answer.json()
    problem(crew.put(address, {**body, "reason": "other words"}), 409, "content-conflict")
    problem(crew.put(f"{posted}/voids/{uuid.uuid4()}", body), 409, "conflict")


def test_anything_else_takes_two_people(crew: Caller, posted: str, by_session: Callable[[str], Caller]) -> None:
    void = uuid.uuid4()
    asked = crew.put(f"{posted}/voids/{void}", COLLAPSED)
    assert asked.json()["decision"]["meaning"] == "void_asked"
    assert crew.get(posted).json()["current"]["voided"] is False
    confirmation = f"{posted}/voids/{void}/confirmations/{uuid.uuid4()}"
    problem(crew.put(confirmation, {"reason": "saw it"}), 403, "not-allowed")
    confirmed = by_session("s.hale").put(confirmation, {"reason": "saw the hole"})
    assert confirmed.status_code == 201
    assert confirmed.json()["decision"]["second_person"] == "t.moss"
    assert crew.get(posted).json()["current"]["voided"] is True


def test_who_asked_cannot_confirm(posted: str, by_session: Callable[[str], Caller]) -> None:
    supervisor = by_session("s.hale")
    void = uuid.uuid4()
    supervisor.put(f"{posted}/voids/{void}", COLLAPSED)
    refused = supervisor.put(f"{posted}/voids/{void}/confirmations/{uuid.uuid4()}", {"reason": "sure"})
    problem(refused, 403, "second-person-needed")


def test_a_low_value_is_no_reason(crew: Caller, posted: str) -> None:
    refused = problem(
        crew.put(f"{posted}/voids/{uuid.uuid4()}", {"reason_code": "low-value", "reason": "too low"}),
        422,
        "content-unreadable",
    )
    assert refused["errors"][0]["code"] == "reason-unknown"
    problem(crew.put(f"{posted}/voids/{uuid.uuid4()}", {**COLLAPSED, "reason": " "}), 422, "content-unreadable")
    problem(crew.put(f"{posted}/voids/{uuid.uuid4()}", {**COLLAPSED, "when": "now"}), 422, "content-unreadable")
    problem(crew.put(f"tests/{uuid.uuid4()}/voids/{uuid.uuid4()}", COLLAPSED), 404, "not-found")


def test_a_hold_is_released_by_another_person(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    id_ = uuid.uuid4()
    ahead = (datetime.now(UTC) + timedelta(days=2)).replace(microsecond=0).isoformat()
    held = crew.put(f"tests/{id_}", builders.gauge_body(performed_at=ahead)).json()["current"]
    [hold] = held["holds"]
    assert hold["code"] == "made-in-the-future"
    assert hold["sentence"]
    address = f"tests/{id_}/hold-releases/{uuid.uuid4()}"
    body = {"hold": hold["code"], "reason": "the tablet's clock was wrong; the sheet has the right day"}
    problem(crew.put(address, body), 403, "not-allowed")
    supervisor = by_session("s.hale")
    problem(supervisor.put(address, {**body, "hold": "other"}), 409, "conflict")
    assert supervisor.put(address, body).status_code == 201
    assert supervisor.put(address, body)["Idempotent-Replay"] == "true"
    assert crew.get(f"tests/{id_}").json()["current"]["holds"] == []
    assert Test.objects.get().open_holds == ""
