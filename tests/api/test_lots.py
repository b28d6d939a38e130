"""Lots over the API: declared, followed, previewed, closed; each answer as the document says."""

import json
import uuid
from collections.abc import Callable
from datetime import UTC, datetime

from api.examples.bodies import EXAMPLES
from compaction.actions import sweep
from compaction.models import LotRevision
from tests import builders
from tests.api.conftest import Caller, problem
from tests.api.test_openapi import validator

LOT = {
    **EXAMPLES["Lot"]["percent_within_limits"],
    "lift_from": 4,
    "lift_to": 6,
    "rules": [
        {
            "statistic": "average_with_minimum",
            "quantity": "percent_compaction",
            "minimum": "95 %",
            "each_minimum": "93 %",
        }
    ],
}


def content(answer: object) -> dict:
    return json.loads(answer.content)  # type: ignore[attr-defined]


def test_a_lot_from_its_declaration_to_its_closing(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    manager, engineer = by_session("m.dale"), by_session("e.stone")
    answer = manager.put("lots/L-1/revisions/1", LOT)
    assert answer.status_code == 201, answer.content
    assert manager.put("lots/L-1/revisions/1", LOT)["Idempotent-Replay"] == "true"
    problem(manager.put("lots/L-1/revisions/1", {**LOT, "title": "x"}), 409, "content-conflict")
    problem(manager.put("lots/L-1/revisions/3", {**LOT, "reason": "x"}), 409, "revision-conflict")
    made = datetime.now(UTC)
    for label in ("1", "2"):
        body = builders.gauge_body(performed_at=made.isoformat(), label=label)
        assert crew.put_test(body).status_code == 201
    crew.put_test(builders.gauge_body(label="long before"))
    assert content(engineer.get("lots/L-1"))["stale"]
    sweep.run_until_idle()
    lot = content(engineer.get("lots/L-1"))
    validator({"$ref": "#/components/schemas/LotStory"}).validate(lot)
    assert (lot["result"], lot["tests"], lot["stale"]) == ("met", 2, False)
    assert {one["label"]: one["counts"] for one in lot["members"]} == {"1": True, "2": True, "long before": False}
    assert "before the declaration" in next(one["reason"] for one in lot["members"] if not one["counts"])
    assert lot["verdicts"][0]["sentence"].startswith("n 2, mean 96.36")
    listed = content(crew.get("lots"))
    validator({"$ref": "#/components/schemas/LotList"}).validate(listed)
    assert [one["code"] for one in listed["items"]] == ["L-1"]

    closing = {"meaning": "accepted", "reason": "met", "basis_digest": lot["outcome_digest"]}
    problem(manager.put(f"lots/L-1/closings/{uuid.uuid4()}", closing), 403, "not-allowed")
    old = {**closing, "basis_digest": "0" * 64}
    problem(engineer.put(f"lots/L-1/closings/{uuid.uuid4()}", old), 412, "not-current")
    id_ = uuid.uuid4()
    assert engineer.put(f"lots/L-1/closings/{id_}", closing).status_code == 201
    assert engineer.put(f"lots/L-1/closings/{id_}", closing).status_code == 200
    problem(engineer.put(f"lots/L-1/closings/{uuid.uuid4()}", closing), 409, "conflict")
    closed = content(engineer.get("lots/L-1"))
    assert (closed["state"], closed["decisions"][0]["meaning"]) == ("accepted", "accepted")


def test_a_preview_is_told_apart_and_stores_nothing(crew: Caller) -> None:
    crew.put_test(builders.gauge_body(label="1"))
    answer = content(crew.post("lots:preview", LOT))
    validator({"$ref": "#/components/schemas/LotPreview"}).validate(answer)
    assert [one["reason"] for one in answer["members"]] == ["made so far"]
    assert answer["result"] == "met"
    assert not LotRevision.objects.exists()


def test_what_cannot_be_read_is_told_with_its_place(by_session: Callable[[str], Caller]) -> None:
    manager = by_session("m.dale")
    rule = {"statistic": "percent_within_limits", "quantity": "percent_compaction", "minimum": 95, "k": "1"}
    told = problem(manager.put("lots/L-1/revisions/1", {**LOT, "rules": [rule]}), 422, "content-unreadable")
    assert [one["pointer"] for one in told["errors"]] == ["/rules/0/minimum"]
    problem(manager.put("lots/L-1/revisions/1", [1]), 422, "content-unreadable")
    problem(manager.get("lots/L-1"), 404, "not-found")
    over = problem(manager.put("lots/L-1/revisions/1", {**LOT, "last_day": "2020-01-01"}), 409, "conflict")
    assert "declared before its tests" in over["detail"]
