"""Amendments over HTTP: which version, whose reason, and what a repeat gets."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest

from compaction.models import TestVersion
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db


def amendment(**changes: Any) -> dict[str, Any]:
    return {"reason_code": "own-slip", "reason": "misread the display", "test": builders.failing_body(), **changes}


@pytest.fixture
def posted(crew: Caller) -> str:
    id_ = uuid.uuid4()
    assert crew.put(f"tests/{id_}", builders.gauge_body()).status_code == 201
    return f"tests/{id_}"


def test_by_if_match_or_by_replaces(crew: Caller, posted: str) -> None:
    first = crew.put(f"{posted}/amendments/{uuid.uuid4()}", amendment(), If_Match='"1"')
    assert first.status_code == 201
    assert first["ETag"] == '"2"'
    assert first.json()["current"]["result"] == "fail"
    assert first.json()["receipt"]["version"] == 2
    second = crew.put(f"{posted}/amendments/{uuid.uuid4()}", amendment(replaces=2, test=builders.gauge_body(label="9")))
    assert second.status_code == 201
    versions = crew.get(posted).json()["versions"]
    assert [version["version"] for version in versions] == [1, 2, 3]
    assert [version["reason"] for version in versions] == ["", "misread the display", "misread the display"]
    assert versions[0]["content"] == builders.gauge_body()


def test_without_a_version_428_with_an_old_one_412(crew: Caller, posted: str) -> None:
    address = f"{posted}/amendments/{uuid.uuid4()}"
    problem(crew.put(address, amendment()), 428, "version-required")
    crew.put(f"{posted}/amendments/{uuid.uuid4()}", amendment(replaces=1))
    problem(crew.put(address, amendment(replaces=1, test=builders.gauge_body(label="8"))), 412, "not-current")
    problem(crew.put(address, amendment(test=builders.gauge_body(label="8")), If_Match='"1"'), 412, "not-current")
    problem(crew.put(address, amendment(replaces=2), If_Match='"1"'), 400, "precondition-contradiction")
    for header in ("*", "1", 'W/"2"', '"x"', '"2", "3"', '"02"'):
        problem(crew.put(address, amendment(), If_Match=header), 412, "not-current")
    for number in (0, -1, "1", 1.5, True, None, 10**30):
        refused = crew.put(address, amendment(replaces=number))
        assert refused.status_code in (422, 428), refused.content
    assert TestVersion.objects.count() == 2


def test_the_same_amendment_again(crew: Caller, posted: str) -> None:
    address = f"{posted}/amendments/{uuid.uuid4()}"
    first = crew.put(address, amendment(replaces=1))
    again = crew.put(address, amendment(replaces=1))
    assert again.status_code == 200
    assert again["Idempotent-Replay"] == "true"
    assert again.json()["receipt"] == first.json()["receipt"]
    problem(crew.put(address, amendment(replaces=1, test=builders.gauge_body(label="7"))), 409, "content-conflict")


def test_what_an_amendment_must_say(crew: Caller, posted: str) -> None:
    address = f"{posted}/amendments/{uuid.uuid4()}"
    for left_out in ("reason_code", "reason", "test"):
        body = amendment(replaces=1)
        del body[left_out]
        assert problem(crew.put(address, body), 422, "content-unreadable")["errors"][0]["pointer"] == f"/{left_out}"
    problem(crew.put(address, amendment(replaces=1, reason_code="because")), 422, "content-unreadable")
    problem(crew.put(address, amendment(replaces=1, reason="  ")), 422, "content-unreadable")
    problem(crew.put(address, amendment(replaces=1, more=1)), 422, "content-unreadable")
    problem(crew.put(address, amendment(replaces=1, test=builders.gauge_body(lift="x"))), 422, "content-unreadable")
    problem(crew.put(f"tests/{uuid.uuid4()}/amendments/{uuid.uuid4()}", amendment(replaces=1)), 404, "not-found")


def test_the_laboratory_brings_the_oven_value_and_nothing_else(
    crew: Caller, posted: str, by_session: Callable[[str], Caller]
) -> None:
    laboratory = by_session("l.finch")
    address = f"{posted}/amendments/{uuid.uuid4()}"
    problem(laboratory.put(address, amendment(replaces=1)), 403, "not-allowed")
    answer = laboratory.put(address, amendment(replaces=1, reason_code="oven-water-content", reason="oven value"))
    assert answer.status_code == 201
