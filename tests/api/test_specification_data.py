"""What governs at a point, differences between revisions, drafts and their approval, over HTTP."""

import copy
import uuid
from collections.abc import Callable
from typing import Any

import pytest

from compaction.actions import sweep
from compaction.models import Criterion, Test
from compaction.records.specification_drafts import DRAFTS
from projects.models import JournalEvent
from tests import builders
from tests.api.conftest import Caller, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db
PLACE = {"alignment": "main", "station": "12+50", "offset": "15 L", "depth_below_grade": "1 ft"}
BANDS: dict[str, Any] = {
    "title": "By depth and plasticity",
    "edition": "2026",
    "criteria": [
        {"quantity": "percent_compaction", "minimum": "90 %", "clause": "Everywhere 90."},
        {"quantity": "percent_compaction", "minimum": "95 %", "depth_to": "2 ft", "clause": "Top 2 ft 95."},
        {
            "quantity": "percent_compaction",
            "minimum": "98 %",
            "maximum": "102 %",
            "zone": "core",
            "depth_to": "2 ft",
            "plasticity_index": {"above": "15 %"},
            "reference_methods": ["D698"],
            "clause": "Clays in the core, top 2 ft, 98 to 102.",
        },
        {"quantity": "water_content_deviation", "minimum": "0 %", "zone": "core", "clause": "At or above optimum."},
    ],
}


def enter(site: Site, by_session: Callable[[str], Caller], body: dict[str, Any], rev: int = 2) -> None:
    done = by_session("m.dale").put(f"specifications/S-1/revisions/{rev}", body)
    assert done.status_code == 201, done.content


def approve(by_session: Callable[[str], Caller], rev: int = 2) -> Any:
    address = f"specifications/S-1/revisions/{rev}/approvals/{uuid.uuid4()}"
    return by_session("e.stone").put(address, {"reason": "as the contract reads"})


def states(answer: Any) -> dict[int, str]:
    return {one["number"]: one["state"] for one in answer.json()["criteria"]}


def test_what_governs_is_told_with_why_the_others_do_not(site: Site, by_session: Callable[[str], Caller]) -> None:
    enter(site, by_session, BANDS)
    assert approve(by_session).status_code == 201
    sweep.run_until_idle()
    reader = by_session("c.pike")
    before = (Test.objects.count(), JournalEvent.objects.count())
    asked = {"position": PLACE, "reference": "P-1", "plasticity_index": "20 %"}
    answer = reader.post("specifications:governing", asked)
    assert answer.status_code == 200, answer.content
    assert states(answer) == {1: "displaced", 2: "displaced", 3: "governs", 4: "governs"}
    assert answer.json()["criteria"][1]["because"] == ["criterion 3 names more conditions"]
    assert answer.json()["place"]["zone"] == "core"
    # the same place, deeper; and without the plasticity index nobody can tell
    deep = reader.post("specifications:governing", asked | {"position": PLACE | {"depth_below_grade": "3 ft"}})
    assert states(deep) == {1: "governs", 2: "elsewhere", 3: "elsewhere", 4: "governs"}
    unknown = reader.post("specifications:governing", {"position": PLACE, "reference": "P-1"})
    assert states(unknown)[3] == "unknown"
    assert unknown.json()["criteria"][2]["because"] == ["plasticity index"]
    assert (Test.objects.count(), JournalEvent.objects.count()) == before


def test_a_reading_is_judged_without_storing_it(site: Site, by_session: Callable[[str], Caller]) -> None:
    enter(site, by_session, BANDS)
    approve(by_session)
    asked = {"position": PLACE, "reference": "P-1", "plasticity_index": "20 %", "water_content": "15.0 %"}
    caller = by_session("t.moss")
    # 107.8 of 110.0 pcf is 98.0 %; 112.3 is 102.1 %
    for dry, result in (("107.8 pcf", "pass"), ("107.7 pcf", "fail"), ("112.3 pcf", "fail")):
        judged = caller.post("specifications:governing", asked | {"dry_density": dry}).json()["judged"]
        assert judged["result"] == result, dry
    assert not Test.objects.exists()
    problem(caller.post("specifications:governing", {"water_content": "9 %"}), 422, "content-unreadable")
    refused = problem(caller.post("specifications:governing", {"plasticity_index": 20}), 422, "content-unreadable")
    assert refused["errors"][0]["pointer"] == "/plasticity_index"


def test_the_differences_of_two_revisions_are_told_in_words(site: Site, by_session: Callable[[str], Caller]) -> None:
    enter(site, by_session, BANDS)
    told = by_session("o.lake").get("specifications/S-1/revisions/2/differences/1").json()["differences"]
    kinds = [(one["kind"], one["what"]) for one in told]
    assert ("added", "criterion 2") in kinds
    assert any("98 to 102 % of D698" in one["after"] and "plasticity index above 15 %" in one["after"] for one in told)
    assert any(one["what"] == "rounding" and one["after"] == "none is named" for one in told)
    # 2 ft and 0.61 m are the same depth, 100 pcf and 1601.846 kg/m3 the same density: the project's unit and SI
    deep = {"title": "Bands", "water_density": "62.4 pcf", "reach": "all", "criteria": [
        {"quantity": "percent_compaction", "minimum": "95 %", "depth_from": "2 ft"}]}  # fmt: skip
    enter(site, by_session, deep, rev=3)
    told = by_session("o.lake").get("specifications/S-1/revisions/3/differences/2").json()["differences"]
    added = next(one for one in told if "deeper than" in one["after"])
    assert ("2 ft" in added["after"], "0.61 m" in added["after_si"]) == (True, True)
    water = next(one for one in told if one["what"] == "density of water")
    assert (water["before"], water["after"]) == ("62.428 pcf", "62.4 pcf")
    assert water["after_si"].startswith("999.55")
    problem(by_session("o.lake").get("specifications/S-1/revisions/2/differences/9"), 404, "not-found")


def test_a_draft_waits_for_edition_and_clauses(site: Site, by_session: Callable[[str], Caller]) -> None:
    listed = by_session("m.dale").get("specification-drafts").json()["items"]
    assert {one["key"] for one in listed} == set(DRAFTS)
    body = copy.deepcopy(next(one["body"] for one in listed if one["key"] == "plasticity"))
    enter(site, by_session, body)
    refused = problem(approve(by_session), 409, "conflict")
    assert "edition" in refused["detail"]
    assert "clause of criterion 1, 2, 3, 4" in refused["detail"]
    body["edition"] = "2026"
    for item in body["criteria"][1:]:
        item["clause"] = "As the contract reads."
    enter(site, by_session, body, rev=3)
    assert "criterion 1 " in problem(approve(by_session, rev=3), 409, "conflict")["detail"]
    body["criteria"][0]["clause"] = "As the contract reads."
    enter(site, by_session, body, rev=4)
    assert approve(by_session, rev=4).status_code == 201


def test_the_criteria_table_keeps_the_conditions(site: Site, by_session: Callable[[str], Caller]) -> None:
    enter(site, by_session, BANDS)
    rows = list(Criterion.objects.filter(specification__rev=2).order_by("number"))
    assert rows[0].conditions == ""
    assert '"plasticity_index"' in rows[2].conditions
    assert '"reference_methods"' in rows[2].conditions
    assert builders.SPECIFICATION["criteria"]
    assert {row.unit for row in rows} == {"%"}
