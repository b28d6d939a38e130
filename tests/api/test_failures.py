"""A failure followed over HTTP: fail, rework, retest, closed.

T1 fail -- rework -- T2 fail -- rework -- T3 pass -- closed
"""

import uuid
from collections.abc import Callable

import pytest

from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db
REROLLED = {"performed_at": "2026-06-03T11:00:00-06:00", "method": "rerolled", "passes": 4}


@pytest.fixture
def failed(crew: Caller) -> tuple[str, str]:
    """The uuid of the test and the address of its failure."""
    id_ = uuid.uuid4()
    current = crew.put(f"tests/{id_}", builders.failing_body()).json()["current"]
    sweep.run_until_idle()
    return str(id_), f"failures/{current['chain']['failures'][0]['uuid']}"


def test_from_fail_to_closed(crew: Caller, failed: tuple[str, str], by_session: Callable[[str], Caller]) -> None:
    root, failure = failed
    contractor, engineer = by_session("c.pike"), by_session("e.stone")
    assert crew.get(failure).json()["state"] == "open"
    assert contractor.put(f"{failure}/reworks/{uuid.uuid4()}", REROLLED).status_code == 201
    assert crew.get(failure).json()["state"] == "reworked"
    retest = {"retest_of": root}
    again = crew.put_test(builders.failing_body(**retest, label="102", performed_at="2026-06-03T12:00:00-06:00"))
    assert again.json()["current"]["chain"]["link"] == "linked"
    sweep.run_until_idle()
    shown = crew.get(failure).json()
    assert (shown["state"], shown["attempts"]) == ("open", 1)
    close = f"{failure}/closures/{uuid.uuid4()}"
    refused = problem(engineer.put(close, {"meaning": "closed", "reason": "enough"}), 409, "conflict")
    assert refused["errors"][0]["code"] == "no-passing-retest"
    contractor.put(f"{failure}/reworks/{uuid.uuid4()}", {**REROLLED, "performed_at": "2026-06-03T13:00:00-06:00"})
    crew.put_test(builders.gauge_body(**retest, label="103", performed_at="2026-06-03T14:00:00-06:00"))
    sweep.run_until_idle()
    passed = crew.get(failure).json()
    assert passed["state"] == "passed_on_retest"
    assert [link["result"] for link in passed["tests"]] == ["fail", "fail", "pass"]
    assert len(passed["reworks"]) == 2
    stale = {"meaning": "closed", "reason": "retest passes", "basis_digest": "0" * 64}
    problem(engineer.put(close, stale), 412, "not-current")
    ruling = {"meaning": "closed", "reason": "retest passes", "basis_digest": passed["chain_digest"]}
    closed = engineer.put(close, ruling)
    assert closed.status_code == 201
    assert engineer.put(close, ruling)["Idempotent-Replay"] == "true"
    shown = crew.get(failure).json()
    assert shown["state"] == "closed"
    assert shown["decisions"][0]["person"] == "e.stone"
    assert crew.get("failures?open_only=true").json()["items"] == []
    assert len(crew.get("failures?open_only=false").json()["items"]) == 1
    problem(engineer.put(f"{failure}/closures/{uuid.uuid4()}", ruling), 409, "conflict")


def test_rework_is_idempotent(failed: tuple[str, str], by_session: Callable[[str], Caller]) -> None:
    _, failure = failed
    contractor = by_session("c.pike")
    address = f"{failure}/reworks/{uuid.uuid4()}"
    first, again = contractor.put(address, REROLLED), contractor.put(address, REROLLED)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    assert again.json() == first.json()
    problem(contractor.put(address, {**REROLLED, "passes": 5}), 409, "content-conflict")
    problem(contractor.put(f"failures/{uuid.uuid4()}/reworks/{uuid.uuid4()}", REROLLED), 404, "not-found")
    for change in ({"method": "prayed"}, {"performed_at": "yesterday"}, {"passes": "4.5"}, {"more": 1}):
        problem(contractor.put(f"{failure}/reworks/{uuid.uuid4()}", {**REROLLED, **change}), 422, "content-unreadable")


def test_other_endings(failed: tuple[str, str], by_session: Callable[[str], Caller]) -> None:
    _, failure = failed
    engineer = by_session("e.stone")
    problem(
        engineer.put(f"{failure}/closures/{uuid.uuid4()}", {"meaning": "forgotten", "reason": "x"}),
        422,
        "content-unreadable",
    )
    problem(
        engineer.put(f"{failure}/closures/{uuid.uuid4()}", {"meaning": "accepted_as_is", "reason": " "}),
        422,
        "content-unreadable",
    )
    accepted = engineer.put(
        f"{failure}/closures/{uuid.uuid4()}", {"meaning": "accepted_as_is", "reason": "outside the slip surface"}
    )
    assert accepted.status_code == 201
    assert engineer.get(failure).json()["state"] == "accepted_as_is"
