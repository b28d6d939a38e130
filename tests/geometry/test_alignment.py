"""Alignments from stored content, their units, and their report on closure."""

import math
from decimal import Decimal

import pytest

from projects import canonical
from projects.geometry.alignment import Alignment, BeyondAlignment
from projects.geometry.linear_units import UnknownLinearUnit
from projects.geometry.plain_content import ContentError
from projects.geometry.plan_points import PlanError
from projects.geometry.stationing import StationingError
from tests.geometry.examples import examples
from tests.geometry.lines import road

D = Decimal

ELEMENTS = {
    "kind": "elements",
    "unit": "m",
    "start_station": "0",
    "elements": [
        {"kind": "line", "start": ["0", "0"], "end": ["0", "200"]},
        {"kind": "arc", "start": ["0", "200"], "end": ["-100", "200"], "radius": "50", "turn": "left"},
        {"kind": "line", "start": ["-100", "200"], "end": ["-100", "0"]},
    ],
}
BASELINE = {
    "kind": "baseline",
    "unit": "ft",
    "start_station": "1000.00",
    "points": [["0", "0"], ["300", "400"]],
    "equations": [{"back": "1200", "ahead": "5000"}],
    "profile": {
        "surface": "top of subgrade",
        "points": [
            {"station": "1000", "elevation": "800"},
            {"station": "1250", "elevation": "810", "curve_length": "200"},
            {"station": "1500", "elevation": "805"},
        ],
    },
    "section": {"cross_slope": "-0.02", "cover": "1.25"},
}


@pytest.mark.parametrize("content", [ELEMENTS, BASELINE, road().to_plain()], ids=["elements", "baseline", "pi table"])
def test_stored_content_comes_back_with_the_same_digest(content):
    line = Alignment.from_plain(content)
    again = Alignment.from_plain(line.to_plain())
    assert canonical.digest(again.to_plain()) == canonical.digest(line.to_plain())
    assert again.elements == line.elements
    assert again == line


def test_the_same_number_spelt_differently_has_one_digest():
    spelt = {**BASELINE, "start_station": "1000", "points": [["0.0", "0"], ["300.00", "400"]]}
    first, second = (Alignment.from_plain(content).to_plain() for content in (BASELINE, spelt))
    assert canonical.digest(first) == canonical.digest(second)


def test_units_become_metres_at_the_door():
    line = Alignment.from_plain(BASELINE)
    assert line.length_m == pytest.approx(500 * 0.3048, abs=1e-12)
    assert line.point(station_m=1100 * 0.3048) == pytest.approx((60 * 0.3048, 80 * 0.3048), abs=1e-12)
    grade = line.design_grade_m(station_m=1000 * 0.3048, offset_m=-10 * 0.3048)
    assert grade == pytest.approx((800 - 0.2 - 1.25) * 0.3048, abs=1e-9)


def test_survey_foot_grid_and_foot_stations():
    """Coordinates in US survey feet, stations in international feet: the same line is 2 ppm longer in them."""
    line = Alignment.from_plain({**BASELINE, "coordinate_unit": "ftUS", "profile": None})
    assert line.length_m / 0.3048 == pytest.approx(500 * 1.000002, abs=1e-8)


def test_semicircle_by_radius_by_centre_and_its_closure():
    by_radius = Alignment.from_plain(ELEMENTS)
    arc = {"kind": "arc", "start": ["0", "200"], "end": ["-100", "200"], "centre": ["-50", "200"], "turn": "left"}
    by_centre = Alignment.from_plain({**ELEMENTS, "elements": [ELEMENTS["elements"][0], arc, ELEMENTS["elements"][2]]})
    for line in (by_radius, by_centre):
        assert line.length_m == pytest.approx(400 + 50 * math.pi, abs=1e-9)
        assert [joint.is_gap or joint.is_kink for joint in line.junctions] == [False, False]


def test_large_arc():
    arc = {"kind": "arc", "start": ["0", "0"], "end": ["-50", "-50"], "radius": "50", "turn": "left", "large": True}
    line = Alignment.from_plain({**ELEMENTS, "elements": [arc]})
    assert line.length_m == pytest.approx(1.5 * math.pi * 50, abs=1e-9)
    assert line.elements[0].end == pytest.approx((-50.0, -50.0), abs=1e-9)


