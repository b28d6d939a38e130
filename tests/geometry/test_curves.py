"""Curves and spirals against print."""

import math

import numpy as np
import pytest

from compaction.examples.check import DEVIATES, Check
from compaction.examples.figures import degrees
from compaction.examples.geometry_curves import run_curves
from projects.geometry.alignment import Alignment
from projects.geometry.curves import CircularCurve, CurveError, FullSpiral, SpiralCurve, radius_from_degree
from projects.geometry.elements import Element, ElementError
from projects.geometry.plan_points import PiTable, PlanError
from tests.geometry.examples import examples
from tests.geometry.lines import point, road

CURVES = examples("curves")


@pytest.mark.parametrize("name", ["C1", "C3", "S1", "S1-STATIONS", "S4", "S9", "S11"])
def test_as_printed(name):
    """Line by line in tests/worked_examples; here that the runner compares what the file states."""
    check = Check(CURVES[name])
    run_curves(CURVES[name], check)
    checked = check.finish()
    assert checked.verdict != DEVIATES
    assert len(checked.lines) >= 3


def test_the_misprints_of_a_table_are_not_reproduced():
    """C1: digits exchanged in the length, and a last deflection two degrees too large."""
    case = CURVES["C1"]
    radius = radius_from_degree(degree_deg=degrees(case["degree_of_curve_arc_dms"], ""), definition="arc")
    curve = CircularCurve(radius, math.radians(degrees(case["deflection_dms"], "")))
    assert abs(curve.length - 693.90) > 50
    assert abs(math.degrees(curve.deflection_angle_rad(curve.length)) - 24.914444) > 1


def test_degree_of_curve_without_definition_is_a_question():
    with pytest.raises(CurveError, match="arc definition or by the chord definition"):
        radius_from_degree(degree_deg=4.0, definition="")


def test_unequal_spirals_close():
    """S11 as an alignment through three points: tangent, spiral, arc, spiral, tangent, without gap or kink."""
    far, angle = 1000.0, math.radians(CURVES["S11"]["deflection_dms"])
    plan = PiTable((
        point("-1000", "0"),
        point("0", "0", radius="300", spiral_in_length="80", spiral_out_length="120"),
        point(f"{far * math.cos(angle):.9f}", f"{far * math.sin(angle):.9f}"),
    ))  # fmt: skip
    line = Alignment.build(plan)
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
