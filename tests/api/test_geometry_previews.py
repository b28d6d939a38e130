"""Asking over HTTP what a revision of the geometry would change."""

import uuid
from collections.abc import Callable

import pytest

from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db

MOVED = {**builders.BASELINE, "points": [["20000", "10010"], ["24000", "10010"]]}


def test_ask_and_look(by_session: Callable[[str], Caller], crew: Caller) -> None:
    crew.put(f"tests/{uuid.uuid4()}", builders.gauge_body())
    engineer, address = by_session("e.stone"), f"geometry-previews/{uuid.uuid4()}"
    asked = engineer.put(address, {"alignment": "main", "content": MOVED})
    assert asked.status_code == 200
    told = asked.json()
    assert (told["finished"], told["moved"], told["farthest_m"], told["result_changes"]) == (True, 1, "3.048", 0)
    assert told["rows"][0]["label"] == "101"
    assert engineer.get(address).json() == told
    assert engineer.put(address, {"alignment": "main", "content": MOVED}).json() == told
    problem(engineer.put(address, {"alignment": "main", "content": builders.BASELINE}), 409, "content-conflict")
    problem(engineer.get(f"geometry-previews/{uuid.uuid4()}"), 404, "not-found")


def test_what_cannot_be_asked(by_session: Callable[[str], Caller]) -> None:
    engineer = by_session("e.stone")
    for sent in (
        {"alignment": "main"},
        {"alignment": "main", "content": []},
        {"area": "core", "kind": "limit", "content": {}},
        {"area": "core", "content": {"alignment": "main"}},
    ):
        problem(engineer.put(f"geometry-previews/{uuid.uuid4()}", sent), 422, "content-unreadable")
