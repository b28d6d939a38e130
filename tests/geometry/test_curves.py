"""Curves and spirals against print."""

import math

import numpy as np
import pytest

from projects.geometry.alignment import Alignment
from projects.geometry.curves import CircularCurve, CurveError, FullSpiral, SpiralCurve, radius_from_degree
from projects.geometry.elements import Element, ElementError
from projects.geometry.plan_points import PiTable, PlanError
from tests.geometry.examples import degrees, examples
from tests.geometry.lines import point, road

CURVES = examples("curves")


def test_deflection_table_as_printed_and_its_misprints_are_not_reproduced():
    case = CURVES["deflection_table"]
    radius = radius_from_degree(degree_deg=degrees(case["degree_of_curve_arc_dms"]), definition="arc")
    curve = CircularCurve(radius, math.radians(degrees(case["deflection_dms"])))
    assert curve.length == pytest.approx(case["length_ft"], abs=case["tolerance_ft"])
    assert abs(curve.length - case["misprinted_length_ft"]) > 50
    assert curve.tangent == pytest.approx(case["tangent_ft"], abs=case["tolerance_ft"])
    assert curve.long_chord == pytest.approx(case["long_chord_ft"], abs=case["tolerance_ft"])
    for station, deflection_deg, chord in case["rows"]:
        arc = station - case["pc_station_ft"]
        assert math.degrees(curve.deflection_angle_rad(arc)) == pytest.approx(deflection_deg, abs=case["tolerance_deg"])
        assert curve.chord(arc) == pytest.approx(chord, abs=case["tolerance_ft"])
    assert abs(math.degrees(curve.deflection_angle_rad(arc)) - case["misprinted_last_deflection_deg"]) > 1


@pytest.mark.parametrize("row", CURVES["degree_definitions"]["rows"], ids=lambda row: f"{row[0]} degrees")
def test_arc_and_chord_definition(row):
    tolerance = CURVES["degree_definitions"]["tolerance_ft"]
    assert radius_from_degree(degree_deg=row[0], definition="arc") == pytest.approx(row[1], abs=tolerance)
    assert radius_from_degree(degree_deg=row[0], definition="chord") == pytest.approx(row[2], abs=tolerance)


def test_degree_of_curve_without_definition_is_a_question():
    with pytest.raises(CurveError, match="arc definition or by the chord definition"):
        radius_from_degree(degree_deg=4.0, definition="")


def test_full_spiral_sheet():
    case = CURVES["full_spiral_sheet"]
    length = case["spiral_length_ft"]
    spiral = FullSpiral(radius_from_degree(degree_deg=case["degree_of_curve_arc_deg"], definition="arc"), length)
    assert spiral.tangent_extension == pytest.approx(case["tangent_extension_ft"], abs=case["tolerance_ft"])
    assert spiral.shift == pytest.approx(case["shift_ft"], abs=case["tolerance_ft"])
    assert spiral.long_chord == pytest.approx(case["long_chord_ft"], abs=case["tolerance_ft"])
    arc = case["length_without_one_spiral_ft"]
    deflection = arc / spiral.radius + 2 * spiral.angle_rad
    curve = SpiralCurve(deflection, spiral, spiral)
    assert curve.tangents[0] == pytest.approx(case["tangent_ft"], abs=case["tangent_tolerance_ft"])
    sc = case["ts_station_ft"] + length
    assert sc == pytest.approx(case["sc_station_ft"], abs=0.001)
    assert sc + curve.arc_length == pytest.approx(case["cs_station_ft"], abs=0.001)
    assert sc + curve.arc_length + length == pytest.approx(case["st_station_ft"], abs=0.001)


def test_full_spiral_example():
    case = CURVES["full_spiral_example"]
    length = case["spiral_length_ft"]
    spiral = FullSpiral(radius_from_degree(degree_deg=case["degree_of_curve_arc_deg"], definition="arc"), length)
    curve = SpiralCurve(math.radians(degrees(case["deflection_dms"])), spiral, spiral)
    ts = case["pi_station_ft"] - curve.tangents[0]
    found = {
        "spiral_angle_deg": math.degrees(spiral.angle_rad),
        "shift_ft": spiral.shift,
        "tangent_ft": curve.tangents[0],
        "arc_length_ft": curve.arc_length,
        "ts_station_ft": ts,
        "sc_station_ft": ts + length,
        "cs_station_ft": ts + length + curve.arc_length,
        "st_station_ft": ts + 2 * length + curve.arc_length,
    }
    assert found == pytest.approx({name: case[name] for name in found}, abs=case["tolerance_ft"])


