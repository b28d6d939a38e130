"""Everyday conversion: each way from any other, questions instead of guesses, the same answers as for one point."""

import math
import time
from decimal import Decimal

import numpy as np
import pytest
from pyproj import Transformer

from projects.geometry.alignment import Alignment
from projects.geometry.conversion import convert
from projects.geometry.conversion_rows import MOST_ROWS, Asked
from projects.geometry.conversion_text import rows_of_text
from projects.geometry.foot_choice import choose, on_lines
from projects.geometry.ground_scale import GroundScale
from projects.geometry.linear_units import FOOT, METRE, US_SURVEY_FOOT
from projects.geometry.plan_points import Baseline
from projects.geometry.projection import project
from projects.geometry.several_feet import not_plain
from projects.geometry.station_format import StationFormat
from projects.geometry.stationing import Equation
from tests.geometry.landxml_files import winding
from tests.geometry.lines import alignment, corner, joined, road

D = Decimal
HUNDREDS = StationFormat(2)


def hairpin() -> Alignment:
    """North 200, a half circle of 50 to the left, south 200."""
    half = math.pi * 50
    return alignment(joined([(0, 0, 200.0), (1 / 50, 1 / 50, half), (0, 0, 200.0)], start=(0.0, 0.0, math.pi / 2)))


def one(row: Asked, lines: dict[str, Alignment], *, epsg: int | None = None):
    [answer] = convert([row], alignments=lines, epsg=epsg, station_format=HUNDREDS)
    return answer


def plane(easting: float, northing: float, code: str = "") -> Asked:
    return Asked(alignment=code, easting_m=D(repr(easting)), northing_m=D(repr(northing)))


def test_there_and_back_on_a_road_with_transitions():
    line = winding(start_station=D(1000))
    rng = np.random.default_rng(5)
    there = [
        Asked(station=HUNDREDS.text(D(repr(round(float(s), 2)))), offset=f"{abs(o):.2f} {'L' if o < 0 else 'R'}")
        for s, o in zip(rng.uniform(1001, 1724, 400), rng.uniform(-60, 60, 400), strict=True)
    ]
    placed = convert(there, alignments={"CL": line}, epsg=32613, station_format=HUNDREDS)
    assert {row.state for row in placed} == {"placed"}
    back = convert(
        [Asked(easting_m=row.easting_m, northing_m=row.northing_m) for row in placed],
        alignments={"CL": line}, epsg=32613, station_format=HUNDREDS,
    )  # fmt: skip
    oracle = Transformer.from_crs("EPSG:32613", "EPSG:4326", always_xy=True)
    for first, again in zip(placed, back, strict=True):
        assert again.state == "placed"
        assert abs(again.station - first.station) <= D("0.0002")
        assert abs(again.offset - first.offset) <= D("0.0002")
        assert (float(again.longitude), float(again.latitude)) == pytest.approx(
            oracle.transform(float(first.easting_m), float(first.northing_m)), abs=2e-9
        )
    globe = [Asked(latitude_deg=row.latitude, longitude_deg=row.longitude) for row in placed]
    for first, again in zip(
        placed, convert(globe, alignments={"CL": line}, epsg=32613, station_format=HUNDREDS), strict=True
    ):
        assert abs(again.station - first.station) <= D("0.0005")
        assert (again.latitude, again.longitude) == (first.latitude, first.longitude)


def test_two_equally_near_feet_are_a_question_with_both_places():
    answer = one(plane(-50.0, 100.0), {"loop": hairpin()})
    assert answer.state == "question"
    assert answer.station is None
    assert sorted(candidate.station_text for candidate in answer.candidates) == ["1+00.00", "4+57.08"]
    assert answer.sentence.startswith("2 places on loop are about equally near. Is ")
    assert answer.sentence.endswith(", 50.00 m L meant?")


def test_what_has_no_station_says_why():
    lines = {"pad": corner()}
    before = one(plane(-30.0, 5.0), lines)
    assert (before.state, before.station) == ("no_station", None)
    assert "30.00 m before the start of pad" in before.sentence
    assert "Carried on straight it would be -0+30.00, 5.00 m L" in before.sentence
    assert "behind the end" in one(plane(103.0, 120.0), lines).sentence
    outside = one(plane(110.0, -10.0), lines)
    assert (outside.state, outside.easting_m) == ("no_station", D("110.0"))
    assert "corner" in outside.sentence
    assert "centre of a curve" in one(plane(-50.0, 200.0), {"loop": hairpin()}).sentence
    assert one(plane(9e7, 9e7), lines).state == "no_station"


def equated() -> Alignment:
    points = ((D(0), D(0)), (D(2000), D(0)))
    equations = (Equation(back=D(500), ahead=D(700)), Equation(back=D(1500), ahead=D(1200)))
    return Alignment.build(Baseline(points), equations=equations)


