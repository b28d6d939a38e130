"""From what the crew states to a located test: values, sources, findings. Never an exception, never a guess."""

from dataclasses import asdict, dataclass, replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects import canonical
from projects.geometry import crs
from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, Polygon, StationRange
from projects.geometry.foot_limits import FootLimits
from projects.geometry.plain_content import ContentError
from projects.geometry.positions import locate

D = Decimal
EPSG = 3734  # a state grid in US survey feet
EAST, NORTH = 2_300_000, 600_000


@dataclass(frozen=True)
class Fix:
    latitude_deg: Decimal
    longitude_deg: Decimal
    accuracy_m: Decimal | None = Decimal("4.9")
    confidence_pct: Decimal | None = Decimal(68)
    ellipsoid_height_m: Decimal | None = None


@dataclass(frozen=True)
class Stated:
    alignment: str = "main"
    station: str = "12+34.56"
    offset: str = "15 L"
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    elevation_m: Decimal | None = None
    elevation_from: str = ""
    depth_below_grade_m: Decimal | None = None
    gps: Fix | None = None
    rtk: Fix | None = None


def line(*, east=EAST, **more):
    """3,000 ft due north in US survey feet from station 10+00; ten feet up over the first 2,000 ft."""
    content = {
        "kind": "baseline",
        "unit": "ftUS",
        "start_station": "1000",
        "points": [[str(east), str(NORTH)], [str(east), str(NORTH + 3000)]],
        "profile": {"points": [{"station": "1000", "elevation": "1300"}, {"station": "3000", "elevation": "1310"}]},
        **more,
    }
    return Alignment.from_plain(content)


FT = line().unit.metres
ALIGNMENTS = {"main": line()}


def find(stated, *, alignments=None, areas=(), epsg_code=EPSG, **options):
    return locate(stated, alignments=alignments or ALIGNMENTS, areas=areas, epsg_code=epsg_code, **options)


def codes(located):
    return [code for code, *_ in located.findings]


def sentence(located, code):
    return next(text for found, _, text, _ in located.findings if found == code)


def fix_at(station_ft, offset_ft, **more):
    longitude, latitude = crs.to_longitude_latitude(
        EPSG,
        easting_m=float((EAST + D(str(offset_ft))) * FT),
        northing_m=float((NORTH + D(str(station_ft)) - 1000) * FT),
    )
    return Fix(D(repr(round(latitude, 8))), D(repr(round(longitude, 8))), **more)


def test_station_and_offset_become_coordinates():
    found = find(Stated())
    assert (found.alignment, found.station_text, found.offset_text) == ("main", "12+34.56", "15.00 ft L")
    assert found.station_m == (D("1234.56") * FT).quantize(D("0.0001"))
    assert found.offset_m == (-15 * FT).quantize(D("0.0001"))
    assert found.easting_m == ((EAST - 15) * FT).quantize(D("0.0001"))
    assert found.northing_m == ((NORTH + D("234.56")) * FT).quantize(D("0.0001"))
    assert found.position_source == "station and offset as stated"
    assert found.longitude is not None
    assert found.findings == ()


def test_everything_that_is_stored_has_a_canonical_form():
    found = find(Stated(depth_below_grade_m=D("0.1"), gps=fix_at(1900, 0)))
    assert canonical.plain(asdict(found))["findings"]


def test_coordinates_become_station_and_offset():
    stated = Stated("", "", "", easting_m=(EAST + 20) * FT, northing_m=(NORTH + 500) * FT)
    found = find(stated)
    assert (found.alignment, found.station_text, found.offset_text) == ("main", "15+00.00", "20.00 ft R")
    assert found.position_source == "easting and northing as stated"


def between(east_ft, north_ft=500, **more):
    """Coordinates in feet from the start of main."""
    stated = Stated("", "", "", easting_m=(EAST + east_ft) * FT, northing_m=(NORTH + north_ft) * FT)
    return replace(stated, **more)


TWO = {"main": line(), "ramp": line(east=EAST + 50, start_station="200", profile=None)}


