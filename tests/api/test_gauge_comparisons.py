"""Gauge comparisons over HTTP: pairs, statistics, a correction proposed, previewed, adopted."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest

from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db
CORRECTION = {
    "gauge": "G-1187",
    "reference": "P-1",
    "mode": "direct_transmission",
    "depth": "6 in",
    "water_offset": {"value": "-0.7 %"},
    "effective_from": "2026-06-03",
    "reason": "pairs with the sand cone",
}


def put_pairs(crew: Caller, count: int = 4) -> list[str]:
    made = []
    for n in range(count):
        gauge = str(uuid.uuid4())
        body = builders.gauge_body(label=f"G{n}")
        body["readings"] = {**body["readings"], "water_content": f"15.{6 + n % 2} %", "wet_density": f"12{n % 3}.4 pcf"}
        crew.put(f"tests/{gauge}", body)
        crew.put_test(builders.sand_cone_body(label=f"G{n}C", check_of=gauge))
        made.append(gauge)
    sweep.run_until_idle()
    return made


def test_a_comparison_is_listed_and_read(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    made = put_pairs(crew)
    [item] = crew.get("gauge-comparisons").json()["items"]
    assert (item["gauge"], item["reference"], item["notch"], item["pairs"], item["verdict"]) == (
        "G-1187", "P-1", 6, 4, "too_few",
    )  # fmt: skip
    water = next(one for one in item["quantities"] if one["quantity"] == "water_content")
    assert water["mean_difference"] == "0.650000000"
    assert water["sentences"][0] == "4 of 10 pairs: too few (Alberta ATT-48/95)."
    shown = crew.get(f"gauge-comparisons/{item['id']}").json()
    assert {spot["gauge"] for spot in shown["spots"]} == set(made)
    assert shown["statistics"]["water_content"]["standard_deviation"] == "0.057735027"
    assert shown["statistics"]["water_per_volume"] is None
    assert shown["corrections"] == []
    problem(crew.get(f"gauge-comparisons/{uuid.uuid4()}"), 404, "not-found")
    direct = next(spot["direct"] for spot in shown["spots"] if spot["gauge"] == made[0])
    taken_out = {"gauge_test": made[0], "direct_test": direct, "counts": False, "reason": "hole caved in"}
    assert by_session("s.hale").put(f"gauge-pairs/{uuid.uuid4()}", taken_out).status_code == 201
    [item] = crew.get("gauge-comparisons").json()["items"]
    assert [one["pairs"] for one in item["quantities"]] == [3, 3, 0]


def test_a_correction_is_previewed_proposed_and_adopted(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    made = put_pairs(crew)
    supervisor, engineer = by_session("s.hale"), by_session("e.stone")
    seen = supervisor.post("gauge-corrections:preview", CORRECTION).json()
    assert (seen["total"], seen["changed"]) == (4, 4)
    [item] = crew.get("gauge-comparisons").json()["items"]
    address = f"gauge-corrections/{uuid.uuid4()}"
    body = {**CORRECTION, "analysis_digest": item["digest"]}
    first = supervisor.put(address, body)
    assert (first.status_code, first.json()["receipt"]["seq"] > 0) == (201, True)
    again = supervisor.put(address, body)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    problem(supervisor.put(address, CORRECTION), 409, "content-conflict")
    moved = {**CORRECTION, "analysis_digest": "0" * 64}
    problem(supervisor.put(f"gauge-corrections/{uuid.uuid4()}", moved), 412, "not-current")
    problem(supervisor.put(f"{address}/adoptions/{uuid.uuid4()}", {"reason": "mine"}), 403, "not-allowed")
    before = crew.get(f"tests/{made[0]}").json()["current"]["figures"]["water_content_pct"]
    assert engineer.put(f"{address}/adoptions/{uuid.uuid4()}", {"reason": "plot seen"}).status_code == 201
    sweep.run_until_idle()
    current: dict[str, Any] = crew.get(f"tests/{made[0]}").json()["current"]
    assert (before, current["figures"]["water_content_pct"]) == ("15.600000000", "14.900000000")
    assert current["figures"]["gauge_water_offset_pct"] == "-0.700000000"
    assert "gauge-correction-applied" in {finding["code"] for finding in current["findings"]}
    [line] = engineer.get("gauge-corrections").json()["items"]
    assert (line["in_force"], line["adoption"]["person"], len(line["pairs"])) == (True, "e.stone", 4)
    [item] = crew.get("gauge-comparisons").json()["items"]
    assert item["quantities"][1]["mean_difference"] == "0.650000000", "pairs stay as the gauge counted"


def test_the_author_adopts_nothing(by_session: Callable[[str], Caller]) -> None:
    engineer, address = by_session("e.stone"), f"gauge-corrections/{uuid.uuid4()}"
    engineer.put(address, CORRECTION)
    problem(engineer.put(f"{address}/adoptions/{uuid.uuid4()}", {"reason": "mine"}), 403, "second-person-needed")
    assert by_session("e.brook").put(f"{address}/adoptions/{uuid.uuid4()}", {"reason": "seen"}).status_code == 201


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"depth": "0.5 in"}, "/depth"),
        ({"water_offset": {"value": "-0.7 %", "factor": "0.9"}}, "/water_offset/value"),
        ({"density_offset": {"value": "-0.7 %"}}, "/density_offset/value"),
        ({"colour": "blue"}, "/colour"),
    ],
)
def test_what_cannot_be_read_is_told_at_its_place(
    by_session: Callable[[str], Caller], changes: dict[str, Any], pointer: str
) -> None:
    refused = by_session("s.hale").put(f"gauge-corrections/{uuid.uuid4()}", {**CORRECTION, **changes})
    assert problem(refused, 422, "content-unreadable")["errors"][0]["pointer"] == pointer


def test_turned_readings_travel_as_they_were_written(crew: Caller) -> None:
    body = builders.gauge_body()
    body["readings"] = {
        **body["readings"],
        "rotated": [{"turned": 90, "wet_density": "116.0 pcf", "water_content": "15.2 %"}],
        "rotation": "apart",
    }
    id_ = uuid.uuid4()
    answer = crew.put(f"tests/{id_}", body)
    assert answer.status_code == 201
    current = answer.json()["current"]
    assert current["result"] == "fail", "the second reading, 100.7 of 110.0 pcf, decides"
    assert current["criteria"][0]["sentence"].startswith("Reading 2 of 2: ")
    assert "rotated-readings-spread" in {finding["code"] for finding in current["findings"]}
    assert answer.json()["current"]["figures"]["readings_judged_apart"] == "2.000000000"
    body["readings"] = {**body["readings"], "rotation": "average"}
    assert crew.put_test(body).json()["current"]["figures"]["wet_density_kgm3"].startswith("1905.39")
    del body["readings"]["rotation"]
    refused = problem(crew.put_test(body), 422, "content-unreadable")
    assert [error["pointer"] for error in refused["errors"]] == ["/readings/rotation"]