def test_clothoid_table():
    case = CURVES["clothoid_table"]
    element = Element(0.0, 0.0, 0.0, 0.0, 1.0 / case["radius_end_m"], case["length_m"])
    for distance, x, y in case["rows"]:
        assert element.point_at(float(distance)) == pytest.approx((x, y), abs=case["tolerance_m"])


def test_unequal_spirals_close():
    case = CURVES["unequal_spirals"]
    curve = SpiralCurve(
        math.radians(case["deflection_deg"]),
        FullSpiral(case["radius"], case["spiral_in"]),
        FullSpiral(case["radius"], case["spiral_out"]),
    )
    assert curve.tangents == pytest.approx((case["tangent_in"], case["tangent_out"]), abs=case["tolerance"])
    assert curve.arc_length == pytest.approx(case["arc"], abs=case["tolerance"])
    far = 1000.0
    angle = math.radians(case["deflection_deg"])
    plan = PiTable((
        point("-1000", "0"),
        point("0", "0", radius="300", spiral_in_length="80", spiral_out_length="120"),
        point(f"{far * math.cos(angle):.9f}", f"{far * math.sin(angle):.9f}"),
    ))  # fmt: skip
    line = Alignment.build(plan)
    last = line.elements[-1]
    assert (last.easting_m, last.northing_m) == pytest.approx((case["st_x"], case["st_y"]), abs=case["tolerance"])
    assert math.degrees(last.direction_rad) == pytest.approx(case["st_direction_deg"], abs=1e-6)
    assert [element.kind for element in line.elements] == ["line", "clothoid", "arc", "clothoid", "line"]
    assert max(junction.gap_m for junction in line.junctions) < 1e-9
    assert max(abs(junction.kink_rad) for junction in line.junctions) < 1e-9


def test_spirals_that_leave_no_arc_are_refused():
    with pytest.raises(CurveError, match="Shorten the spirals"):
        SpiralCurve(math.radians(5), FullSpiral(300, 80), FullSpiral(300, 80))


def test_curve_that_needs_more_tangent_than_there_is():
    plan = PiTable((point("0", "0"), point("100", "0", radius="300"), point("200", "100")))
    with pytest.raises(PlanError, match=r"Between points 1 and 2 the curves need 24\.264 m more tangent"):
        Alignment.build(plan)


def test_plan_sheet_closes():
    line = road()
    assert [element.kind for element in line.elements] == ["line", "clothoid", "arc", "clothoid", "line", "arc", "line"]
    assert max(junction.gap_m for junction in line.junctions) < 1e-8
    assert not any(junction.is_kink or junction.is_gap for junction in line.junctions)


def test_clothoids_agree_with_an_independent_library():
    """1e-8 m over 2,000 random points; curvatures of either sign, eggs, reversing and nearly circular ones."""
    oracle = pytest.importorskip("pyclothoids")
    rng = np.random.default_rng(7)
    for _ in range(200):
        k0, k1 = rng.uniform(-1 / 40, 1 / 40, 2)
        if rng.random() < 0.25:
            k1 = k0 * (1 + rng.uniform(-1e-7, 1e-7))
        length = float(rng.uniform(1, 120))
        angle = float(rng.uniform(-3, 3))
        element = Element(0.0, 0.0, angle, float(k0), float(k1), length)
        other = oracle.Clothoid.StandardParams(0.0, 0.0, angle, float(k0), float(k1 - k0) / length, length)
        for s in rng.uniform(0, length, 10):
            assert element.point_at(float(s)) == pytest.approx((other.X(s), other.Y(s)), abs=1e-8)


def test_both_ways_of_integrating_agree():
    """The Fresnel form and the quadrature that replaces it for nearly circular pieces."""
    element = Element(0.0, 0.0, 0.4, 0.002, 0.004, 300.0)
    s = np.linspace(0, 300, 50)
    change = (element.k1 - element.k0) / element.length_m
    for fresnel, quadrature in zip(element._by_fresnel(s, change), element._by_quadrature(s), strict=True):
        assert np.abs(fresnel - quadrature).max() < 1e-11


@pytest.mark.parametrize("length", [0.0, -1.0, math.nan, math.inf])
def test_element_without_a_length_is_refused(length):
    with pytest.raises(ElementError):
        Element(0.0, 0.0, 0.0, 0.0, 0.0, length)