def test_stations_with_equations():
    lines = {"CL": equated()}
    assert one(plane(500.0, 3.0), lines).station_text == "5+00.00 BK = 7+00.00 AH"
    assert one(plane(1200.0, 3.0), lines).station_text == "14+00.00 (2)"
    assert one(plane(1400.0, 3.0), lines).station_text == "13+00.00 (3)"
    assert one(plane(200.0, 3.0), lines).station_text == "2+00.00"
    several = one(Asked(station="13+00", offset="5 R"), lines)
    assert several.state == "question"
    assert "occurs 2 times on CL" in several.sentence
    assert one(Asked(station="13+00 (3)", offset="5 R"), lines).easting_m == D("1400.0000")
    gap = one(Asked(station="6+00", offset="5 R"), lines)
    assert (gap.state, gap.easting_m) == ("refused", None)
    assert "There is no station 6+00 on CL" in gap.sentence
    assert "behind the end" in one(Asked(station="99+00", offset="5 R"), lines).sentence
    assert one(Asked(station="12+50", offset="5"), lines).sentence.endswith("left or right of the line?")
    assert one(Asked(station="12+5", offset="5 L"), lines).state == "question"


def test_the_line_that_is_meant():
    near, far = corner(), alignment(joined([(0.0, 0.0, 100.0)], start=(0.0, 40.0, 0.0)))
    lines = {"near": near, "far": far}
    assert one(plane(50.0, 35.0), lines).alignment == "far"
    assert one(plane(50.0, 35.0, "near"), lines).alignment == "near"
    # behind the end of one line, five times as near as the foot on the other: nothing is taken, both are told
    told = one(plane(98.0, 115.0), lines)
    assert (told.alignment, told.state, told.station) == ("near", "no_station", None)
    assert "The nearest perpendicular foot is on far 0+98.00, 75.00 m L" in told.sentence
    # outside a corner at 14.1 m, 18 m beside another line: a question that lists both
    lines["below"] = alignment(joined([(0.0, 0.0, 200.0)], start=(0.0, -28.0, 0.0)))
    told = one(plane(110.0, -10.0), lines)
    assert (told.state, [row.alignment for row in told.candidates]) == ("question", ["near", "below"])


def test_places_outside_the_grid():
    line = {"CL": winding()}
    assert "outside the area" in one(plane(500_100.0, 1e8), line, epsg=32613).sentence
    globe = Asked(latitude_deg=D("-105"), longitude_deg=D("39.7"))
    assert "outside the area of WGS 84 / UTM zone 13N" in one(globe, line, epsg=32613).sentence
    assert "no coordinate system" in one(globe, line).sentence
    assert convert([], alignments=line, epsg=None, station_format=HUNDREDS) == []
    with pytest.raises(ValueError, match="At most 5000 rows"):
        convert([globe] * (MOST_ROWS + 1), alignments=line, epsg=None, station_format=HUNDREDS)


@pytest.mark.parametrize("line", [winding(), road(), hairpin(), corner()], ids=["winding", "road", "hairpin", "corner"])
def test_many_points_answer_like_one_at_a_time(line):
    """Scattered points, far ones too: whatever is answered in bulk is what `choose` says, state by state."""
    rng = np.random.default_rng(8)
    xs, ys = line.points(stations_m=np.linspace(line.start_station_m, line.end_station_m, 400), offsets_m=np.zeros(1))
    spread = 0.4 * max(np.ptp(xs), np.ptp(ys))
    eastings = rng.uniform(xs.min() - spread, xs.max() + spread, 400).round(3)
    northings = rng.uniform(ys.min() - spread, ys.max() + spread, 400).round(3)
    rows = [plane(float(e), float(n)) for e, n in zip(eastings, northings, strict=True)]
    answers = convert(rows, alignments={"CL": line}, epsg=None, station_format=HUNDREDS)
    for answer, easting, northing in zip(answers, eastings, northings, strict=True):
        choice = choose(on_lines({"CL": line}, easting_m=float(easting), northing_m=float(northing)))
        if choice.chosen is None:
            assert (answer.state, len(answer.candidates)) == ("question", len(choice.plausible))
            continue
        single = choice.chosen.foot
        assert answer.state == ("placed" if single.state == "on" else "no_station")
        if answer.state == "placed":
            unit = float(line.unit.metres)
            assert float(answer.station) == pytest.approx(single.station_m / unit, abs=3e-4)  # kept to 0.1 mm
            assert float(answer.offset) == pytest.approx(single.offset_m / unit, abs=3e-4)


def test_five_thousand_rows_in_a_few_seconds():
    line = winding()
    rng = np.random.default_rng(9)
    s, o = rng.uniform(0, line.length_m, 5000), rng.uniform(-40, 40, 5000)
    e, n = line.points(stations_m=s, offsets_m=o)
    rows = [plane(float(a), float(b)) for a, b in zip(e.round(3), n.round(3), strict=True)]
    began = time.perf_counter()
    answers = convert(rows, alignments={"CL": line}, epsg=32613, station_format=HUNDREDS)
    assert time.perf_counter() - began < 10.0  # about half a second alone; the machine may be busy
    assert sum(row.state == "placed" for row in answers) > 4900
    assert (
        not_plain(line, eastings_m=e, northings_m=n, reach_m=1.5 * np.abs(o) + 0.5).mean() < 0.2
    )  # few need a closer look


