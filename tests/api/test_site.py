"""Alignments, areas and apparatus over HTTP."""

from collections.abc import Callable

import pytest

from api.examples.bodies import EXAMPLES
from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db


def test_an_alignment(by_session: Callable[[str], Caller]) -> None:
    engineer = by_session("e.stone")
    body = EXAMPLES["Alignment"]["baseline"]
    assert engineer.put("alignments/side/revisions/1", body).status_code == 201
    again = engineer.put("alignments/side/revisions/1", body)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    moved = {**body, "content": {**body["content"], "start_station": "1100"}}
    problem(engineer.put("alignments/side/revisions/1", moved), 409, "revision-conflict")
    problem(engineer.put("alignments/side/revisions/3", moved), 409, "revision-conflict")
    assert engineer.put("alignments/side/revisions/2", moved).status_code == 201


def test_tests_move_with_their_alignment(crew: Caller, by_session: Callable[[str], Caller]) -> None:
    crew.put_test(builders.gauge_body())
    before = crew.get("tests").json()["items"][0]["easting_m"]
    content = {**builders.BASELINE, "points": [["20010", "10000"], ["24010", "10000"]]}
    assert (
        by_session("e.stone")
        .put("alignments/main/revisions/2", {"name": "Dike baseline", "content": content})
        .status_code
        == 201
    )
    sweep.run_until_idle()
    after = crew.get("tests").json()["items"][0]["easting_m"]
    assert float(after) - float(before) == pytest.approx(10 * 0.3048, abs=1e-4)


@pytest.mark.parametrize(
    "content",
    [
        {},
        {"kind": "spiral staircase"},
        {"kind": "baseline", "unit": "cubit", "points": [["0", "0"], ["1", "1"]], "start_station": "0"},
        {"kind": "baseline", "unit": "ft", "points": [["0", "0"], ["0", "0"]], "start_station": "0"},
        {"kind": "baseline", "unit": "ft", "points": [["0", "0"]], "start_station": "0"},
        {"kind": "baseline", "unit": "ft", "points": [[0.5, 1], ["1", "1"]], "start_station": "x"},
    ],
)
def test_a_line_that_is_none(by_session: Callable[[str], Caller], content: dict[str, object]) -> None:
    problem(
        by_session("e.stone").put("alignments/side/revisions/1", {"name": "Side", "content": content}),
        422,
        "content-unreadable",
    )


def test_a_revision_governs_from_its_day_on(by_session: Callable[[str], Caller], crew: Caller) -> None:
    engineer = by_session("e.stone")
    moved = {**builders.BASELINE, "points": [["20010", "10000"], ["24010", "10000"]]}
    sent = {"name": "Dike", "content": moved, "reach": "from_date", "effective_from": "2026-06-04"}
    assert engineer.put("alignments/main/revisions/2", sent).status_code == 201
    assert engineer.get("alignments/main/revisions/2").json()["effective_from"] == "2026-06-04"

    def easting(day: str) -> str:
        body = builders.gauge_body(performed_at=f"{day}T09:15:00-06:00")
        return str(crew.post("tests:preview", body).json()["position"]["easting_m"])

    assert float(easting("2026-06-04")) - float(easting("2026-06-03")) == pytest.approx(3.048, abs=1e-4)
    for change in ({"effective_from": "soon"}, {"reach": "all"}, {"reach": "never"}):
        problem(engineer.put("alignments/main/revisions/3", {**sent, **change}), 422, "content-unreadable")


def test_an_area(by_session: Callable[[str], Caller], crew: Caller) -> None:
    engineer = by_session("e.stone")
    around = {
        "alignment": "main",
        "station_from_m": "370",
        "station_to_m": "390",
        "offset_from_m": "-20",
        "offset_to_m": "20",
    }
    exempt = {"name": "Behind the wall", "kind": "exempt", "reason": "drain gravel", "content": around}
    assert engineer.put("areas/wall/revisions/1", exempt).status_code == 201
    assert crew.post("tests:preview", builders.gauge_body()).json()["position"]["exempt"] is True
    assert engineer.get("areas/wall/revisions/1").json()["size"].startswith("800.00 m² in the plane of the drawing")
    for change in (
        {"kind": "limit"},
        {"kind": 1},
        {"name": 5},
        {"name": "x" * 121},
        {"reason": "x" * 201},
        {"content": []},
        {"content": {"alignment": "main"}},
    ):
        problem(engineer.put("areas/wall/revisions/2", {**exempt, **change}), 422, "content-unreadable")


def test_apparatus(by_session: Callable[[str], Caller], crew: Caller) -> None:
    body = EXAMPLES["Apparatus"]["gauge"]
    supervisor = by_session("s.hale")

    def codes() -> set[str]:
        found = crew.post("tests:preview", builders.gauge_body()).json()["current"]["findings"]
        return {item["code"] for item in found}

    assert "gauge-not-registered" in codes()
    assert supervisor.put("apparatus/G-1187/records/1", body).status_code == 201
    assert "gauge-not-registered" not in codes()
    again = supervisor.put("apparatus/G-1187/records/1", body)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    problem(supervisor.put("apparatus/G-1187/records/1", {**body, "name": "x"}), 409, "content-conflict")
    problem(supervisor.put("apparatus/G-1187/records/5", body), 409, "revision-conflict")
    crossed = {**body, "valid_from": "2026-05-01", "valid_until": "2026-04-01"}
    problem(supervisor.put("apparatus/G-1187/records/2", crossed), 422, "content-unreadable")
