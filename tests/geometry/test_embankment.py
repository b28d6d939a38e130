"""Surfaces, toes, ground and expected lift; what is routine and declared raises no doubt."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, StationRange
from projects.geometry.ground import GroundError
from projects.geometry.plain_content import ContentError
from projects.geometry.positions import locate
from projects.geometry.profile import OutsideProfile
from projects.geometry.typical_section import SectionError
from tests.geometry.test_positions import Stated

D = Decimal
FT = D("0.3048")


def side(width="30", cross_slope="-0.02", side_slope="2"):
    return {"width": width, "cross_slope": cross_slope, "side_slope": side_slope}


def section(**more):
    pavement = [{"name": "pavement", "thickness": "0.5"}, {"name": "base course", "thickness": "0.75"}]
    return {
        "grade_line": "finished_grade",
        "depth_from": "subgrade",
        "lift_thickness": "0.667",
        "lifts_from": "top",
        "rows": [{"station": "5000", "left": side(), "right": side(), "layers": pavement}],
        **more,
    }


def line(**more):
    """Crest curve of J. Mahun, Open Access Surveying Library, vertical curves, problem 2: 1318.0875 ft at 55+50."""
    content = {
        "kind": "baseline",
        "unit": "ft",
        "start_station": "5000",
        "points": [["0", "0"], ["0", "1300"]],
        "profile": {
            "points": [
                {"station": "5000", "elevation": "1292.5"},
                {"station": "5650", "elevation": "1325", "curve_length": "500"},
                {"station": "6300", "elevation": "1302.25"},
            ]
        },
        "typical_section": section(),
        **more,
    }
    return Alignment.from_plain(content)


def find(alignment, *, elevation_ft="1316.10", offset="18 L", station="55+50", lift=None, areas=()):
    stated = replace(Stated(), station=station, offset=offset, elevation_m=D(elevation_ft) * FT)
    return locate(stated, alignments={"main": alignment}, areas=areas, epsg_code=None, lift=lift)


def codes(located):
    return [code for code, *_ in located.findings]


def test_depth_below_subgrade_and_lift_by_hand():
    # 1318.0875 - 0.02 x 18 - 1.25 = 1316.4775; less 1316.10 is 0.3775 ft, 0.57 of a lift of 0.667: lift 1 from the top
    located = find(line(), lift=1)
    assert located.in_fill["subgrade_m"] == (D("1316.4775") * FT).quantize(D("0.0001"))
    assert located.in_fill["finished_grade_m"] == (D("1317.7275") * FT).quantize(D("0.0001"))
    assert abs(located.depth_below_grade_m - D("0.3775") * FT) < D("0.0001")  # both heights are kept to 0.1 mm
    assert located.in_fill["expected_lift"] == 1
    assert codes(located) == []


@pytest.mark.parametrize(
    ("elevation_ft", "expected"), [("1316.40", 1), ("1315.80", 2), ("1315.00", 3), ("1310.00", 10)]
)
def test_a_stated_lift_more_than_one_off_is_a_question(elevation_ft, expected):
    for lift in range(1, 13):
        located = find(line(), elevation_ft=elevation_ft, lift=lift)
        assert located.in_fill["expected_lift"] == expected
        assert ("lift-disagrees-with-elevation" in codes(located)) is (abs(lift - expected) > 1)


def test_the_toe_follows_the_side_slope_from_the_hinge():
    # Hinge at 30 ft: 1318.0875 - 0.60 = 1317.4875. Ten feet below it the 2:1 slope reaches 30 + 20 = 50 ft.
    alignment = line()
    located = find(alignment, elevation_ft="1307.4875", offset="49 R")
    assert located.in_fill["right_toe_m"] == (50 * FT).quantize(D("0.0001"))
    assert codes(located) == []
    assert "outside-the-slope" in codes(find(alignment, elevation_ft="1307.4875", offset="52 R"))


def test_the_section_changes_in_proportion_between_rows():
    superelevated = section(
        rows=[
            {"station": "5500", "left": side(), "right": side()},
            {"station": "5600", "left": side(cross_slope="0.06"), "right": side("40", "-0.06")},
        ]
    )
    alignment = line(typical_section=superelevated)
    # Half way: left +2 %, right -4 %, right hinge at 35 ft.
    grade = 1318.0875
    left = alignment.design_grade_m(station_m=5550 * 0.3048, offset_m=-10 * 0.3048)
    right = alignment.design_grade_m(station_m=5550 * 0.3048, offset_m=10 * 0.3048)
    assert left / 0.3048 == pytest.approx(grade + 0.2, abs=1e-6)
    assert right / 0.3048 == pytest.approx(grade - 0.4, abs=1e-6)
    assert alignment.typical_section.across(station_m=5550 * 0.3048, left=False).width_m == pytest.approx(35 * 0.3048)


def test_under_the_side_slope_lifts_from_the_top_are_counted_from_the_subgrade():
    # Subgrade at the hinge (30 ft): 1318.0875 - 0.60 - 1.25 = 1316.2375; 10 lifts of 0.667 ft and a half below it.
    located = find(line(), elevation_ft="1309.2340", offset="40 R", lift=11)
    assert located.in_fill["expected_lift"] == 11
    assert codes(located) == []
    # the face of the slope, from which depth is told, lies nearer: 1317.4875 - 10 / 2 - 1309.2340 = 3.2535 ft
    assert abs(located.depth_below_grade_m - D("3.2535") * FT) < D("0.0002")


def ground(level="1296.4775"):
    points = [{"offset": "-100", "elevation": level}, {"offset": "100", "elevation": level}]
    return [{"station": station, "points": points} for station in ("5000", "6300")]


def test_lifts_from_the_bottom_need_the_ground():
    counted = section(lifts_from="bottom", lift_thickness="1")
    assert "expected_lift" not in find(line(typical_section=counted)).in_fill
    alignment = line(typical_section=counted, ground=ground())
    # The surface of a finished lift belongs to that lift: 3.0 ft above ground is lift 3, 3.2 ft is in lift 4.
    assert find(alignment, elevation_ft="1299.4775").in_fill["expected_lift"] == 3
    assert find(alignment, elevation_ft="1299.68").in_fill["expected_lift"] == 4
    assert "below-ground" in codes(find(alignment, elevation_ft="1296.00"))


def test_a_side_hill_changes_the_count_across_the_line():
    slope = [{"offset": "-100", "elevation": "1280"}, {"offset": "100", "elevation": "1300"}]
    alignment = line(
        typical_section=section(lifts_from="bottom", lift_thickness="1"),
        ground=[{"station": station, "points": slope} for station in ("5000", "6300")],
    )
    assert find(alignment, elevation_ft="1300", offset="20 L").in_fill["expected_lift"] == 12  # ground 1288
    assert find(alignment, elevation_ft="1300", offset="20 R").in_fill["expected_lift"] == 8  # ground 1292


def declared(kind, **limits):
    shape = StationRange("main", 5000 * FT, 6300 * FT, -100 * FT, 100 * FT)
    return [(kind, kind, Area(kind, kind, shape, **limits))]


def test_what_is_declared_is_routine():
    alignment = line(
        typical_section=section(lifts_from="bottom", lift_thickness="1", depth_from="finished_grade"), ground=ground()
    )
    high, deep = "1319.5", "1294.4775"
    assert "above-grade" in codes(find(alignment, elevation_ft=high))
    assert codes(find(alignment, elevation_ft=high, areas=declared("overbuild"))) == ["in-declared-overbuild"]
    keyway = declared("keyway", elevation_from_m=D("1293.4775") * FT)
    located = find(alignment, elevation_ft=deep, areas=keyway, lift=1)
    assert codes(located) == ["in-declared-keyway"]
    assert located.in_fill["expected_lift"] == 1  # counted from the base of the keyway
    assert located.zone == ""
    assert located.exempt is False


@given(st.floats(min_value=1297, max_value=1316), st.floats(min_value=0.1, max_value=3))
def test_counts_from_the_top_and_from_the_bottom_add_up(elevation_ft, thickness_ft):
    """At mid-height of a lift, both counts name the same layer when the fill is a whole number of lifts thick."""
    text = f"{thickness_ft:.4f}"
    level = 1316.4775 - 40 * float(text)
    upward = line(typical_section=section(lifts_from="bottom", lift_thickness=text), ground=ground(f"{level:.6f}"))
    downward = line(typical_section=section(lifts_from="top", lift_thickness=text))
    number = int((elevation_ft - level) / float(text))
    middle = f"{level + (number + 0.5) * float(text):.4f}"
    if not 0 <= number < 40:
        return
    up, down = find(upward, elevation_ft=middle), find(downward, elevation_ft=middle)
    assert up.in_fill["expected_lift"] == number + 1
    assert up.in_fill["expected_lift"] + down.in_fill["expected_lift"] == 41


def test_it_is_stored_as_it_was_entered():
    alignment = line(ground=ground())
    plain = alignment.to_plain()
    assert Alignment.from_plain(plain).to_plain() == plain
    assert "section" not in plain
    assert set(Alignment.from_plain({**plain, "typical_section": None, "ground": None}).to_plain()) >= {"section"}


@pytest.mark.parametrize(
    ("part", "error"),
    [
        ({"typical_section": section(rows=[])}, SectionError),
        ({"typical_section": section(lift_thickness="0")}, SectionError),
        ({"typical_section": section(depth_from="kerb")}, ContentError),
        ({"typical_section": section(rows=[{"station": "1", "left": side("0"), "right": side()}])}, SectionError),
        ({"typical_section": section(), "section": {"cover": "1"}}, ContentError),
        ({"ground": []}, GroundError),
        ({"ground": [{"station": "1", "points": [{"offset": "1", "elevation": "2"}]}]}, GroundError),
    ],
)
def test_what_cannot_be_is_refused_by_name(part, error):
    with pytest.raises(error):
        line(**part)


def test_outside_the_profile_nothing_is_claimed():
    short = line(
        profile={"points": [{"station": "5000", "elevation": "1292.5"}, {"station": "5100", "elevation": "1"}]}
    )
    with pytest.raises(OutsideProfile):
        short.design_grade_m(station_m=5550 * 0.3048, offset_m=0)
    located = find(short)
    assert codes(located) == ["outside-profile"]
    assert dict(located.in_fill) == {}
