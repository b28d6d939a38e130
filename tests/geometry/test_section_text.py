"""Typical section and ground as typed, and how they are told back."""

from decimal import Decimal

import pytest

from projects.geometry.alignment import Alignment
from projects.geometry.conversion_rows import Asked
from projects.geometry.positions import locate
from projects.geometry.section_report import section_report
from projects.geometry.section_text import ground_rows, section_rows
from projects.geometry.station_format import StationFormat
from projects.geometry.table_text import TableTextError

FOOT = 0.3048

SECTION = """50+00 | both 30 -2% 2:1 | pavement 0.5 | base course 0.75
55+00 ; L 30 +4% 2:1 ; R 40 -6% 3:2
"""
GROUND = """50+00 | 100 L 1280.5 | 0 1286 | 60 R 1291.2
5500 | -100 1281 | +60 1290"""


def line():
    return Alignment.from_plain(
        {
            "kind": "baseline", "unit": "ft", "start_station": "5000", "points": [["0", "0"], ["0", "1300"]],
            "profile": {"points": [{"station": "5000", "elevation": "1300"}, {"station": "6300", "elevation": "1300"}]},
            "typical_section": {"rows": section_rows(SECTION), "lift_thickness": "1"},
            "ground": ground_rows(GROUND),
        }
    )  # fmt: skip


def test_what_was_typed_gives_the_surfaces_worked_by_hand():
    typed = line()
    # 1300 - 2 % of 10 - 1.25 of pavement and base, 10 ft left at the first row
    assert typed.design_grade_m(station_m=5000 * 0.3048, offset_m=-10 * 0.3048) == pytest.approx(1298.55 * 0.3048)
    # behind the second row: no layers, 4 % up to the left, 6 % down to the right
    assert typed.design_grade_m(station_m=6000 * 0.3048, offset_m=-10 * 0.3048) == pytest.approx(1300.4 * 0.3048)
    assert typed.design_grade_m(station_m=6000 * 0.3048, offset_m=10 * 0.3048) == pytest.approx(1299.4 * 0.3048)
    # 50 ft left, half way between the two cross lines: straight across, then straight along
    here = 1280.5 + 5.5 / 2
    there = 1281 + 50 * 9 / 160
    found = typed.ground.elevation_m(station_m=5250 * 0.3048, offset_m=-50 * 0.3048)
    assert found == pytest.approx((here + there) / 2 * 0.3048)


def test_it_is_told_back_as_entered():
    told = section_report(line(), StationFormat(2))
    assert (told.grade_line, told.depth_from, told.lifts_from) == ("finished grade", "subgrade", "bottom")
    assert [(row.text, row.left, row.right, row.layers, row.cover) for row in told.rows] == [
        ("50+00.00", "30 at -2 %, then 2:1", "30 at -2 %, then 2:1", "pavement 0.5, base course 0.75", Decimal("1.25")),
        ("55+00.00", "30 at 4 %, then 2:1", "40 at -6 %, then 1.5:1", "", Decimal(0)),
    ]
    assert [(row.points, row.left, row.right, row.lowest, row.highest) for row in told.ground] == [
        (3, "100 L", "60 R", Decimal("1280.5"), Decimal("1291.2")),
        (2, "100 L", "60 R", Decimal(1281), Decimal(1290)),
    ]
    bare = Alignment.from_plain(
        {"kind": "baseline", "unit": "m", "start_station": "0", "points": [["0", "0"], ["9", "0"]]}
    )
    assert section_report(bare, StationFormat(3)) is None


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("50+00 | both 30 -2 2:1", "is -2 percent"),
        ("50+00 | L 30 -2% 2:1", "the right side is missing"),
        ("50+00 | both 30 -2% | L 30 -2%", "stands there twice"),
        ("50+00 | both 30 -2% | pavement", "neither a side .* nor a layer"),
        ("50+00 | both 30 -2% 2:0", "falls by more than zero"),
        ("50+0 | both 30 -2%", "is not a station"),
        ("1 | both 3,5 -2%", "Write decimals with a point"),
    ],
)
def test_section_rows_that_are_none(text, sentence):
    with pytest.raises(TableTextError, match=sentence):
        section_rows(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [("50+00 | -5 L 3", "minus and a letter"), ("50+00 | 60 R", "no offset with its elevation"), ("x | 0 1", "Line 1")],
)
def test_ground_rows_that_are_none(text, sentence):
    with pytest.raises(TableTextError, match=sentence):
        ground_rows(text)


@pytest.mark.parametrize(
    ("under_slope", "grade_ft", "said"),
    [
        ("slope_face", 1300 - 0.02 * 30 - 10 / 2, "counted from the slope face"),
        # subgrade carried on at 2 %, 1.25 ft of layers below finished grade
        ("surface_extended", 1300 - 0.02 * 40 - 1.25, "counted from the surface carried on behind the hinge"),
    ],
)
def test_depth_under_a_side_slope_is_counted_as_the_section_says(under_slope, grade_ft, said):
    """Ten feet behind a hinge at 30 ft, 2:1: the face lies 5 ft below the hinge. Worked by hand."""
    content = {
        "kind": "baseline",
        "unit": "ft",
        "start_station": "1000",
        "points": [["0", "0"], ["4000", "0"]],
        "profile": {"points": [{"station": "1000", "elevation": "1300"}, {"station": "5000", "elevation": "1300"}]},
        "typical_section": {
            "rows": section_rows("10+00 | both 30 -2% 2:1 | pavement 0.5 | base 0.75"), "under_slope": under_slope,
        },
    }  # fmt: skip
    line = Alignment.from_plain(content)
    assert line.design_grade_m(station_m=2000 * FOOT, offset_m=40 * FOOT) == pytest.approx(grade_ft * FOOT)
    assert Alignment.from_plain(line.to_plain()) == line
    assert ("under_slope" in line.to_plain()["typical_section"]) == (under_slope != "slope_face")
    stated = Asked(alignment="CL", station="20+00", offset="40 R", elevation_m=Decimal(390))
    assert locate(stated, alignments={"CL": line}).depth_source.endswith(f"; under a side slope, {said}")
    beside = Asked(alignment="CL", station="20+00", offset="30 R", elevation_m=Decimal(390))
    assert "slope" not in locate(beside, alignments={"CL": line}).depth_source
