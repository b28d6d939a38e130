"""LandXML in: the same line comes back whatever the producer's manners; what cannot be is refused by name."""

import math
from dataclasses import replace
from decimal import Decimal

import pytest

from projects import canonical
from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import report
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.importing import Answers, Imported, import_alignment
from projects.geometry.landxml.safe_xml import LandXmlError
from projects.geometry.station_format import StationFormat
from projects.geometry.vertical_curves import ProfileError
from tests.geometry.landxml_files import EAST_CCW, FINNISH, NORTH_CCW, NORTH_CW, winding, written

D = Decimal
PROFILE = (
    '<Profile name="P"><ProfSurf name="ground"><PntList2D>1000 98 1725 97</PntList2D></ProfSurf>'
    '<ProfAlign name="FG"><PVI>1000. 100.</PVI><ParaCurve length="120">1200 104</ParaCurve>'
    '<UnsymParaCurve lengthIn="40" lengthOut="80">1400 101</UnsymParaCurve>'
    '<CircCurve length="50" radius="-5000">1600 103.0</CircCurve><PVI>1725 101.75</PVI></ProfAlign></Profile>'
)


def read(text: str | bytes, *, epsg: int | None = None, **answers: str) -> Imported:
    return import_alignment(Document.read(text), Answers(**answers), epsg=epsg)


def line_of(imported: Imported) -> Alignment:
    assert imported.content is not None, imported.questions
    return Alignment.from_plain(imported.content)


def codes(imported: Imported, severity: str) -> list[str]:
    return [code for code, found, _ in imported.remarks if found == severity]


MANNERS = {
    "schema": {"convention": NORTH_CCW, "direction_unit": ""},
    "clockwise degrees": {"convention": NORTH_CW},
    "from east": {"convention": EAST_CCW, "direction_unit": "decimal degrees"},
    "grads": {"convention": NORTH_CW, "direction_unit": "grads"},
    "no directions, heights": {"convention": None, "heights": True},
    "another namespace": {"namespace": FINNISH, "version": "1.2"},
    "version 2.0": {"version": "2.0", "infinite": "0."},
    "Infinity": {"infinite": "Infinity"},
}


@pytest.mark.parametrize("manner", MANNERS.values(), ids=MANNERS)
def test_the_line_comes_back_from_every_manner_of_writing(manner):
    line = winding(start_station=D(1000))
    found = read(written(line, **manner))
    back = line_of(found)
    assert found.closures
    assert max(closure.misclosure or 0.0 for closure in found.closures) < 5e-6
    for ours, theirs in zip(back.elements, line.elements, strict=True):
        assert (ours.easting_m, ours.northing_m) == pytest.approx((theirs.easting_m, theirs.northing_m), abs=1e-6)
        assert (ours.k0, ours.k1) == pytest.approx((theirs.k0, theirs.k1), rel=1e-6)
        assert math.remainder(ours.direction_rad - theirs.direction_rad, 2 * math.pi) == pytest.approx(0, abs=1e-6)
    assert not any(joint.is_kink or joint.is_gap for joint in back.junctions)
    for station in (1050.0, 1170.0, 1260.0, 1600.0, 1700.0):
        expected = line.point(station_m=station, offset_m=-12.0)
        assert back.point(station_m=station, offset_m=-12.0) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(
    ("manner", "words"),
    [
        ("schema", "counter-clockwise from north, as the schema has it, in radians"),
        ("clockwise degrees", "clockwise from north, in decimal degrees"),
        ("from east", "counter-clockwise from east, in decimal degrees"),
        ("grads", "clockwise from north, in grads"),
        ("no directions, heights", "writes no directions"),
    ],
)
def test_the_convention_of_directions_is_found_and_said(manner, words):
    found = read(written(winding(), **MANNERS[manner]))
    assert words in dict(found.facts)["Directions"]


def test_directions_in_a_unit_other_than_declared_are_told_so():
    text = written(winding(), direction_unit="grads").replace(
        'directionUnit="grads"', 'directionUnit="decimal degrees"'
    )
    assert "in grads, although the file declares decimal degrees" in dict(read(text).facts)["Directions"]


def test_directions_that_fit_nothing_are_not_used():
    text = written(winding()).replace('dir="', 'dir="1')
    found = read(text)
    assert "fit no convention" in dict(found.facts)["Directions"]
    assert line_of(found).length_m == pytest.approx(winding().length_m, abs=1e-5)


