"""Alignments over HTTP: previewed from content or from a file, saved, read; positions converted in bulk."""

from collections.abc import Callable
from typing import Any

import pytest

from projects.geometry.landxml.safe_xml import read_tree
from tests.api.conftest import Caller, problem
from tests.geometry.landxml_files import winding, written

pytestmark = pytest.mark.django_db
PROFILE = (
    '<Profile><ProfAlign name="FG"><PVI>1000 9</PVI><ParaCurve length="90">1300 12</ParaCurve>'
    "<PVI>1725 8</PVI></ProfAlign></Profile>"
)
FILE = written(winding(), inside=PROFILE)


def previewed(caller: Caller, body: dict[str, Any]) -> dict[str, Any]:
    answer = caller.post("alignments:preview", body)
    assert answer.status_code == 200, answer.content
    return dict(answer.json())


def test_a_file_is_looked_at_asked_about_saved_and_read(by_session: Callable[[str], Caller]) -> None:
    engineer = by_session("e.stone")
    asked = previewed(engineer, {"landxml": FILE, "file_name": "haul road.xml"})
    assert [question["name"] for question in asked["questions"]] == ["surface"]
    assert (asked["content"], asked["usable"]) == (None, False)
    assert len(asked["file"]["closures"]) == 9
    looked = previewed(
        engineer, {"landxml": FILE, "file_name": "haul road.xml", "answers": {"surface": "finished grade"}}
    )
    assert looked["usable"] is True
    report = looked["report"]
    assert [row["kind"] for row in report["elements"]][:4] == ["line", "clothoid", "arc", "clothoid"]
    assert (report["unit_name"], report["text_start"], report["text_end"]) == ("metre", "10+00.00", "17+25.00")
    assert float(report["elements"][1]["parameter"]) == pytest.approx((300 * 90) ** 0.5, abs=1e-3)
    saved = engineer.put("alignments/haul/revisions/1", {"name": "Haul road", "content": looked["content"]})
    assert saved.status_code == 201
    read = engineer.get("alignments/haul/revisions/1").json()
    assert read["content"] == looked["content"]
    assert read["report"] == report
    assert dict(read["report"]["source"])["file"] == "haul road.xml"
    assert len(dict(read["report"]["source"])["sha256"]) == 64
    listed = engineer.get("alignments").json()["items"]
    assert [(item["code"], len(item["revisions"])) for item in listed] == [("haul", 1), ("main", 1)]
    assert "content" not in listed[0]["revisions"][0]


def test_a_preview_stores_nothing_and_takes_a_pi_table(by_session: Callable[[str], Caller]) -> None:
    from api.examples.bodies import EXAMPLES

    engineer = by_session("e.stone")
    looked = previewed(engineer, EXAMPLES["AlignmentToPreview"]["pi_table"])
    assert [row["kind"] for row in looked["report"]["elements"]] == ["line", "clothoid", "arc", "clothoid", "line"]
    assert looked["report"]["elements"][2]["radius_start"] == "954.9297"  # 18000 / (6 pi)
    assert looked["file"] is None
    assert [item["code"] for item in engineer.get("alignments").json()["items"]] == ["main"]


def test_ground_lengths_are_said_beside_a_file(by_session: Callable[[str], Caller]) -> None:
    scale = {"combined_factor": "0.9998", "coordinates": "grid"}
    body = {"landxml": FILE, "answers": {"profile": ""}, "scale": scale}
    looked = previewed(by_session("e.stone"), body)
    assert looked["content"]["scale"]["combined_factor"] == "0.9998"
    assert "grid = ground × 0.9998 (-200.0 ppm)" in looked["report"]["scale"]
    assert float(looked["report"]["elements"][0]["length"]) == pytest.approx(120 / 0.9998, abs=1e-3)


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ({}, "either 'content' or 'landxml'"),
        ({"content": {}, "landxml": ""}, "either 'content' or 'landxml'"),
        ({"content": {"kind": "spiral staircase"}}, "one of baseline"),
        ({"content": 5}, "JSON object"),
        ({"landxml": 5}, "Text is taken here"),
        ({"landxml": ""}, "The file is empty"),
        ({"landxml": "<!DOCTYPE LandXML [<!ENTITY a 'b'>]><LandXML/>"}, "document type"),
        ({"landxml": FILE.replace("clothoid", "bloss")}, "of the type “bloss”"),
        ({"landxml": FILE, "answers": []}, "JSON object"),
        ({"landxml": FILE, "answers": {"surface": 1}}, "printable characters"),
        ({"landxml": FILE, "answers": {"surfaces": "x"}}, "is not known here"),
        ({"landxml": FILE, "answers": {"alignment": "B"}}, "It holds: CL"),
        ({"landxml": FILE, "answers": {"profile": ""}, "scale": {"combined_factor": "2"}}, "outside 0.997"),
        ({"content": {}, "more": 1}, "is not known here"),
    ],
)
def test_what_cannot_be_previewed(by_session: Callable[[str], Caller], body: Any, sentence: str) -> None:
    found = problem(by_session("e.stone").post("alignments:preview", body), 422, "content-unreadable")
    assert sentence in found["detail"] or any(sentence in error["detail"] for error in found["errors"])


