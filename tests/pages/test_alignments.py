"""Pages of alignments and of the converter: import with questions, preview, save, tables, drawings, conversion."""

import re
import xml.etree.ElementTree as ET
from base64 import b64decode
from collections.abc import Callable

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from projects.models import AlignmentRevision
from tests.geometry.landxml_files import winding, written
from tests.pages.conftest import Filled
from tests.pages.hidden_fields import hidden_value

PROFILE = (
    '<Profile><ProfAlign name="FG"><PVI>1000 9</PVI><ParaCurve length="90">1300 12</ParaCurve>'
    "<PVI>1725 8</PVI></ProfAlign></Profile>"
)
FILE = written(winding(), inside=PROFILE, name="Haul")


def upload(client: Client, filled: Filled, content: str | bytes, **more: str):
    file = SimpleUploadedFile("haul road.xml", content.encode() if isinstance(content, str) else content)
    return client.post(filled.root + "alignments-new", {"file": file, "send-file": "1", **more})


def test_a_file_is_asked_about_shown_and_saved(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    engineer = sign_in("e.stone")
    asked = upload(engineer, filled, FILE).content.decode()
    assert "The file leaves something open" in asked
    assert "What is the profile “FG”" in asked
    assert "clockwise from north, in decimal degrees" in asked
    shown = engineer.post(
        filled.root + "alignments-new/answer",
        {"kept": hidden_value(asked, "kept"), "answer_surface": "top of fill"},
    ).content.decode()
    assert "Design profile: top of fill" in shown
    assert AlignmentRevision.objects.count() == 1
    drawings = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', shown)
    assert len(drawings) == 2
    for drawing in drawings:
        assert ET.fromstring(b64decode(drawing)).tag.endswith("svg")
    kept, once = hidden_value(shown, "kept"), hidden_value(shown, "client_uuid")
    saved = engineer.post(
        filled.root + "alignments-new/save", {"kept": kept, "client_uuid": once, "code": "haul", "name": "Haul road"}
    )
    assert saved["Location"].endswith("/alignments/haul")
    page = engineer.get(saved["Location"]).content.decode()
    for words in ("clothoid to the left", "164.317", "10+00.00 to 17+25.00", "Grade line", "haul road.xml", "smooth"):
        assert words in page
    for drawing in ("plan", "profile"):
        svg = engineer.get(filled.root + f"alignments/haul/1/{drawing}.svg")
        assert svg["Content-Type"].startswith("image/svg+xml")
        assert "haul rev 1" in svg.content.decode()
    listed = engineer.get(filled.root + "alignments").content.decode()
    assert "9, with profile" in listed


def test_the_next_revision_is_looked_at_for_what_it_changes(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    engineer = sign_in("e.stone")
    table = {
        "unit": "ft", "coordinate_unit": "ft", "start_station": "10+00",
        "points": "20000 10005\n24000 10005", "equations": "", "profile": "",
    }  # fmt: skip
    shown = engineer.post(filled.root + "alignments-new", table).content.decode()
    saved = engineer.post(
        filled.root + "alignments-new/save",
        {
            "kept": hidden_value(shown, "kept"),
            "client_uuid": hidden_value(shown, "client_uuid"),
            "code": "main",
            "name": "Moved",
        },
    )
    assert "/geometry-previews/" in saved["Location"]
    assert AlignmentRevision.objects.filter(code="main").count() == 1
    assert engineer.get(saved["Location"]).status_code == 200


def test_a_pi_table_with_everything(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    table = {
        "unit": "ftUS", "coordinate_unit": "ftUS", "start_station": "10+00",
        "points": "600000 1400000\n601500 1400400 D 4 arc in 200 out 150\n603000 1399600",
        "equations": "20+00 = 25+00",
        "profile": "1000 100\n2000 110 L 400\n3000 100", "surface": "finished grade",
        "combined_factor": "0.9999", "scale_coordinates": "grid",
    }  # fmt: skip
    page = sign_in("a.wood").post(filled.root + "alignments-new", table).content.decode()
    for words in (
        "1432.39",
        "20+00.00",
        "25+00.00",
        "parabola, crest",
        "ground × 0.9999 (-100.0 ppm)",
        "US survey foot",
    ):
        assert words in page
    assert "Design profile: finished grade" in page


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"points": "1 2\n3 4 D 5\n6 7"}, "arc or by the chord definition"),
        ({"points": "1 2"}, "at least two points"),
        ({"points": "0 0\n10 0 R 500\n10 10"}, "more tangent"),
        ({"start_station": "x"}, "is not a station"),
        ({"equations": "5+00 = 6+00"}, "outside the stretch"),
        ({"profile": "1000 5\n1100 6"}, "What is the profile"),
        ({"combined_factor": "1.5", "scale_coordinates": "grid"}, "outside 0.997 to 1.003"),
    ],
)
def test_a_table_that_cannot_be_tells_where(
    filled: Filled, sign_in: Callable[[str], Client], change: dict[str, str], sentence: str
) -> None:
    table = {"unit": "ft", "coordinate_unit": "ft", "start_station": "1000", "points": "0 0\n500 0", **change}
    answer = sign_in("e.stone").post(filled.root + "alignments-new", table)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("<!DOCTYPE LandXML [<!ENTITY a 'b'>]><LandXML/>", "document type"),
        (FILE[:2000], "cut short"),
        (FILE.replace("clothoid", "sinusoid"), "of the type “sinusoid”"),
        ("", "submitted file is empty"),
        (b"PK\x03\x04abcdef", "ZIP archive"),
    ],
)
def test_a_file_that_cannot_be_used_says_why(
    filled: Filled, sign_in: Callable[[str], Client], content: str | bytes, sentence: str
) -> None:
    answer = upload(sign_in("e.stone"), filled, content)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_what_was_shown_cannot_be_changed_on_the_way(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    engineer = sign_in("e.stone")
    for address in ("answer", "save"):
        answer = engineer.post(filled.root + f"alignments-new/{address}", {"kept": "eyJjb250ZW50Ijp7fX0:1:x"})
        assert answer.status_code == 302
        assert answer["Location"].endswith("/alignments-new")
    asked = upload(engineer, filled, FILE).content.decode()
    swapped = engineer.post(
        filled.root + "alignments-new/save", {"kept": hidden_value(asked, "kept"), "code": "x", "name": "x"}
    )
    assert swapped.status_code == 302
    assert AlignmentRevision.objects.count() == 1


def test_only_who_sets_up_may_add_one(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    technician = sign_in("t.moss")
    assert technician.get(filled.root + "alignments-new").status_code == 403
    assert technician.post(filled.root + "alignments-new/save", {}).status_code == 403
    assert technician.get(filled.root + "alignments/main").status_code == 200
    for path in (
        "alignments/none",
        "alignments/main?rev=7",
        "alignments/none/1/plan.svg",
        "alignments/main/1/profile.svg",
    ):
        assert technician.get(filled.root + path).status_code == 404


def test_the_converter_answers_and_asks(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("t.moss")
    page = crew.get(filled.root + "convert").content.decode()
    assert "10+00.00 to 50+00.00" in page
    asked = {"kind": "station", "alignment": "main", "unit": "ft", "places": "12+34.56, 15 L\n12+34 15\n9+00, CL"}
    page = crew.post(filled.root + "convert", asked).content.decode()
    assert "20234.560" in page
    assert "left or right of the line?" in page
    assert "before the start of main" in page
    file = crew.post(filled.root + "convert", {**asked, "csv": "1"})
    lines = file.content.decode("utf-8-sig").splitlines()
    assert lines[0].startswith(
        "row,label,state,alignment,station,offset,station_internal,offset_right_positive,unit,easting_ft"
    )
    assert lines[1].startswith("1,,placed,main,12+34.56,15.00 ft L,1234.5600,-15.0000,ft,20234.5600,10015.0000")
    back = crew.post(
        filled.root + "convert", {"kind": "northing-easting", "unit": "ft", "places": "P9, 10015, 20234.56"}
    ).content.decode()
    assert "12+34.56" in back
    assert "15.00 ft L" in back
    assert crew.post(filled.root + "convert", {"kind": "x", "places": ""}).status_code == 422
    assert (
        "At most 5000" in crew.post(filled.root + "convert", {**asked, "places": "1+00 CL\n" * 5001}).content.decode()
    )


def test_section_and_ground_are_pasted_looked_at_and_asked_about(
    filled: Filled, sign_in: Callable[[str], Client]
) -> None:
    engineer = sign_in("e.stone")
    address = filled.root + "alignments/main/section"
    assert sign_in("t.moss").get(address).status_code == 403
    assert engineer.get(filled.root + "alignments/none/section").status_code == 404
    assert "Original ground" in engineer.get(address).content.decode()
    empty = engineer.post(address, {})
    assert empty.status_code == 422
    assert "Enter a typical section" in empty.content.decode()
    wrong = engineer.post(address, {"section_rows": "10+00 | both 30 -2 2:1"})
    assert wrong.status_code == 422
    assert "is -2 percent?" in wrong.content.decode()
    entered = {
        "section_rows": "10+00 | both 30 -2% 2:1 | pavement 0.5", "depth_from": "subgrade", "lift_thickness": "0.667",
        "lifts_from": "bottom", "ground_rows": "10+00 | 50 L 95 | 50 R 96\n50+00 | 50 L 95 | 50 R 96",
    }  # fmt: skip
    shown = engineer.post(address, entered).content.decode()
    for words in ("30 at -2 %, then 2:1", "pavement 0.5", "counted from the bottom", "Depth is counted from", "50 L"):
        assert words in shown
    saved = engineer.post(
        filled.root + "alignments-new/save",
        {
            "kept": hidden_value(shown, "kept"),
            "client_uuid": hidden_value(shown, "client_uuid"),
            "code": "main",
            "name": "Dike",
        },
    )
    assert "/geometry-previews/" in saved["Location"]
    page = engineer.get(filled.root + "alignments/main").content.decode()
    assert saved["Location"] in page  # the alignment's page leads to what was looked at
    assert engineer.post(saved["Location"] + "/make").status_code == 302
    page = engineer.get(filled.root + "alignments/main").content.decode()
    assert "0.667" in page
    assert "Nominal" in page
    assert saved["Location"] not in page
    assert AlignmentRevision.objects.filter(code="main").count() == 2


def test_a_typed_table_takes_section_and_kilometre_posts(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    table = {
        "unit": "m", "coordinate_unit": "m", "start_station": "27+100", "points": "0 0\n3000 0",
        "equations": "27+1001.8 = km 28", "section_rows": "27+100 | both 5 -2.5% 1.5:1 | pavement 0.3",
        "lift_thickness": "0.3", "ground_rows": "27+100 | 20 L 8 | 20 R 9",
    }  # fmt: skip
    page = sign_in("e.stone").post(filled.root + "alignments-new", table).content.decode()
    for words in ("5 at -2.5 %, then 1.5:1", "Kilometre 28 begins", "pavement 0.3"):
        assert words in page