def test_profile_with_every_kind_of_curve():
    found = read(written(winding(), inside=PROFILE), surface="top of subgrade")
    line = line_of(found)
    assert line.profile is not None
    assert line.profile.surface == "top of subgrade"
    kinds = [(curve.radius_m, curve.length_before_m, curve.length_after_m) for curve in line.profile.curves]
    assert kinds[0] == (None, 60.0, 60.0)
    assert kinds[1] == (None, 40.0, 80.0)
    assert kinds[2][0] == 5000.0
    # in the middle of the symmetric parabola: PVI + (g2 - g1) L / 8
    assert line.profile.elevation_m(1200.0) == pytest.approx(104 + (-0.015 - 0.02) * 120 / 8, abs=1e-9)
    # at the PVI of the unsymmetric one: L1 L2 (g2 - g1) / (2 (L1 + L2))
    assert line.profile.elevation_m(1400.0) == pytest.approx(101 + 40 * 80 * (0.01 + 0.015) / 240, abs=1e-9)


def test_what_the_grade_line_is_has_to_be_said():
    found = read(written(winding(), inside=PROFILE))
    assert [question.name for question in found.questions] == ["surface"]
    assert found.content is None
    assert line_of(read(written(winding(), inside=PROFILE), profile="")).profile is None
    with pytest.raises(LandXmlError, match="It holds: FG"):
        read(written(winding(), inside=PROFILE), profile="EG")


def test_several_alignments_and_profiles_are_asked_for():
    one, two = written(winding(), name="CL"), written(winding(), name="Ramp B", inside=PROFILE + PROFILE)
    second = two[two.index("<Alignment ") : two.index("</Alignments>")]
    text = one.replace("</Alignments>", second + "</Alignments>")
    found = read(text)
    assert [(question.name, [value for value, _ in question.options]) for question in found.questions] == [
        ("alignment", ["CL", "Ramp B"])
    ]
    assert found.content is None
    assert [question.name for question in read(text, alignment="Ramp B").questions] == ["profile"]
    chosen = read(text, alignment="Ramp B", profile="FG (2)", surface="finished grade")
    assert chosen.content is not None
    assert chosen.content["source"]["alignment"] == "Ramp B"
    with pytest.raises(LandXmlError, match="It holds: CL, Ramp B"):
        read(text, alignment="Ramp C")


def in_feet(unit: str) -> str:
    return written(winding(), unit=unit, imperial=True, metres=0.3048)


@pytest.mark.parametrize(("epsg", "hint"), [(None, ""), (3734, "The grid is in US survey feet.")])
def test_foot_is_asked_about_because_files_say_it_for_survey_feet_too(epsg, hint):
    found = read(in_feet("foot"), epsg=epsg)
    assert [question.name for question in found.questions] == ["unit"]
    assert hint in found.questions[0].sentence
    assert found.content is None
    survey, plain = (line_of(read(in_feet("foot"), epsg=epsg, unit=unit)) for unit in ("ftUS", "ft"))
    assert survey.elements[0].easting_m / plain.elements[0].easting_m == pytest.approx(1.000002, abs=1e-9)


def test_foot_on_a_grid_in_international_feet_needs_no_question():
    assert read(in_feet("foot"), epsg=2256).content["unit"] == "ft"  # type: ignore[index]


def test_survey_foot_is_what_it_says():
    assert read(in_feet("USSurveyFoot")).content["unit"] == "ftUS"  # type: ignore[index]
    with pytest.raises(LandXmlError, match="The file says it is in US survey foot, the answer is m"):
        read(in_feet("USSurveyFoot"), unit="m")


def test_no_unit_is_asked_about_and_others_are_refused_by_name():
    assert [question.name for question in read(written(winding(), unit="")).questions] == ["unit"]
    for unit in ("inch", "mile", "kilometer", "millimeter"):
        with pytest.raises(LandXmlError, match=f"in the unit “{unit}”"):
            read(written(winding(), unit=unit))


def test_swapped_coordinates_are_found_where_the_grid_is_known():
    """A point about 3.7 degrees east and 39.7 north lies in zone 13; the other way round it lies nowhere."""
    line = winding()
    assert read(written(line), epsg=32613).questions == ()
    swapped = read(written(line, swapped=True), epsg=32613)
    assert [question.name for question in swapped.questions] == ["order"]
    assert swapped.content is None
    back = line_of(read(written(line, swapped=True), epsg=32613, order="east-north"))
    assert back.elements[0].easting_m == pytest.approx(500_000.0, abs=1e-6)
    assert codes(read(written(line)), "information") == ["order-not-checked"]
    assert "outside-grid" in codes(read(written(line), epsg=3734), "warning")
    assert "other-grid" in codes(read(written(line, epsg="32612"), epsg=32613), "warning")


