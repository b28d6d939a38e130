"""From a point to station and offset: exact cases, states, round trips, brute force."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.geometry.alignment import Alignment
from projects.geometry.feet import feet
from projects.geometry.plan_points import Baseline
from projects.geometry.projection import project
from projects.geometry.projection_many import STATES, Projector
from tests.geometry.examples import examples
from tests.geometry.lines import alignment, corner, joined, road

CASES = examples("feet")
NORTH = math.pi / 2


def hairpin():
    turn = math.pi * 50
    return alignment(joined([(0, 0, 200.0), (1 / 50, 1 / 50, turn), (0, 0, 200.0)], start=(0.0, 0.0, NORTH)))


def on_the_line(line, at):
    found = project(line, easting_m=at[0], northing_m=at[1])
    everything = (found.foot, *found.alternatives)
    return found, [[foot.station_m, foot.offset_m] for foot in everything if foot.state == "on"]


def straight():
    case = CASES["PO-1"]
    points = tuple((Decimal(e), Decimal(n)) for e, n in case["points"])
    return Alignment.build(Baseline(points), start_station=Decimal(case["start_station"]))


@pytest.mark.parametrize("check", CASES["PO-1"]["checks"], ids=lambda check: check["state"])
def test_straight(check):
    foot = project(straight(), easting_m=check["at"][0], northing_m=check["at"][1]).foot
    assert [foot.station_m, foot.offset_m] == pytest.approx(check["feet"][0], abs=1e-9)
    assert foot.state == check["state"]


def test_before_the_start_the_distance_and_the_carried_on_tangent_are_told():
    found = project(straight(), easting_m=920.0, northing_m=4940.0)
    assert found.state == "beyond_start"
    assert found.foot.beyond_m == pytest.approx(100.0)
    assert found.station_m == pytest.approx(900.0)


@pytest.mark.parametrize("check", CASES["PO-2"]["checks"])
def test_quarter_circle(check):
    line = alignment(joined([(0.01, 0.01, 50 * math.pi)], start=(0.0, 0.0, NORTH)))
    foot = project(line, easting_m=check["at"][0], northing_m=check["at"][1]).foot
    assert [foot.station_m, foot.offset_m] == pytest.approx(check["feet"][0], abs=1e-9)
    assert foot.state == check["state"]


@pytest.mark.parametrize("check", CASES["PO-3"]["checks"], ids=lambda check: str(check["at"]))
def test_hairpin(check):
    found, listed = on_the_line(hairpin(), check["at"])
    if not check["feet"]:  # the centre: every point of the curve is equally near
        assert found.state == "beyond_centre"
        assert [foot for foot in feet(hairpin(), easting_m=-50.0, northing_m=200.0) if foot.state == "on"] == []
        return
    assert sorted(listed) == [
        pytest.approx(foot, abs=CASES["PO-3"]["tolerance"]["m"]) for foot in sorted(check["feet"])
    ]


def test_two_feet_make_it_ambiguous_until_a_station_is_stated():
    line = hairpin()
    assert project(line, easting_m=-50.0, northing_m=100.0).state == "ambiguous"
    far = project(line, easting_m=-40.0, northing_m=150.0, stated_station_m=410.0)
    assert far.state == "on"
    assert far.station_m == pytest.approx(407.079633, abs=1e-6)
    assert "closest to the stated station" in far.reason
    assert project(line, easting_m=-10.0, northing_m=100.0).state == "on"  # the other foot is nine times as far


@pytest.mark.parametrize("check", CASES["PO-4"]["checks"], ids=lambda check: str(check["at"]))
def test_corner(check):
    found, listed = on_the_line(corner(), check["at"])
    assert listed == [pytest.approx(foot, abs=1e-6) for foot in check["feet"]]
    if not check["feet"]:
        assert found.state == "at_kink"
        assert found.foot.station_m == pytest.approx(100.0)
        assert found.foot.distance_m == pytest.approx(math.sqrt(200))
        assert found.offset_m > 0  # outside a left turn is right


def test_beyond_the_centre_a_stated_station_does_not_help():
    """Radius 100 to the left about 0, 100: opposite of (-20, 140) the curve is farthest, at atan(1/2) x 100."""
    line = alignment(joined([(0.01, 0.01, 100.0)]))
    found = project(line, easting_m=-20.0, northing_m=140.0, stated_station_m=50.0)
    assert found.state == "beyond_centre"
    assert found.station_m == pytest.approx(100 * math.atan(0.5), abs=1e-9)
    assert found.foot.distance_m == pytest.approx(100 + math.hypot(20, 40), abs=1e-9)
    # without a station the nearer end is told: 140.3 m to the end, 141.4 m to the start
    nearest = project(line, easting_m=-20.0, northing_m=140.0)
    assert nearest.state == "beyond_end"
    assert nearest.foot.distance_m == pytest.approx(
        math.hypot(100 * math.sin(1) + 20, 40 + 100 * math.cos(1)), abs=1e-9
    )


def test_rounded_plan_coordinates_leave_no_holes_at_their_joints():
    """Corners of up to 0.005 degrees are rounding: a point in the wedge outside one is on the line."""
    points = (("0", "0"), ("100", "0"), ("200", "0.005"))
    line = Alignment.build(Baseline(tuple((Decimal(e), Decimal(n)) for e, n in points)))
    found = project(line, easting_m=100.0005, northing_m=-30.0)
    assert found.state == "on"
    assert found.station_m == pytest.approx(100.0, abs=1e-6)


CURVATURES = st.sampled_from((0.0, 1 / 10_000, -1 / 1_000, 1 / 300, -1 / 90, 1 / 20, -1 / 20))


@st.composite
def runs(draw):
    """Lines, arcs of 20 m to 10 km, transitions, eggs and reversing spirals, none turning more than 60 degrees."""
    count = draw(st.integers(1, 5))
    pieces, k = [], draw(CURVATURES)
    for _ in range(count):
        following = draw(st.one_of(st.just(k), CURVATURES))
        sharpest = max(abs(k), abs(following), 1e-4)
        pieces.append((k, following, draw(st.floats(2.0, 1.0 / sharpest if sharpest > 1e-3 else 400.0))))
        k = following
    return joined(pieces, start=(draw(st.floats(-1e6, 3e6)), draw(st.floats(-1e6, 6e6)), draw(st.floats(-3.1, 3.1))))


@settings(deadline=None, max_examples=150)
@given(runs(), st.floats(0.001, 0.999), st.floats(-1.0, 1.0))
def test_forward_then_inverse(plan, part, side):
    """Within |k d| <= 0.8 station and offset come back to 1e-6 m, one point and many alike."""
    line = alignment(plan, start_station=Decimal(1000))
    station = line.start_station_m + part * line.length_m
    sharpest = max(max(abs(element.k0), abs(element.k1)) for element in line.elements)
    offset = side * min(60.0, 0.8 / sharpest if sharpest else 60.0)
    easting, northing = line.point(station_m=station, offset_m=offset)
    found = project(line, easting_m=easting, northing_m=northing, stated_station_m=station)
    assert (found.station_m, found.offset_m) == pytest.approx((station, offset), abs=1e-6)
    many = Projector(line).project(eastings_m=np.asarray([easting]), northings_m=np.asarray([northing]))
    nearest = feet(line, easting_m=easting, northing_m=northing)
    usable = [foot for foot in nearest if foot.state != "beyond_centre"]
    assert many.distance_m[0] == pytest.approx(usable[0].distance_m, abs=1e-9 + 1e-9 * abs(offset))


def random_line(rng):
    pieces, k = [], 0.0
    for _ in range(int(rng.integers(2, 9))):
        kind = rng.integers(0, 3)
        following = k if kind == 0 else float(rng.uniform(-1, 1) / rng.uniform(25, 900))
        sharpest = max(abs(k), abs(following), 1e-9)
        pieces.append((k, following, float(min(rng.uniform(10, 300), 1.4 / sharpest))))
        k = following
    start = (float(rng.uniform(1e5, 1e6)), float(rng.uniform(1e5, 5e6)), float(rng.uniform(-3, 3)))
    return alignment(joined(pieces, start=start))


def test_pruned_and_plain_search_agree_with_brute_force():
    """Random points near and far: no sampled point of the line is nearer than the foot that was found.

    The sampling (5 cm) brackets the true distance from above. About a foot the squared distance grows by
    (1 - k d) s^2, so half a step can hide at most (1 + |k| d) times its square.
    """
    rng = np.random.default_rng(11)
    for _ in range(12):
        line = random_line(rng)
        s = np.linspace(0.0, line.length_m, int(line.length_m / 0.05) + 2)
        xs, ys = line.points(stations_m=s, offsets_m=np.zeros(1))
        spread = rng.uniform(30, 2000)
        e = rng.uniform(xs.min() - spread, xs.max() + spread, 300)
        n = rng.uniform(ys.min() - spread, ys.max() + spread, 300)
        found = Projector(line).project(eastings_m=e, northings_m=n)
        sampled = np.asarray([np.hypot(xs - a, ys - b).min() for a, b in zip(e, n, strict=True)])
        assert (found.distance_m <= sampled + 1e-9).all()
        sharpest = max(max(abs(element.k0), abs(element.k1)) for element in line.elements)
        assert (sampled**2 - found.distance_m**2 <= 0.025**2 * (1 + sharpest * sampled) + 1e-6).all()
        for i in range(0, 300, 10):
            usable = [f for f in feet(line, easting_m=e[i], northing_m=n[i]) if f.state != "beyond_centre"]
            assert usable[0].distance_m == pytest.approx(found.distance_m[i], abs=1e-9)


def test_many_points_tell_ends_and_corners():
    found = Projector(corner()).project(
        eastings_m=np.asarray([-30.0, 110.0, 103.0, 50.0]), northings_m=np.asarray([5.0, -10.0, 120.0, 7.0])
    )
    assert [STATES[i] for i in found.state] == ["beyond_start", "at_kink", "beyond_end", "on"]
    assert found.station_m == pytest.approx([-30.0, 100.0, 220.0, 50.0])
    assert found.offset_m == pytest.approx([-5.0, math.sqrt(200), 3.0, -7.0])


def test_many_points_refuse_what_is_not_finite():
    with pytest.raises(ValueError, match="not finite"):
        Projector(corner()).project(eastings_m=np.asarray([math.nan]), northings_m=np.asarray([0.0]))


def test_a_whole_road_comes_back():
    line = road()
    rng = np.random.default_rng(3)
    stations = rng.uniform(line.start_station_m, line.end_station_m, 20_000)
    offsets = rng.uniform(-60, 60, 20_000)
    eastings, northings = line.points(stations_m=stations, offsets_m=offsets)
    found = Projector(line).project(eastings_m=eastings, northings_m=northings)
    assert np.abs(found.station_m - stations).max() < 1e-6
    assert np.abs(found.offset_m - offsets).max() < 1e-6
