"""Areas: exact at their edges, ties, sizes."""

import math
from decimal import Decimal

import pytest
from pyproj import Geod

from projects import canonical
from projects.geometry import crs
from projects.geometry.area_measure import AreaNotMeasured, area_m2, measured, overlaps
from projects.geometry.areas import (
    Area,
    AreaError,
    Polygon,
    Spot,
    StationRange,
    area_from_plain,
    area_to_plain,
    first_containing,
)
from projects.geometry.plain_content import ContentError
from tests.geometry.lines import alignment, joined

D = Decimal


def stretch(begin, end, left="-10", right="10", code="A", **limits):
    return Area(code, "zone", StationRange("main", D(begin), D(end), D(left), D(right)), **limits)


def square(code="S", kind="zone", **limits):
    corners = tuple((D(e), D(n)) for e, n in (("0", "0"), ("10", "0"), ("10", "10"), ("0", "10")))
    return Area(code, kind, Polygon(corners), **limits)


def at(station, offset="0", **heights):
    return Spot(on_lines={"main": (D(station), D(offset))}, **heights)


def here(easting, northing, **heights):
    return Spot(easting_m=D(easting), northing_m=D(northing), **heights)


@pytest.mark.parametrize(
    ("station", "offset", "inside"),
    [("100", "0", True), ("99.9999", "0", False), ("200", "10", True), ("200.0001", "0", False),
     ("150", "-10", True), ("150", "-10.0001", False)],
)  # fmt: skip
def test_edges_of_a_station_range(station, offset, inside):
    assert stretch("100", "200").contains(at(station, offset)) is inside


@pytest.mark.parametrize(
    ("easting", "northing", "inside"),
    [("5", "5", True), ("0", "0", True), ("10", "5", True), ("10.0001", "5", True), ("10.0002", "5", False),
     ("5", "-0.0002", False), ("-5", "10", False), ("15", "0", False), ("10", "10", True)],
)  # fmt: skip
def test_edges_of_a_polygon_hold_to_a_tenth_of_a_millimetre(easting, northing, inside):
    assert square().contains(here(easting, northing)) is inside


def test_concave_polygon_at_state_plane_size():
    base_e, base_n = D("723456.1234"), D("4123456.5678")
    corners = tuple((base_e + D(e), base_n + D(n)) for e, n in ((0, 0), (100, 0), (100, 100), (50, 20), (0, 100)))
    area = Area("C", "zone", Polygon(corners))
    assert area.contains(here(base_e + 50, base_n + 20)) is True
    assert area.contains(here(base_e + 50, base_n + D("20.001"))) is False
    assert area.contains(here(base_e + 25, base_n + 60)) is True  # on the slope from 50, 20 to 0, 100
    assert area.contains(here(base_e + D("25.01"), base_n + 60)) is False


def test_between_two_zones_the_one_listed_first_has_the_point():
    first, second = stretch("100", "200", code="first"), stretch("200", "300", code="second")
    on_the_edge = at("200")
    assert first_containing([first, second], on_the_edge, "zone")[0] is first
    assert first_containing([second, first], on_the_edge, "zone")[0] is second


def test_height_limits_are_inclusive_and_unknown_height_is_no_answer():
    area = stretch("0", "100", depth_from_m=D("0"), depth_to_m=D("0.9144"))
    assert area.contains(at("50", depth_below_grade_m=D("0.9144"))) is True
    assert area.contains(at("50", depth_below_grade_m=D("0.9145"))) is False
    assert area.contains(at("50")) is None
    assert area.contains(at("150")) is False
    below = stretch("0", "100", code="below", depth_from_m=D("0.9144"))
    assert first_containing([area, below], at("50"), "zone") == (None, (area, below))


def test_another_alignment_is_not_this_one():
    assert stretch("0", "100").contains(Spot(on_lines={"ramp": (D(50), D(0))})) is False
    assert square().contains(at("5", "5")) is False


def test_size_of_a_straight_and_of_a_curved_strip():
    straight = alignment(joined([(0, 0, 1000.0)]))
    assert area_m2(stretch("100", "200"), {"main": straight}) == D("2000.00")
    ring = alignment(joined([(0.01, 0.01, 50 * math.pi)]))  # a quarter of radius 100 to the left
    strip = stretch("0", "157.0796", "-20", "10")
    assert float(area_m2(strip, {"main": ring})) == pytest.approx(math.pi / 4 * (110**2 - 80**2), abs=0.01)
    assert area_m2(square(), {}) == D("100.00")
    with pytest.raises(AreaNotMeasured, match="beyond the centre"):
        area_m2(stretch("0", "100", "-120", "10"), {"main": ring})
    with pytest.raises(AreaNotMeasured, match="which is not there"):
        area_m2(stretch("0", "100"), {})


def test_circle_touching_an_area():
    lines = {"main": alignment(joined([(0, 0, 1000.0)]))}
    assert overlaps(square(), here("12", "5"), 2.0, {})
    assert not overlaps(square(), here("12.01", "5"), 2.0, {})
    assert overlaps(stretch("100", "200"), here("203", "14"), 5.0, lines)
    assert not overlaps(stretch("100", "200"), here("203", "14"), 4.99, lines)


@pytest.mark.parametrize("area", [stretch("0", "100.50", depth_from_m=D("0.10")), square(kind="exempt")])
def test_stored_content_comes_back(area):
    plain = area_to_plain(area)
    assert area_to_plain(area_from_plain(plain)) == plain
    assert canonical.digest(plain) == canonical.digest(area_to_plain(area_from_plain(plain)))
    spots = (at("50", depth_below_grade_m=D(1)), here("5", "5"), at("101"), here("11", "5"))
    assert [area.contains(spot) for spot in spots] == [area_from_plain(plain).contains(spot) for spot in spots]


def test_what_is_no_area():
    with pytest.raises(AreaError, match="exchange them"):
        stretch("200", "100")
    with pytest.raises(AreaError, match="left one comes first"):
        stretch("0", "100", "10", "-10")
    crossing = tuple((D(e), D(n)) for e, n in ((0, 0), (10, 10), (10, 0), (0, 12)))
    with pytest.raises(AreaError, match="Sides 1 and 3 of the outline cross"):
        Polygon(crossing)
    with pytest.raises(AreaError, match="at least three corners"):
        Polygon(crossing[:2])
    with pytest.raises(AreaError, match="is no kind of area"):
        square(kind="blob")
    with pytest.raises(ContentError, match="not both"):
        area_from_plain({**area_to_plain(square()), "alignment": "main"})


def test_the_size_says_what_it_was_measured_on():
    """Beside the geodesic area of the same corners on the ellipsoid (pyproj.Geod, Karney's method)."""
    corners = [(500_000 - 200, 4_500_000 - 100), (500_000 + 200, 4_500_000 - 100), (500_000 + 200, 4_500_000 + 100),
               (500_000 - 200, 4_500_000 + 100)]  # fmt: skip
    pad = Area("pad", "zone", Polygon(tuple((D(east), D(north)) for east, north in corners)))
    places = [crs.to_longitude_latitude(32617, easting_m=east, northing_m=north) for east, north in corners]
    on_ellipsoid = abs(Geod(ellps="WGS84").polygon_area_perimeter(*zip(*places, strict=True))[0])
    assert measured(pad, {}, 32617) == (
        f"80000.00 m² on the grid of EPSG 32617; areal scale 0.999200 there, {on_ellipsoid:.2f} m² on the ellipsoid"
    )
    assert "no scale is known" in measured(pad, {}, None)
    assert "no scale" in measured(pad, {}, 2056)