@pytest.mark.parametrize(
    "law",
    ["biquadratic", "bloss", "cosine", "cubic", "sinusoid", "revBiquadratic", "revBloss", "revCosine", "revSinusoid",
     "sineHalfWave", "biquadraticParabola", "cubicParabola", "japaneseCubic", "radioid", "weinerBogen"],
)  # fmt: skip
def test_spirals_other_than_clothoids_are_refused_by_name(law):
    with pytest.raises(LandXmlError, match=f"Element 2 is a spiral of the type “{law}”"):
        read(written(winding()).replace("clothoid", law))


def test_chords_are_refused_by_name():
    text = written(winding()).replace("<CoordGeom>", "<CoordGeom><IrregularLine><Start>0 0</Start></IrregularLine>")
    with pytest.raises(LandXmlError, match="Element 1 is a “IrregularLine”"):
        read(text)


def test_rounded_files_tell_their_closures():
    """To the millimetre: ends meet within rounding, and the figures say so element by element."""
    found = read(written(winding(), digits=3))
    assert 0 < max(closure.misclosure or 0.0 for closure in found.closures) < 0.003
    assert not found.has_errors
    assert line_of(found).length_m == pytest.approx(winding().length_m, abs=0.01)


def test_a_spiral_that_misses_its_end_is_warned_about_and_then_refused_by_severity():
    text = written(winding())
    longer = text.replace('length="90.000000"', 'length="90.100000"')
    assert "element-does-not-close" in codes(read(longer), "warning")
    wrong = text.replace('length="90.000000"', 'length="95.000000"')
    found = read(wrong)
    assert found.has_errors
    assert any("Element 2 (clothoid)" in sentence for _, _, sentence in found.remarks)
    # and the line that would be built says it again at its junctions
    rows = report(line_of(found), StationFormat(2))
    assert any(code.startswith("junction-") for code, severity, _ in rows.remarks if severity != "information")


def test_wrong_sense_of_rotation_is_found_by_length_and_by_pi():
    text = written(winding())
    with pytest.raises(LandXmlError, match="Turning the other way it would be 140"):
        read(text.replace('rot="ccw" crvType', 'rot="cw" crvType'))
    with pytest.raises(LandXmlError, match="rot says it turns right, but start, PI and end turn the other way"):
        read(text.replace('rot="ccw" spiType', 'rot="cw" spiType'))
    with pytest.raises(LandXmlError, match="does not say whether it turns clockwise"):
        read(text.replace('rot="ccw"', 'rot="left"'))


def test_arcs_of_more_than_half_a_circle():
    from tests.geometry.lines import alignment, joined

    loop = alignment(joined([(0.0, 0.0, 50.0), (1 / 40, 1 / 40, 160.0), (0.0, 0.0, 30.0)], start=(100.0, 100.0, 0.2)))
    assert line_of(read(written(loop))).length_m == pytest.approx(240.0, abs=1e-4)
    without_centre = written(loop).split("<Center>")
    text = without_centre[0] + without_centre[1].partition("</Center>")[2]
    assert line_of(read(text)).length_m == pytest.approx(240.0, abs=1e-4)


def test_gaps_kinks_and_stated_length_are_reported():
    text = written(winding())
    start = text.index("<Line ", text.index("<Spiral", text.index("<Curve")))
    point = text[text.index("<Start>", start) + 7 : text.index("</Start>", start)]
    north, east = point.split()
    moved = text[:start] + text[start:].replace(point, f"{float(north) + 0.8:.6f} {east}", 1)
    found = read(moved.replace('length="725.000000" staStart', 'length="807.500000" staStart'))
    assert "length-differs" in codes(found, "warning")
    rows = report(line_of(found), StationFormat(3))
    broken = [joint for joint in rows.junctions if joint.state != "smooth"]
    assert [joint.number for joint in broken] == [4, 5]
    assert broken[0].gap == pytest.approx(D("0.8"), abs=D("0.001"))
    assert "there is a gap of 0.8" in broken[0].sentence
    assert ("junction-gap-and-kink", "error") in [(code, severity) for code, severity, _ in rows.remarks]


EQUATIONS = (
    '<StaEquation staAhead="2000" staBack="1300" staInternal="1300" desc="gap"/>'
    '<StaEquation staAhead="1900" staBack="2200.01" staInternal="1500" staIncrement="decreasing"/>'
)