# ---- ground lengths ----------------------------------------------------------------------------------
def scaled(coordinates: str) -> Alignment:
    """A straight kilometre on the grid, east from (10000, 20000), with 250 ppm between grid and ground."""
    scale = GroundScale(D("0.99975"), coordinates)
    return Alignment.build(Baseline(((D(10_000), D(20_000)), (D(11_000), D(20_000)))), scale=scale)


def test_ground_lengths_are_scaled_by_the_factor_that_is_said():
    line = scaled("grid")
    assert line.length_m == pytest.approx(1000 / 0.99975, abs=1e-9)
    assert line.point(station_m=500.0, offset_m=-10.0) == pytest.approx((10_000 + 499.875, 20_000 + 9.9975), abs=1e-9)
    answer = one(plane(10_499.875, 20_009.9975), {"CL": line})
    assert (answer.station, answer.offset) == (D("500.0000"), D("-10.0000"))
    content = line.to_plain()
    assert content["scale"] == {
        "combined_factor": "0.99975", "coordinates": "grid", "shift_easting": "0", "shift_northing": "0",
    }  # fmt: skip
    again = Alignment.from_plain(content)
    assert again == line
    plain = Alignment.build(Baseline(((D(10_000), D(20_000)), (D(11_000), D(20_000)))))
    assert "scale" not in plain.to_plain()
    assert plain.length_m == pytest.approx(1000.0, abs=1e-12)


def test_ground_coordinates_with_a_shift():
    """Ground coordinates with 500,000 cut off in front: grid = ground x factor + shift."""
    scale = GroundScale(D("1.0002"), "ground", D(500_000), D(0))
    line = Alignment.build(Baseline(((D(1000), D(2000)), (D(2000), D(2000)))), scale=scale)
    assert line.length_m == pytest.approx(1000.0, abs=1e-9)
    assert line.point(station_m=0.0) == pytest.approx((501_000.2, 2000.4), abs=1e-9)
    assert project(line, easting_m=501_000.2 + 100.02, northing_m=2000.4).station_m == pytest.approx(100.0, abs=1e-9)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"combined_factor": "1.2", "coordinates": "grid"}, "outside 0.997 to 1.003"),
        ({"combined_factor": "0.9999"}, "are the points grid or ground coordinates"),
        ({"coordinates": "grid"}, "a decimal number is missing"),
        ({"combined_factor": "0.9999", "coordinates": "grid", "factor": "1"}, "is not known here"),
    ],
)
def test_a_scale_that_cannot_be(given, sentence):
    content = {**Alignment.build(Baseline(((D(0), D(0)), (D(9), D(0))))).to_plain(), "scale": given}
    with pytest.raises(ValueError, match=sentence):
        Alignment.from_plain(content)


# ---- lists as pasted -----------------------------------------------------------------------------------
def test_lists_are_read_strictly():
    rows = rows_of_text("12+34.56, 15 L\n\nA7;13+00;CL\n14+00 3 R\n", kind="station", unit=FOOT)
    assert [(row.label, row.station, row.offset) for row in rows] == [
        ("", "12+34.56", "15 L"), ("A7", "13+00", "CL"), ("", "14+00 3 R", ""),
    ]  # fmt: skip
    rows = rows_of_text("100.5 200\n7, 300, 400.25\n300\t400", kind="northing-easting", unit=US_SURVEY_FOOT)
    assert rows[0].northing_m == D("100.5") * US_SURVEY_FOOT.metres
    assert (rows[1].label, rows[1].easting_m) == ("7", D("400.25") * US_SURVEY_FOOT.metres)
    rows = rows_of_text("41.5 N 81.25 W\n41.5, -81.25\nP1; 41.5; -81.25", kind="latitude-longitude", unit=METRE)
    assert {(row.latitude_deg, row.longitude_deg) for row in rows} == {(D("41.5"), D("-81.25"))}
    assert rows[2].label == "P1"


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("1,5 2,5", "easting-northing"),
        ("1e3 5", "easting-northing"),
        ("441200", "easting-northing"),
        ("a, b, c, d", "station"),
        ("N 41 30 15 W 81 0 0", "latitude-longitude"),
        ("41.5N -81.0W", "latitude-longitude"),
        ("-81.0, 41.5", "longitude-latitude-"),
        ("nan inf", "easting-northing"),
        ("x" * 300, "station"),
    ],
)
def test_lines_that_are_none_keep_their_reason(line, kind):
    if kind.endswith("-"):  # the wrong order is read, and refused by range where it can be told
        assert rows_of_text("-95.0, 41.5", kind="latitude-longitude", unit=METRE)[0].problem
        return
    [row] = rows_of_text(line, kind=kind, unit=METRE)
    assert row.problem
    assert row.easting_m is None
    assert row.latitude_deg is None