def test_spiral_by_its_end_point_reports_what_does_not_close():
    """Rounded to the millimetre, the printed end of a 100 m clothoid of R 300 leaves a gap below that."""
    row = next(row for row in examples("curves")["S9"]["rows"] if row[0] == 100)
    end = [f"{row[1]:.3f}", f"{row[2]:.3f}"]
    spiral = {"kind": "spiral", "start": ["0", "0"], "end": end, "length": "100", "radius_end": "300", "turn": "left"}
    after = {"kind": "line", "start": end, "end": ["200", "40"]}
    line = Alignment.from_plain({**ELEMENTS, "elements": [spiral, after]})
    assert line.junctions[0].gap_m < 0.001
    assert line.junctions[0].is_kink


def test_gaps_and_kinks_are_told():
    rows = [*ELEMENTS["elements"][:2], {"kind": "line", "start": ["-100", "199.95"], "end": ["-101", "0"]}]
    line = Alignment.from_plain({**ELEMENTS, "elements": rows})
    joint = line.junctions[1]
    assert joint.gap_m == pytest.approx(0.05, abs=1e-9)
    assert joint.is_gap
    assert joint.is_kink


def test_stations_outside_are_not_clamped():
    line = Alignment.from_plain(BASELINE)
    with pytest.raises(BeyondAlignment, match=r"30\.48 m before the start"):
        line.point(station_m=900 * 0.3048)
    with pytest.raises(BeyondAlignment, match=r"behind the end"):
        line.point(station_m=1501 * 0.3048)


@pytest.mark.parametrize(
    ("change", "error", "sentence"),
    [
        ({"kind": "route"}, ContentError, "kind: one of baseline, pi_table, elements is needed"),
        ({"unit": "yd"}, UnknownLinearUnit, "m \\(metre\\), ft"),
        ({"start_station": 1000.5}, ContentError, "start_station: a decimal number written as text"),
        ({"start_station": "1e3"}, ContentError, "written as text"),
        ({"points": [["0", "0"]]}, PlanError, "at least two points"),
        ({"points": [["0", "0"], ["0", "0"]]}, PlanError, "Points 1 and 2 are the same place"),
        ({"points": [["0", "0", "5"], ["1", "0"]]}, ContentError, r"points\[0\]: two numbers"),
        ({"colour": "red"}, ContentError, "“colour” is not known here"),
        ({"schema": 2}, ContentError, "schema: 2 is not known"),
        ({"equations": [{"back": "9000", "ahead": "0"}]}, StationingError, "outside the stretch"),
        ({"equations": [{"ahead": "0"}]}, StationingError, "neither where it is nor its back station"),
    ],
)
def test_broken_content_is_refused_with_its_place(change, error, sentence):
    with pytest.raises(error, match=sentence):
        Alignment.from_plain({**BASELINE, **change})


NINE = {"start": ["0", "0"], "length": "9"}


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        ({"kind": "arc", "end": ["9", "9"], "radius": "50"}, "left or right"),
        ({"kind": "arc", "end": ["200", "0"], "radius": "50", "turn": "left"}, "more than twice the radius"),
        ({"kind": "arc", "end": ["9", "0"], "centre": ["0", "5"], "turn": "left"}, "5.000 m from the start but 10"),
        ({"kind": "spiral", "radius_end": "50", "turn": "left"}, "direction at the start is missing"),
        ({"kind": "spiral", "turn": "left", "azimuth_deg": "0"}, "at one end at least"),
        ({"kind": "spiral", "law": "bloss"}, "kind “bloss”, which is not supported"),
        ({"kind": "curve"}, "only line, arc and spiral"),
    ],
)
def test_elements_that_cannot_be_are_refused_with_their_number(entry, sentence):
    with pytest.raises(PlanError, match=f"Element 1.*{sentence}"):
        Alignment.from_plain({**ELEMENTS, "elements": [{**NINE, **entry}]})