def test_station_equations():
    line = line_of(read(written(winding(), inside=EQUATIONS)))
    assert [(e.internal, e.back, e.ahead, e.direction) for e in line.equations] == [
        (D(1300), D(1300), D(2000), "increasing"),
        (D(1500), D("2200.01"), D(1900), "decreasing"),
    ]
    rows = report(line, StationFormat(2)).equations
    assert [(row.back, row.ahead, row.kind) for row in rows] == [
        ("13+00.00", "20+00.00", "gap"),
        ("22+00.00", "19+00.00", "decreasing"),
    ]


def test_station_equations_that_cannot_be():
    for equation, sentence in (
        ('<StaEquation staAhead="2000" staBack="1400" staInternal="1300"/>', "the stations reach 1300"),
        ('<StaEquation staAhead="2000"/>', "its place is not known"),
        ('<StaEquation staBack="1300" staInternal="1300"/>', "has no staAhead"),
        ('<StaEquation staAhead="a" staInternal="1300"/>', "“a” is not a number"),
    ):
        with pytest.raises(LandXmlError, match=sentence):
            read(written(winding(), inside=equation))
    nan = '<StaEquation staAhead="2000" staBack="NaN" staInternal="1300"/>'
    assert "equation-without-back" in codes(read(written(winding(), inside=nan)), "information")
    posts = "".join(f'<StaEquation staAhead="{n}" staInternal="{n}" staBack="1003.4"/>' for n in (1100, 1300))
    found = read(written(winding(), inside=posts))
    assert codes(found, "warning") == ["equations-are-labels"]
    assert line_of(found).equations == ()


def test_profiles_that_cannot_be():
    for points, error, sentence in (
        ("<PVI>1000 10</PVI>", LandXmlError, "fewer than two points"),
        ("<PVI>1000</PVI><PVI>1100 5</PVI>", LandXmlError, "not a station and an elevation"),
        ("<PVI>1000 10</PVI><ParaCurve>1100 5</ParaCurve><PVI>1200 4</PVI>", LandXmlError, "has no length"),
        ("<PVI>1000 10</PVI><CircCurve length='5'>1100 5</CircCurve><PVI>1200 4</PVI>", LandXmlError, "no radius"),
        ("<PVI>1000 10</PVI><Cubic>1100 5</Cubic><PVI>1200 4</PVI>", LandXmlError, "“Cubic”"),
        ("<PVI>1000 10</PVI><PVI>1000 11</PVI>", ProfileError, "not in order"),
    ):
        with pytest.raises(error, match=sentence):
            line_of(read(written(winding(), inside=f"<Profile><ProfAlign>{points}</ProfAlign></Profile>"), surface="x"))


def test_points_may_be_named():
    text = written(winding())
    begin = text.index("<Start>")
    first = text[begin + 7 : text.index("</Start>")]
    named = text.replace(f"<Start>{first}</Start>", '<Start pntRef="7"/>', 1).replace(
        "<Alignments", f'<CgPoints><CgPoint name="7">{first}</CgPoint></CgPoints><Alignments', 1
    )
    assert line_of(read(named)).elements[0].easting_m == pytest.approx(500_000.0)
    with pytest.raises(LandXmlError, match="“8” that is referred to is not in the file"):
        read(named.replace('pntRef="7"', 'pntRef="8"'))


def test_what_was_read_reads_the_same_again_without_the_surfaces():
    text = written(winding(), inside=PROFILE + EQUATIONS, epsg="32613")
    small = Document.read(text).reduced()
    assert "Surface" not in small
    again = read(small, surface="finished grade")
    first = read(text, surface="finished grade")
    assert canonical.digest(again.content) == canonical.digest(first.content)
    assert replace(again, content=None) == replace(first, content=None)


def test_content_of_an_import_is_stored_and_comes_back():
    found = read(written(winding(), inside=PROFILE + EQUATIONS), surface="finished grade")
    plain = line_of(found).to_plain()
    assert Alignment.from_plain(plain).to_plain() == plain
    assert plain["source"] == {"format": "LandXML 1.2, written by Test writer 1", "alignment": "CL"}


def test_swapped_coordinates_show_without_a_grid_because_curves_turn_the_wrong_way():
    found = read(written(winding(), swapped=True))
    assert [question.name for question in found.questions] == ["order"]
    assert "the curves turn against what the file says" in found.questions[0].sentence
    back = line_of(read(written(winding(), swapped=True), order="east-north"))
    assert back.elements[1].k1 == pytest.approx(1 / 300, rel=1e-6)
    with pytest.raises(LandXmlError, match="turn the other way"):
        read(written(winding(), swapped=True), order="north-east")
