"""Lines, ticks and outlines for maps."""

import math
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest

from projects.geometry.areas import Area, Polygon, StationRange
from projects.geometry.drawing import area_outline, polyline, range_outline, station_ticks
from projects.geometry.projection_many import Projector
from projects.geometry.station_format import StationFormat
from projects.geometry.stationing import Equation
from tests.geometry.lines import alignment, corner, joined, road

D = Decimal


@pytest.mark.parametrize("offset", [0.0, -40.0, 60.0])
def test_chords_stray_no_more_than_asked(offset):
    """The middle of each chord, projected exactly, lies within the sagitta of the offset line."""
    line = road()
    points = np.asarray(polyline(line, sagitta_m=0.05, offset_m=offset))
    middle = (points[:-1] + points[1:]) / 2
    found = Projector(line).project(eastings_m=middle[:, 0], northings_m=middle[:, 1])
    strayed = np.abs(found.offset_m - offset)
    assert strayed.max() <= 0.05 * 1.01
    assert strayed.max() > 0.01  # and it is not drawn needlessly fine


def test_corners_are_kept_and_straights_need_two_points():
    assert polyline(corner()) == [pytest.approx(point) for point in ((0, 0), (100, 0), (100, 100))]


def test_ticks_stand_on_round_stations_in_the_unit_of_the_plans():
    line = road()
    ticks = station_ticks(line, StationFormat(2))
    assert [tick.text for tick in ticks[:3]] == ["10+00", "11+00", "12+00"]
    assert len(ticks) == int(line.length_m / float(line.unit.metres) // 100) + 1
    for first, second in pairwise(ticks):
        assert second.station_m - first.station_m == pytest.approx(100 * float(line.unit.metres), abs=1e-9)
    for tick in ticks:
        assert line.point(station_m=tick.station_m) == pytest.approx((tick.easting_m, tick.northing_m), abs=1e-9)
    direction = math.atan2(400, 1500)
    assert ticks[0].direction_rad == pytest.approx(direction)


def test_ticks_follow_station_equations():
    line = alignment(joined([(0, 0, 600.0)]), equations=(Equation(back=D(250), ahead=D(1030)),))
    ticks = station_ticks(line, StationFormat(2))
    assert [(tick.text, round(tick.station_m)) for tick in ticks] == [
        ("0+00", 0), ("1+00", 100), ("2+00", 200), ("11+00", 320), ("12+00", 420), ("13+00", 520),
    ]  # fmt: skip


def test_too_many_ticks_are_refused():
    with pytest.raises(ValueError, match="greater distance"):
        station_ticks(alignment(joined([(0, 0, 9000.0)])), StationFormat(2), every=D("0.5"))


def test_outline_of_a_range_has_the_area_of_the_strip():
    line = alignment(joined([(0, 0, 100.0), (0.01, 0.01, 100.0)]))
    outline = range_outline(line, from_m=50, to_m=150, offset_from_m=-10, offset_to_m=20, sagitta_m=0.0001)
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*outline, outline[0]]))
    # straight 50 x 30; curved: sector between radius 90 and 120 over half a radian
    assert abs(twice) / 2 == pytest.approx(50 * 30 + 0.5 * (120**2 - 90**2) / 2, abs=0.01)
    assert range_outline(line, from_m=300, to_m=400, offset_from_m=-1, offset_to_m=1) == []


def test_outline_of_an_area():
    corners = ((D(0), D(0)), (D(10), D(0)), (D(10), D(10)))
    assert area_outline(Area("P", "zone", Polygon(corners)), {}) == [(0, 0), (10, 0), (10, 10)]
    stretch = Area("S", "zone", StationRange("main", D(10), D(90), D(-5), D(5)))
    assert area_outline(stretch, {}) == []
    assert len(area_outline(stretch, {"main": corner()})) == 4
