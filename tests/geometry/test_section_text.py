"""Typical section and ground as typed, and how they are told back."""

from decimal import Decimal

import pytest

from projects.geometry.alignment import Alignment
from projects.geometry.section_report import section_report
from projects.geometry.section_text import ground_rows, section_rows
from projects.geometry.station_format import StationFormat
from projects.geometry.table_text import TableTextError

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
