"""Over HTTP: things seen at the spot, determinations with weighings, and the uncertainty of a test."""

import json
import uuid
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.api.conftest import Caller, problem
from tests.builders import sand_cone_body

MICROWAVE = {
    "method": "microwave", "fraction": "total", "standard": "d4643", "specimen_mass": "300.3 g",
    "weighings": ["272.5 g", "261.3 g", "261.1 g"],
}  # fmt: skip


def current(answer: Any) -> dict[str, Any]:
    assert answer.status_code in (200, 201), answer.content
    return json.loads(answer.content)["current"]


def codes(answer: Any) -> set[str]:
    return {finding["code"] for finding in current(answer)["findings"]}


def test_what_was_seen_comes_back_as_findings_and_moves_no_figure(crew: Caller) -> None:
    plain = current(crew.put_test(sand_cone_body()))
    answer = crew.put_test(sand_cone_body(spot=["vibration", {"what": "void_not_filled", "note": "root hole"}]))
    assert {"spot-vibration", "spot-void-not-filled"} <= codes(answer)
    seen = current(answer)
    assert (seen["result"], seen["figures"]) == (plain["result"], plain["figures"])
    by_code = {finding["code"]: finding for finding in seen["findings"]}
    assert by_code["spot-void-not-filled"]["severity"] == "validity"
    assert "a fail may pass" in by_code["spot-void-not-filled"]["sentence"]


@pytest.mark.parametrize(
    ("spot", "pointer", "code"),
    [
        ([], "/spot", "out-of-range"),
        ("vibration", "/spot", "not-an-array"),
        (["earthquake"], "/spot/0", "not-a-choice"),
        ([{"note": "roller"}], "/spot/0/what", "missing"),
        ([{"what": "vibration", "how": "loud"}], "/spot/0/how", "unknown-member"),
        (["vibration", {"what": "vibration"}], "/spot", "stated-twice"),
        ([{"what": "vibration", "note": "x" * 301}], "/spot/0/note", "too-long"),
        ([None], "/spot/0", "not-a-choice"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused_with_its_place(crew: Caller, spot: Any, pointer: str, code: str) -> None:
    answer = crew.put_test(sand_cone_body(spot=spot))
    assert answer.status_code == 422
    assert (pointer, code) in {(one["pointer"], one["code"]) for one in json.loads(answer.content)["errors"]}


def test_weighings_give_the_water_content_and_their_finding(crew: Caller) -> None:
    dried = current(crew.put_test(sand_cone_body(water_contents=[MICROWAVE])))
    assert Decimal(dried["figures"]["water_content_pct"]) == round(100 * Decimal("39.2") / Decimal("261.1"), 9)
    assert "constant-mass-not-reached" not in {finding["code"] for finding in dried["findings"]}
    stopped = {**MICROWAVE, "weighings": ["272.5 g", "262.0 g"]}
    assert "constant-mass-not-reached" in codes(crew.put_test(sand_cone_body(water_contents=[stopped])))


def uncertainty_of(crew: Caller, body: dict[str, Any], stated: str = "") -> Any:
    id_ = uuid.uuid4()
    crew.put_test(body, id_)
    return crew.get(f"tests/{id_}/uncertainty" + (f"?{urlencode({'stated': stated})}" if stated else ""))


def percent_of(answer: Any) -> dict[str, Any]:
    assert answer.status_code == 200, answer.content
    return next(one for one in json.loads(answer.content)["budgets"] if one["figure"] == "percent_compaction")


def test_the_uncertainty_of_a_test_is_read(crew: Caller) -> None:
    answer = uncertainty_of(crew, sand_cone_body())
    percent = percent_of(answer)
    assert Decimal(percent["expanded_uncertainty"]) == 2 * Decimal(percent["standard_uncertainty"])
    assert abs(sum(Decimal(line["share_pct"]) for line in percent["inputs"]) - 100) < Decimal("1e-9")
    assert json.loads(answer.content)["conformities"][0]["quantity"] == "percent_compaction"
    surer = percent_of(uncertainty_of(crew, sand_cone_body(), "sand_bulk_density_kgm3=1 kg/m3; mass_before_kg=0.1 g"))
    assert Decimal(surer["standard_uncertainty"]) < Decimal(percent["standard_uncertainty"])


@pytest.mark.parametrize(
    "stated", ["mass=1", "mass_before_kg=1", "mass_before_kg=1 g; mass_before_kg=2 g", "none_kg=1 g"]
)
def test_an_uncertainty_that_cannot_be_read_is_a_problem(crew: Caller, stated: str) -> None:
    problem(uncertainty_of(crew, sand_cone_body(), stated), 400, "query-parameter")
