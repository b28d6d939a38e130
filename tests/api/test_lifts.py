"""Lifts over HTTP: listed, read, signed, noted, added up; every answer as the document says."""

import json
import uuid
from collections.abc import Callable

from api.examples.bodies import EXAMPLES
from compaction.actions import specifications, sweep
from tests import builders
from tests.api.conftest import Caller, problem
from tests.api.test_openapi import validator
from tests.builders import SPECIFICATION, Site

AREA = "Ramp B / north"
PLACEMENT = {**EXAMPLES["PlacementBody"]["lift"], "area": AREA, "quantity": "900 yd3"}
RULE = {"name": "fill", "counters": [{"basis": "volume", "interval": "1000 yd3"}], "signed_release": True}


def content(answer: object, schema: str) -> dict:
    shown = json.loads(answer.content)  # type: ignore[attr-defined]
    assert answer.status_code in (200, 201), shown  # type: ignore[attr-defined]
    validator({"$ref": f"#/components/schemas/{schema}"}).validate(shown)
    return shown


def test_a_lift_from_its_rule_to_its_release(site: Site, crew: Caller, by_session: Callable[[str], Caller]) -> None:
    manager, engineer = by_session("m.dale"), by_session("e.stone")
    body = {**SPECIFICATION, "frequency": [RULE], "reason": "frequency"}
    validator({"$ref": "#/components/schemas/Specification"}).validate(body)
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    assert engineer.put(f"specifications/S-1/revisions/2/approvals/{uuid.uuid4()}", {"reason": "x"}).status_code == 201
    assert crew.put(f"placements/{uuid.uuid4()}", PLACEMENT).status_code == 201
    assert crew.put_test(builders.gauge_body()).status_code == 201
    sweep.run_until_idle()
    [shown] = content(crew.get("lifts"), "LiftList")["items"]
    assert (shown["area"], shown["state"], shown["required"], shown["made"]) == (AREA, "open", 1, 1)
    assert content(crew.get("lifts?state=short"), "LiftList")["items"] == []
    assert content(crew.get("lifts?loud=true&area=Ramp B / north"), "LiftList")["items"] == []
    problem(crew.get("lifts?state=closed"), 400, "query-parameter")
    story = content(crew.get("lifts/Ramp%20B%20/%20north/4"), "LiftStory")  # a stroke as it is
    assert [test["counts"] for test in story["tests_here"]] == [True]
    assert (len(story["placed"]), story["rules"][0]["name"], story["stale"]) == (1, "fill", False)
    problem(crew.get("lifts/Ramp%20B%20%2F%20north/5"), 404, "not-found")

    release = {"meaning": "released", "basis_digest": shown["digest"], "reason": "walked it"}
    validator({"$ref": "#/components/schemas/LiftRelease"}).validate(release)
    address = f"lifts/Ramp%20B%20%2F%20north/4/releases/{uuid.uuid4()}"
    problem(crew.put(address, release), 403, "not-allowed")
    problem(manager.put(address, {**release, "basis_digest": "0" * 64}), 412, "not-current")
    assert manager.put(address, release).status_code == 201
    assert manager.put(address, release)["Idempotent-Replay"] == "true"
    problem(manager.put(address, {**release, "reason": "other"}), 409, "content-conflict")
    sweep.run_until_idle()
    story = content(engineer.get("lifts/Ramp%20B%20%2F%20north/4"), "LiftStory")
    assert (story["state"], story["signed_by"], len(story["decisions"])) == ("released", "m.dale", 1)


def test_not_tested_totals_and_preview(site: Site, crew: Caller) -> None:
    crew.put(f"placements/{uuid.uuid4()}", PLACEMENT)
    note = {**EXAMPLES["NotTestedBody"]["weather"], "area": AREA}
    address = f"not-tested/{uuid.uuid4()}"
    first = content(crew.put(address, note), "RecordedNotTested")
    assert content(crew.put(address, note), "RecordedNotTested") == first
    problem(crew.put(address, {**note, "lift": 5}), 409, "content-conflict")
    told = problem(crew.put(f"not-tested/{uuid.uuid4()}", {**note, "reason_code": "low"}), 422, "content-unreadable")
    assert told["errors"][0]["pointer"] == "/reason_code"
    sweep.run_until_idle()
    assert "weather" in content(crew.get("lifts/Ramp%20B%20%2F%20north/4"), "LiftStory")["not_tested"]
    totals = content(crew.get("coverage?by=area"), "CoverageTotals")
    assert [(one["key"], one["groups"], one["not_tested"]) for one in totals["items"]] == [(AREA, 1, 1)]
    for by in ("lift", "zone", "day", "material"):
        assert content(crew.get(f"coverage?by={by}"), "CoverageTotals")["by"] == by
    question = EXAMPLES["FrequencyQuestion"]["three_lifts"]
    answer = content(crew.post("lifts:preview", question), "FrequencyPreview")
    assert (answer["required"], answer["sentence"]) == (3, "3 tests on 3 lifts.")  # 400 yd3 on each, one per 500
    assert content(crew.post("lifts:preview", {"lifts": 3}), "FrequencyPreview")["sentence"].startswith("No rule")
    told = problem(crew.post("lifts:preview", {"lifts": 0}), 422, "content-unreadable")
    assert told["errors"][0]["pointer"] == "/lifts"