def test_coordinates_between_two_lines_are_a_question_until_the_line_or_a_station_is_stated():
    open_question = find(between(22), alignments=TWO)
    [(code, severity, told, numbers)] = open_question.findings
    assert (code, severity) == ("station-ambiguous", "hold")
    assert "main 15+00.00, 22.00 ft R (perpendicular); ramp 7+00.00, 28.00 ft L (perpendicular)" in told
    assert told.endswith("State the alignment, or a station beside the coordinates.")
    assert numbers["states"] == "on, on"
    assert (open_question.alignment, open_question.station_m) == ("", None)
    assert open_question.easting_m == ((EAST + 22) * FT).quantize(D("0.0001"))  # stays on the map
    assert find(between(10), alignments=TWO).alignment == "main"  # the other is four times as far
    named = find(between(22, alignment="ramp"), alignments=TWO)
    assert (named.alignment, named.station_text, named.findings) == ("ramp", "7+00.00", ())
    beside = find(between(22, station="7+01"), alignments=TWO)
    assert (beside.alignment, beside.station_text, beside.findings) == ("ramp", "7+00.00", ())
    tight = {code: replace(one, foot_limits=FootLimits(ratio=D(1), apart_m=D(0))) for code, one in TWO.items()}
    assert find(between(22), alignments=tight).findings == ()


@pytest.mark.parametrize(
    ("more", "expected", "text"),
    [
        ({"station": "30+00"}, ["station-disagrees", "station-ambiguous"], "30+00 is stated beside"),
        ({"station": "ramp 7+00", "offset": "80 L"}, ["station-disagrees"], "The offset 80 L"),
        ({"station": "by the culvert"}, ["station-not-understood", "station-ambiguous"], "Which station?"),
        ({"station": "7+00", "alignment": "main"}, ["station-disagrees"], "7+00 is stated beside"),
    ],
)
def test_a_station_beside_coordinates_that_does_not_fit_is_a_finding(more, expected, text):
    found = find(between(22, **more), alignments=TWO)
    assert codes(found) == expected
    assert text in found.findings[0][2]


def test_coordinates_without_any_alignment():
    found = locate(Stated("", "", "", easting_m=D(500), northing_m=D(700)), alignments={})
    assert (found.easting_m, found.northing_m, found.alignment, found.findings) == (D(500), D(700), "", ())


@pytest.mark.parametrize(
    ("change", "code", "text"),
    [
        ({"station": "12+4"}, "station-not-understood", "is 12+04 or 12+40 meant?"),
        ({"station": "by the culvert"}, "station-not-understood", "Which station?"),
        ({"station": "50+00"}, "station-beyond-alignment", "50+00 lies 1000.00 ft behind the end of main"),
        ({"station": "5+00"}, "station-beyond-alignment", "500.00 ft before the start"),
        ({"offset": "15"}, "offset-not-understood", "left or right"),
        ({"offset": ""}, "offset-not-understood", "No offset is given"),
        ({"alignment": "ramp"}, "alignment-unknown", "There is no alignment ramp. Known: main."),
        ({"alignment": "main", "station": "Ramp B 12+00"}, "alignment-unclear", "Which line is meant?"),
        ({"alignment": "", "station": "", "offset": ""}, "position-not-stated", "No station and no coordinates"),
        ({"station": "12+00 15 R"}, "offset-not-understood", "Which is right?"),
    ],
)
def test_what_cannot_be_placed_is_a_finding_and_stays_empty(change, code, text):
    found = find(replace(Stated(), **change))
    assert codes(found) == [code]
    assert text in sentence(found, code)
    assert (found.easting_m, found.longitude) == (None, None)


def test_offset_behind_the_station_and_line_in_front_of_it():
    found = find(Stated(alignment="", station="main 12+34.56 LT 15", offset=""))
    assert (found.station_text, found.offset_text, found.findings) == ("12+34.56", "15.00 ft L", ())


def test_a_repeated_station_asks_for_its_zone():
    lines = {"main": line(equations=[{"back": "2000", "ahead": "1500"}])}
    found = find(Stated(station="18+00"), alignments=lines)
    assert codes(found) == ["station-not-understood"]
    assert "Is 18+00.00 (1) or 18+00.00 (2) meant?" in sentence(found, "station-not-understood")
    chosen = find(Stated(station="18+00 AH"), alignments=lines)
    assert chosen.station_m == (2300 * FT).quantize(D("0.0001"))
    assert chosen.station_text == "18+00.00 (2)"


def test_a_missing_station_is_told():
    found = find(Stated(station="22+00"), alignments={"main": line(equations=[{"back": "2000", "ahead": "2500"}])})
    assert codes(found) == ["station-not-on-alignment"]


