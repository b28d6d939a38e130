"""References and specifications over HTTP: issue, preview, approve; nobody approves their own."""

import uuid
from collections.abc import Callable

import pytest

from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db
HIGHER = {**builders.PROCTOR, "maximum_dry_density": "113.0 pcf", "reason": "repeat of the test"}


def test_a_revision_is_issued_once_and_in_order(by_session: Callable[[str], Caller]) -> None:
    laboratory = by_session("l.finch")
    problem(laboratory.put("references/P-2/revisions/2", builders.PROCTOR), 409, "revision-conflict")
    first = laboratory.put("references/P-2/revisions/1", builders.PROCTOR)
    assert first.status_code == 201
    assert first.json()["receipt"]["seq"] > 0
    again = laboratory.put("references/P-2/revisions/1", builders.PROCTOR)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    problem(laboratory.put("references/P-2/revisions/1", HIGHER), 409, "content-conflict")
    shown = laboratory.get("references/P-2/revisions/1").json()
    assert shown["content"] == builders.PROCTOR
    assert shown["approval"] is None
    assert shown["facts"]["maximum_dry_density_kgm3"].startswith("1762.03")
    problem(laboratory.get("references/P-2/revisions/2"), 404, "not-found")
    codes = [item["code"] for item in laboratory.get("references").json()["items"]]
    assert codes == ["P-1", "P-2"]


def test_a_revision_ripples_only_after_preview_and_approval(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    id_ = uuid.uuid4()
    crew.put(f"tests/{id_}", builders.gauge_body())
    sweep.run_until_idle()
    by_session("l.finch").put("references/P-1/revisions/2", HIGHER)
    engineer = by_session("e.stone")
    shown = engineer.get("references/P-1/revisions/2/preview-of-approval").json()
    # 106.0 of 113.0 pcf are 93.8 %: short of 95
    assert (shown["total"], shown["pass_to_fail"], shown["fail_to_pass"], shown["buried"]) == (1, 1, 0, 0)
    assert shown["rows"][0]["test"] == str(id_)
    assert (shown["rows"][0]["result_before"], shown["rows"][0]["result_after"]) == ("pass", "fail")
    assert crew.get(f"tests/{id_}").json()["current"]["result"] == "pass"
    address = f"references/P-1/revisions/2/approvals/{uuid.uuid4()}"
    approved = engineer.put(address, {"reason": "checked"})
    assert approved.status_code == 201
    stale = crew.get(f"tests/{id_}").json()["current"]
    assert (stale["result"], stale["stale"]) == ("pass", True)
    assert crew.get("work-left").json() == {
        "up_to_date": False,
        "waiting": {"lift": 1, "test": 1},
        "failures_unsettled": 0,
        "parked": 0,
    }
    sweep.run_until_idle()
    now = crew.get(f"tests/{id_}").json()["current"]
    assert (now["result"], now["stale"], now["reference"]) == ("fail", False, "P-1 rev 2")
    assert crew.get("work-left").json()["up_to_date"] is True
    again = engineer.put(address, {"reason": "checked"})
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    problem(engineer.put(f"references/P-1/revisions/2/approvals/{uuid.uuid4()}", {"reason": "twice"}), 409, "conflict")


def test_nobody_approves_their_own(by_session: Callable[[str], Caller]) -> None:
    engineer = by_session("e.stone")
    engineer.put("specifications/S-2/revisions/1", builders.SPECIFICATION)
    address = f"specifications/S-2/revisions/1/approvals/{uuid.uuid4()}"
    problem(engineer.put(address, {"reason": "mine"}), 403, "second-person-needed")
    assert by_session("e.brook").put(address, {"reason": "looked at"}).status_code == 201
    assert engineer.get("specifications/S-2/revisions/1").json()["approval"]["person"] == "e.brook"


def test_a_specification_previews_too(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    crew.put_test(builders.gauge_body())
    stricter = {**builders.SPECIFICATION, "criteria": [{"quantity": "percent_compaction", "minimum": "98 %"}]}
    manager = by_session("m.dale")
    assert manager.put("specifications/S-1/revisions/2", stricter).status_code == 201
    shown = manager.get("specifications/S-1/revisions/2/preview-of-approval").json()
    assert shown["pass_to_fail"] == 1
    problem(manager.get("specifications/S-1/revisions/3/preview-of-approval"), 404, "not-found")


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({**builders.SPECIFICATION, "criteria": []}, "/criteria"),
        ({**builders.SPECIFICATION, "criteria": [{"quantity": "percent_compaction"}]}, "/criteria/0"),
        (
            {
                **builders.SPECIFICATION,
                "criteria": [{"quantity": "percent_compaction", "minimum": "95 %", "maximum": "90 %"}],
            },
            "/criteria/0",
        ),
        ({**builders.SPECIFICATION, "criteria": [{"quantity": "luck", "minimum": "95 %"}]}, "/criteria/0/quantity"),
        (
            {**builders.SPECIFICATION, "rounding": [{"quantity": "dry_density", "increment": "0", "unit": "pcf"}]},
            "/rounding",
        ),
        ({**builders.SPECIFICATION, "reach": "from_date"}, "/effective_from"),
    ],
)
def test_a_specification_that_says_nothing(
    by_session: Callable[[str], Caller], body: dict[str, object], pointer: str
) -> None:
    refused = problem(by_session("m.dale").put("specifications/S-9/revisions/1", body), 422, "content-unreadable")
    assert refused["errors"][0]["pointer"] == pointer
