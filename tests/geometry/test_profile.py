"""Design grades against print."""

import math
from decimal import Decimal

import pytest

from projects.geometry.linear_units import FOOT, METRE
from projects.geometry.profile import OutsideProfile, Profile
from projects.geometry.section import CrownedSection
from projects.geometry.vertical_curves import ProfileError, VerticalPoint
from tests.geometry.examples import examples

CASES = examples("profiles")
D = Decimal
FT = 0.3048


def profile(case, *, reach=2000, **curve):
    """Tangents through the PVI with the printed grades, long enough for the curve."""
    station, elevation = D(case["pvi_station_ft"]), D(case["pvi_elevation_ft"])
    before = VerticalPoint(station - reach, elevation - D(str(case["grade_in_pct"])) / 100 * reach)
    after = VerticalPoint(station + reach, elevation + D(str(case["grade_out_pct"])) / 100 * reach)
    return Profile((before, VerticalPoint(station, elevation, **curve), after), FOOT)


def test_crest_as_printed():
    case = CASES["V1"]
    made = profile(case, curve_length=D(case["curve_length_ft"]))
    [curve] = made.curves
    assert curve.bvc_station_m / FT == pytest.approx(case["printed"]["bvc_station_ft"], abs=case["tolerance"]["ft"])
    assert curve.evc_station_m / FT == pytest.approx(case["printed"]["evc_station_ft"], abs=case["tolerance"]["ft"])
    for station, elevation in case["elevations"]:
        assert made.elevation_m(station * FT) / FT == pytest.approx(elevation, abs=case["tolerance"]["ft"])
    for station, grade_pct in case["grades"]:
        assert made.grade(station * FT) * 100 == pytest.approx(grade_pct, abs=case["tolerance"]["ft"])


def test_sag_as_printed_without_its_misprint():
    case = CASES["V2"]
    half = D(case["curve_length_ft"]) / 2
    pvi = {
        **case,
        "pvi_station_ft": D(case["bvc_station_ft"]) + half,
        "pvi_elevation_ft": D(case["bvc_elevation_ft"]) + D(str(case["grade_in_pct"])) / 100 * half,
    }
    made = profile(pvi, curve_length=2 * half)
    for station, elevation in case["elevations"]:
        assert made.elevation_m(station * FT) / FT == pytest.approx(elevation, abs=case["tolerance"]["ft"])
    assert abs(made.elevation_m(9100 * FT) / FT - 1216.147) > 0.9  # as misprinted
    low = made.curves[0].turning_station_m
    assert low / FT == pytest.approx(case["printed"]["turning_station_ft"], abs=case["tolerance"]["ft"])
    assert made.elevation_m(low) / FT == pytest.approx(
        case["printed"]["turning_elevation_ft"], abs=case["tolerance"]["ft"]
    )


def test_ends_of_a_curve_recomputed():
    case = CASES["V4"]
    made = profile(case, curve_length=D(case["curve_length_ft"]))
    [curve] = made.curves
    for name, station_m in (("bvc", curve.bvc_station_m), ("evc", curve.evc_station_m)):
        stated = case["recomputed"]
        assert station_m / FT == pytest.approx(stated[f"{name}_station_ft"], abs=1e-9)
        assert made.elevation_m(station_m) / FT == pytest.approx(stated[f"{name}_elevation_ft"], abs=1e-9)


def test_circular_curves_as_printed():
    """The PVI lies where the tangents meet: half way along the printed chord, to well below the tolerance."""
    case = CASES["V5"]
    grade = case["grade_between_pct"] / 100
    tangent = case["radius_m"] * math.tan(abs(math.atan(grade)) / 2)
    crest, sag = case["crest_start"], case["sag_end"]
    crest_pvi = (crest[0] + tangent, crest[1])
    sag_pvi = (sag[0] - tangent, sag[1])
    points = [(crest[0] - 100, crest[1], None), (*crest_pvi, 5000), (*sag_pvi, 5000), (sag[0] + 100, sag[1], None)]
    made = Profile(
        tuple(
            VerticalPoint(D(repr(round(s, 6))), D(repr(round(e, 6))), radius=None if r is None else D(r))
            for s, e, r in points
        ),
        METRE,
    )
    for station, elevation in (case["crest_end"], case["sag_start"], case["sag_end"], case["crest_start"]):
        assert made.elevation_m(station) == pytest.approx(elevation, abs=case["tolerance"]["m"])


def test_unsymmetric_curve_meets_its_tangents_and_is_smooth_at_the_pvi():
    """At the PVI: offset L1 L2 (g2 - g1) / (2 (L1 + L2)) = 200 x 300 x 0.08 / 1000 = 4.8.

    The common tangent there joins the middles of the two tangents: from 105 at 900 to 104.5 at 1150.
    """
    points = (
        VerticalPoint(D(0), D(150)),
        VerticalPoint(D(1000), D(100), length_before=D(200), length_after=D(300)),
        VerticalPoint(D(2000), D(130)),
    )
    made = Profile(points, METRE)
    assert made.elevation_m(800.0) == pytest.approx(110.0, abs=1e-9)
    assert made.elevation_m(1300.0) == pytest.approx(109.0, abs=1e-9)
    assert made.elevation_m(1000.0) == pytest.approx(104.8, abs=1e-9)
    assert made.grade(1000.0) == pytest.approx(made.grade(1000.0 + 1e-9), abs=1e-9)
    assert made.grade(1000.0) == pytest.approx((104.5 - 105.0) / 250.0, abs=1e-9)


def test_depth_below_grade_beside_a_crown():
    case = CASES["V1-DEPTH"]
    crest = CASES["V1"]
    made = profile(crest, curve_length=D(crest["curve_length_ft"]))
    section = CrownedSection(D(case["cross_slope"]), D(case["cover_ft"]) * D("0.3048"))
    line = made.elevation_m(case["station_ft"] * FT)
    assert line / FT == pytest.approx(case["recomputed"]["design_grade_ft"], abs=1e-9)
    surface = section.surface_m(grade_line_m=line, offset_m=case["offset_right_ft"] * FT)
    assert surface / FT == pytest.approx(case["recomputed"]["subgrade_ft"], abs=1e-9)
    assert surface / FT - float(case["test_elevation_ft"]) == pytest.approx(case["recomputed"]["depth_ft"], abs=1e-9)


def test_outside_the_profile_there_is_no_grade():
    made = profile(CASES["V1"])
    with pytest.raises(OutsideProfile, match=r"from 3650\.00 to 7650\.00 ft .* 9000\.00 is outside"):
        made.elevation_m(9000 * FT)


def test_curves_that_overlap_are_refused():
    points = tuple(
        VerticalPoint(D(s), D(e), curve_length=None if length is None else D(length))
        for s, e, length in ((0, 0, None), (200, 10, 300), (400, 0, 300), (700, 10, None))
    )
    with pytest.raises(ProfileError, match="begins before the end of the curve behind it"):
        Profile(points, METRE)