def test_an_offset_beyond_the_centre_of_a_curve_is_told():
    """Radius 200 ft to the left: 199 ft left is a place with a station, 200 ft is the centre."""
    arc = {"kind": "arc", "start": ["0", "0"], "end": ["-200", "200"], "radius": "200", "turn": "left"}
    curve = Alignment.from_plain({"kind": "elements", "unit": "ft", "start_station": "0", "elements": [arc]})
    found = {
        offset: codes(find(Stated(station="1+00", offset=offset), alignments={"main": curve}, epsg_code=None))
        for offset in ("199 L", "201 L", "300 R")
    }
    assert found == {"199 L": [], "201 L": ["offset-beyond-centre"], "300 R": []}


def test_without_a_name_one_line_is_meant_and_of_two_none():
    assert find(Stated(alignment="")).alignment == "main"
    two = {"main": line(), "ramp": line(east=EAST + 500)}
    found = find(Stated(alignment=""), alignments=two)
    assert codes(found) == ["alignment-unclear"]
    assert find(Stated(alignment="", station="RAMP 12+00"), alignments=two).alignment == "ramp"


def test_elevation_from_depth_and_depth_from_elevation():
    grade = (D("1301.1728") * FT).quantize(D("0.0001"))  # 234.56 ft along a grade of 0.5 percent
    from_depth = find(Stated(depth_below_grade_m=D("0.1158")))
    assert from_depth.elevation_m == grade - D("0.1158")
    assert from_depth.elevation_source == "design grade less the stated depth"
    from_elevation = find(Stated(elevation_m=grade - 1, elevation_from="level"))
    assert from_elevation.depth_below_grade_m == 1
    assert (from_elevation.elevation_source, from_elevation.depth_source) == (
        "stated (level)",
        "design grade less the stated elevation",
    )


def test_above_grade_and_outside_the_profile():
    assert codes(find(Stated(depth_below_grade_m=D("-0.5")))) == ["above-grade"]
    outside = find(Stated(station="35+00", elevation_m=D(400)))
    assert (codes(outside), outside.depth_below_grade_m) == (["outside-profile"], None)


def zone(code, begin, end, kind="zone", **limits):
    numbers = ((begin * FT).quantize(D("0.000001")), (end * FT).quantize(D("0.000001")))
    return code, kind, Area(code, kind, StationRange("main", *numbers, D(-30), D(30)), **limits)


def test_zone_exempt_and_off_the_fill():
    areas = [zone("lower", 1000, 1234), zone("upper", D("1234.56"), 2000), zone("culvert", 1230, 1240, "exempt")]
    found = find(Stated(), areas=areas)
    assert (found.zone, found.exempt, found.findings) == ("upper", True, ())  # the edge belongs to the area
    assert codes(find(Stated(station="21+00"), areas=areas)) == ["position-off-the-fill"]
    assert codes(find(Stated(offset="120 L"), areas=areas)) == ["position-off-the-fill"]
    assert codes(find(Stated(station="21+00"))) == []


def test_zone_by_polygon_and_by_depth():
    corners = tuple(((EAST + D(e)) * FT, (NORTH + D(n)) * FT) for e, n in ((-50, 0), (50, 0), (50, 500), (-50, 500)))
    top = ("top", "zone", Area("top", "zone", Polygon(corners), depth_to_m=D("0.9144")))
    rest = ("rest", "zone", Area("rest", "zone", Polygon(corners)))
    assert find(Stated(depth_below_grade_m=D("0.5")), areas=[top, rest]).zone == "top"
    assert find(Stated(depth_below_grade_m=D("1.5")), areas=[top, rest]).zone == "rest"
    unknown = find(Stated(), areas=[top, rest])
    assert (unknown.zone, codes(unknown)) == ("rest", ["zone-needs-height"])


def test_a_fix_that_agrees_says_nothing():
    assert find(Stated(gps=fix_at(1245, -5))).findings == ()


@pytest.mark.parametrize(
    ("stated", "fix", "pattern"),
    [
        (Stated(station="12+00", offset="10 L"), (1600, -8), "station"),
        (Stated(station="12+00", offset="40 L"), (1203, 38), "side"),
        (Stated(station="12+00", offset="10 L"), (1450, -12), "none"),
        (Stated(station="12+00", offset="10 L"), (1200, 490), "alignment"),
    ],
)
def test_a_fix_that_disagrees_is_told_with_the_slip_that_explains_it(stated, fix, pattern):
    two = {"main": line(), "ramp": line(east=EAST + 500)}
    found = find(replace(stated, gps=fix_at(*fix)), alignments=two)
    [(code, severity, _, numbers)] = found.findings
    assert (code, severity, numbers["pattern"]) == ("gps-disagrees", "validity", pattern)
    assert found.easting_m == find(stated, alignments=two).easting_m  # never moved by the fix
    assert all(severity != "hold" for _, severity, *_ in found.findings)