def test_areas_are_read_back(by_session: Callable[[str], Caller]) -> None:
    engineer = by_session("e.stone")
    [item] = engineer.get("areas").json()["items"]
    assert (item["code"], item["revisions"][0]["kind"]) == ("core", "zone")
    content = engineer.get("areas/core/revisions/1").json()["content"]
    assert content["shape"]["alignment"] == "main" if "shape" in content else content
    problem(engineer.get("areas/core/revisions/9"), 404, "not-found")
    problem(engineer.get("alignments/none/revisions/1"), 404, "not-found")


def test_positions_are_converted(crew: Caller) -> None:
    """The baseline runs east from (20000, 10000) ft, station 10+00."""
    rows = [
        {"label": "a", "station": "12+34.56", "offset": "15 L"},
        {"label": "b", "easting": "20234.56 ft", "northing": "10015.00 ft"},
        {"station": "12+34.56 15 R"},
        {"station": "9+00", "offset": "CL"},
        {"station": "12+34", "offset": "15"},
        {"easting": "19990 ft", "northing": "10000 ft"},
        {"latitude": "41.1", "longitude": "-81.1"},
        {"latitude": "N 41 30 15 W 81 0 0", "longitude": "0"},
    ]
    answer = crew.post("positions:convert", {"alignment": "main", "rows": rows})
    assert answer.status_code == 200, answer.content
    found = answer.json()
    shown = found["rows"]
    assert (shown[0]["easting"], shown[0]["northing"]) == ("20234.5600", "10015.0000")
    assert (shown[1]["station_text"], shown[1]["offset_text"]) == ("12+34.56", "15.00 ft L")
    assert shown[2]["northing"] == "9985.0000"
    assert [row["state"] for row in shown] == [
        "placed", "placed", "placed", "refused", "question", "no_station", "refused", "refused",
    ]  # fmt: skip
    assert "100.00 ft before the start" in shown[3]["sentence"]
    assert shown[5]["station"] is None
    assert "no coordinate system" in shown[6]["sentence"]
    assert "decimal degrees" in shown[7]["sentence"]
    assert found["summary"] == {"placed": 3, "question": 1, "no_station": 1, "refused": 3}
    assert (found["coordinate_unit"], found["grid"]) == ("ft", None)


@pytest.mark.parametrize(
    "rows",
    [
        [],
        "x",
        [5],
        [{}],
        [{"station": 5}],
        [{"station": "1+00", "easting": "5 ft"}],
        [{"easting": "5 ft"}],
        [{"easting": "5", "northing": "5 ft"}],
        [{"easting": 5, "northing": 5}],
        [{"latitude": "41"}],
        [{"northing": "999999999 m", "easting": "5 m"}],
        [{"station": "12+00", "elevation": "5 ft"}],
        [{"station": "x" * 81}],
    ],
)
def test_rows_of_a_wrong_form_are_refused_with_their_place(crew: Caller, rows: Any) -> None:
    found = problem(crew.post("positions:convert", {"rows": rows}), 422, "content-unreadable")
    assert all(error["pointer"].startswith("/rows") for error in found["errors"])


def test_five_thousand_rows_and_not_one_more(crew: Caller) -> None:
    rows = [{"easting": f"{20000 + n % 4000}.25 ft", "northing": "10010.00 ft"} for n in range(5000)]
    answer = crew.post("positions:convert", {"rows": rows})
    assert answer.json()["summary"]["placed"] == 5000
    problem(crew.post("positions:convert", {"rows": [*rows, rows[0]]}), 422, "content-unreadable")


def test_the_sample_file_is_one_that_the_reader_reads() -> None:
    assert read_tree(FILE).name == "LandXML"
