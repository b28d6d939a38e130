"""Tables as typed: points of intersection, equations, profiles."""

import math
from decimal import Decimal

import pytest

from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import report
from projects.geometry.station_format import StationFormat
from projects.geometry.table_text import TableTextError, equation_rows, pi_rows, profile_rows, station_number
from tests.geometry.lines import road

TABLE = """600000 1400000
601500 1400400 D 4 arc in 200 out 150
603000, 1399600, R1200
604500;1399900
"""


def test_a_plan_sheet_typed_line_by_line_is_the_line():
    content = {"kind": "pi_table", "unit": "ftUS", "start_station": station_number("10+00"), "pis": pi_rows(TABLE)}
    assert Alignment.from_plain(content) == road()


def test_rows_of_a_pi_table():
    assert pi_rows("1 2 D=4.50 chord IN=100") == [
        {"point": ["1", "2"], "degree_deg": "4.50", "spiral_in_length": "100", "degree_definition": "chord"}
    ]
    assert pi_rows("\n  \n") == []
    assert pi_rows("-1.50 \u22122") == [{"point": ["-1.50", "-2"]}]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("1 2 D 4", "arc or by the chord definition"),
        ("1 2 D 4 arc chord", "arc or by the chord definition"),
        ("1", "easting and northing are needed"),
        ("1 2 R", "no figure behind it"),
        ("1 2 R 5 R 6", "stands there twice"),
        ("1 2 radius 5", "Known: R, D, IN, OUT"),
        ("1,5 2,5 R 3", "Write decimals with a point"),
        ("1e3 5", "is not a number"),
        ("1 2\n3 x", "Line 2"),
        ("1 2\n" * 501, "at most 500 lines"),
    ],
)
def test_rows_that_are_none(text, sentence):
    with pytest.raises(TableTextError, match=sentence):
        pi_rows(text)


def test_equations():
    rows = equation_rows("12+00 = 15+00\n1800.5 BK = 900 AH decreasing")
    assert rows == [
        {"back": "1200", "ahead": "1500", "direction": "increasing"},
        {"back": "1800.5", "ahead": "900", "direction": "decreasing"},
    ]
    for text in ("12+00", "12+00 = ", "a = b", "12+0 = 13+00", "27+1001.8 = km 29"):
        with pytest.raises(TableTextError):
            equation_rows(text)


def test_kilometre_posts_as_typed_make_the_kilometres():
    content = {
        "kind": "baseline", "unit": "m", "start_station": station_number("27+100"),
        "points": [["0", "0"], ["3000", "0"]],
        "equations": equation_rows("27+1001.8 = km 28\n28+993.127 = km 29+000"),
    }  # fmt: skip
    line = Alignment.from_plain(content)
    assert [str(zone.internal_from) for zone in line.stationing.zones] == ["27100", "28001.8", "28994.927"]
    told = report(line, StationFormat(3)).equations
    assert [(row.back, row.ahead) for row in told] == [("27+1001.80", "28+000.00"), ("28+993.13", "29+000.00")]


def test_profiles_and_their_report():
    """Source of the high point: x = -g1 L / (g2 - g1) = 2 x 400 / 3, grades +2 % and -1 %."""
    rows = profile_rows("10+00 100.00\n1500 110 L 400\n1800 107 L1 50 L2 100\n2000 109")
    assert rows[1] == {"station": "1500", "elevation": "110", "curve_length": "400"}
    assert rows[2] == {"station": "1800", "elevation": "107", "length_before": "50", "length_after": "100"}
    line = Alignment.from_plain(
        {"kind": "baseline", "unit": "ft", "start_station": "1000", "points": [["0", "0"], ["1010", "0"]],
         "profile": {"surface": "finished grade", "points": rows}}
    )  # fmt: skip
    told = report(line, StationFormat(2))
    assert [row.curve for row in told.profile] == ["", "parabola, crest", "unsymmetric parabola, sag", ""]
    assert told.profile[1].turning_text == "15+66.67"
    assert told.profile[1].turning_elevation == Decimal("108.6667")
    assert told.profile[1].k == Decimal("133.33")
    assert [sentence for code, _, sentence in told.remarks if code == "profile-cover"] == [
        "The profile ends 10.000 ft before the end of the line. There is no design grade in between, so no depth and "
        "no lift."
    ]


def test_the_report_names_parameter_chord_and_direction():
    told = report(road(), StationFormat(2))
    kinds = [(row.number, row.kind, row.turn) for row in told.elements]
    assert kinds[:3] == [(1, "line", ""), (2, "clothoid", "right"), (3, "arc", "right")]
    spiral, arc = told.elements[1], told.elements[2]
    assert arc.radius_start == Decimal("1432.3945")  # 18000 / (4 pi)
    assert spiral.parameter == Decimal("535.2372")  # sqrt(1432.3945 x 200)
    assert spiral.radius_start is None
    assert float(spiral.turn_deg) == pytest.approx(-4.0, abs=1e-6)  # Ls D / 200
    assert float(told.elements[0].azimuth_start_deg) == pytest.approx(75.068583, abs=1e-6)  # atan(1500 / 400)
    assert float(arc.chord) == pytest.approx(2 * 1432.3945 * math.sin(float(arc.length) / 2 / 1432.3945), abs=1e-3)
    assert [joint.state for joint in told.junctions] == ["smooth"] * 6
    assert told.remarks == ()
    assert (told.text_start, told.unit_name) == ("10+00.00", "US survey foot")


def test_a_corner_and_a_transition_to_the_wrong_radius_are_told_in_words():
    baseline = {
        "kind": "baseline",
        "unit": "m",
        "start_station": "0",
        "points": [["0", "0"], ["100", "0"], ["100", "50"]],
    }
    [joint] = report(Alignment.from_plain(baseline), StationFormat(2)).junctions
    assert joint.state == "kink"
    assert joint.sentence.startswith(
        "At 1+00.00, between elements 1 and 2: the line turns a corner of 90.0000° to the left"
    )
    spiral = {
        "kind": "spiral",
        "start": ["0", "0"],
        "azimuth_deg": "90",
        "length": "50",
        "radius_end": "200",
        "turn": "left",
    }
    first = Alignment.from_plain({"kind": "elements", "unit": "m", "start_station": "0", "elements": [spiral]})
    end = [f"{value:.6f}" for value in first.elements[0].end]
    arc_end = [f"{float(end[0]) + 30:.6f}", f"{float(end[1]) + 12:.6f}"]
    arc = {"kind": "arc", "start": end, "end": arc_end, "radius": "150", "turn": "left"}
    told = report(
        Alignment.from_plain({"kind": "elements", "unit": "m", "start_station": "0", "elements": [spiral, arc]}),
        StationFormat(2),
    )
    assert "the transition meets radius 150.0000 while it ends at radius 200.0000" in told.junctions[0].sentence
