"""Placements over HTTP: a record, its repeat, its next version, and what it buries."""

import uuid
from collections.abc import Callable

import pytest

from api.examples.bodies import EXAMPLES
from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db
BODY = EXAMPLES["PlacementBody"]["lift"]


def test_record_repeat_change(crew: Caller) -> None:
    address = f"placements/{uuid.uuid4()}"
    first = crew.put(address, BODY)
    assert (first.status_code, first["ETag"]) == (201, '"1"')
    again = crew.put(address, BODY)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    assert again.json() == first.json()
    problem(crew.put(address, {**BODY, "thickness": "9 in"}), 409, "content-conflict")
    problem(crew.put(address, {**BODY, "thickness": "9 in"}, If_Match='"7"'), 412, "not-current")
    changed = crew.put(address, {**BODY, "thickness": "9 in"}, If_Match='"1"')
    assert (changed.status_code, changed["ETag"]) == (201, '"2"')
    shown = crew.get(address)
    assert shown["ETag"] == '"2"'
    assert shown.json()["thickness_m"] == "0.2286"
    assert [item["version"] for item in crew.get("placements").json()["items"]] == [2]
    assert crew.get("placements?lift=5").json()["items"] == []
    problem(crew.get(f"placements/{uuid.uuid4()}"), 404, "not-found")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"alignment": "nowhere"}, "/alignment"),
        ({"station_from": "x"}, "/station_from"),
        ({"station_to": "999+00"}, "/station_to"),
        ({"offset_from": "15 W"}, "/offset_from"),
        ({"lift": -1}, "/lift"),
        ({"placed_at": "2026-06-03"}, "/placed_at"),
        ({"thickness": 8}, "/thickness"),
        ({"thickness": "9999999 m"}, "/thickness"),
        ({"colour": "red"}, "/colour"),
    ],
)
def test_limits_that_cannot_be_understood(crew: Caller, change: dict[str, object], pointer: str) -> None:
    refused = problem(crew.put(f"placements/{uuid.uuid4()}", {**BODY, **change}), 422, "content-unreadable")
    assert pointer in [error["pointer"] for error in refused["errors"]]


def test_fill_over_an_open_failure_is_recorded_and_loud(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    crew.put_test(builders.failing_body())
    above = {**BODY, "lift": 5, "placed_at": "2026-06-04T08:00:00-06:00"}
    assert crew.put(f"placements/{uuid.uuid4()}", above).status_code == 201
    sweep.run_until_idle()
    [failure] = by_session("e.stone").get("failures").json()["items"]
    assert failure["buried"] is True
    assert crew.get("tests").json()["items"][0]["mark"] == "buried_failure"