def test_distance_to_the_fix_is_the_one_on_the_ground():
    found = find(Stated(station="12+00", offset="0", gps=fix_at(1600, 0)))
    away = D(found.findings[0][3]["distance_m"])
    assert away == pytest.approx(400 * FT, rel=D("2e-4"))  # grid and ground differ by up to 100 ppm here


def test_a_weak_fix_does_not_nag():
    assert find(Stated(gps=fix_at(1320, -10, accuracy_m=D(40)))).findings == ()


def test_a_precise_fix_some_feet_off_is_noted_only():
    found = find(Stated(gps=fix_at(1250, -15, accuracy_m=D("0.02"), confidence_pct=D(95))))
    assert [(code, severity) for code, severity, *_ in found.findings] == [("gps-differs", "information")]


def test_a_fix_with_its_axes_exchanged_is_told():
    fix = fix_at(1234, -15)
    found = find(Stated(gps=Fix(fix.longitude_deg, fix.latitude_deg)))
    assert codes(found) == ["gps-disagrees"]
    assert "Check signs and order" in sentence(found, "gps-disagrees")


def test_a_fix_without_a_coordinate_system_is_not_compared():
    assert codes(find(Stated(gps=fix_at(1234, -15)), epsg_code=None)) == ["gps-not-compared"]


def test_coordinates_outside_the_grid():
    stated = Stated("", "", "", easting_m=D("5000000"), northing_m=D("100"))
    found = find(stated, alignments={"main": line()})
    assert "coordinates-outside-grid" in codes(found)
    assert found.longitude is None


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=40), st.text(max_size=20), st.text(max_size=10))
def test_nothing_that_is_written_raises(station, offset, name):
    lines = {"main": line(equations=[{"back": "2000", "ahead": "1500"}]), "A": line(east=EAST + 500)}
    found = find(Stated(alignment=name, station=station, offset=offset), alignments=lines)
    assert found.easting_m is not None or found.findings


def test_a_survey_receiver_gives_the_position_and_the_station_follows():
    easting, northing = ALIGNMENTS["main"].point(station_m=float(D("1234.56") * FT), offset_m=float(-15 * FT))
    longitude, latitude = crs.to_longitude_latitude(EPSG, easting_m=easting, northing_m=northing)
    fix = Fix(D(f"{latitude:.10f}"), D(f"{longitude:.10f}"), accuracy_m=D("0.02"))
    measured = replace(Stated(), station="", offset="", alignment="", rtk=fix)
    located = find(measured)
    assert abs(located.station_m - D("1234.56") * FT) <= D("0.0002")
    assert abs(located.offset_m + 15 * FT) <= D("0.0002")
    assert located.position_source == "survey receiver with corrections"
    assert located.findings == ()
    loose = find(replace(measured, rtk=replace(fix, accuracy_m=D("0.45"))))
    assert [code for code, *_ in loose.findings] == ["receiver-not-fixed"]
    copied = replace(measured, rtk=replace(fix, ellipsoid_height_m=D("361.22")), elevation_m=D("361.22"))
    assert [code for code, *_ in find(copied).findings] == ["elevation-is-ellipsoid-height"]
    assert find(replace(copied, elevation_m=D("390.05"))).findings == ()  # 28.8 m of geoid in between
    nowhere = find(measured, epsg_code=None)
    assert nowhere.station_m is None
    assert [code for code, *_ in nowhere.findings] == ["grid-not-known"]


def test_an_alignment_may_state_its_own_limits_of_feet():
    content = line().to_plain()
    assert "feet" not in content  # what is usual is not stored, so contents of before keep their digests
    stated = Alignment.from_plain({**content, "feet": {"ratio": "1.1", "station_within": "5"}})
    assert stated.to_plain()["feet"] == {"ratio": "1.1", "station_within": "5"}
    assert stated.foot_limits == FootLimits(ratio=D("1.1"), station_within_m=5 * FT)
    for wrong in ({"ratio": "0.5"}, {"apart": "-1"}, {"reach": "2"}):
        with pytest.raises(ContentError, match="feet"):
            Alignment.from_plain({**content, "feet": wrong})
