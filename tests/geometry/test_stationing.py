"""Stations: printing, equations, kilometres of unequal length."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.geometry.parsing import parse_station
from projects.geometry.station_format import StationFormat
from projects.geometry.stationing import Equation, Stationing, StationingError
from tests.geometry.examples import examples
from tests.geometry.lines import alignment, joined

CASES = examples("stationing")
D = Decimal


@pytest.mark.parametrize(
    ("station", "digits", "text"),
    [
        ("1234.56", 2, "12+34.56"),
        ("99.999", 2, "1+00.00"),
        ("999.996", 3, "1+000.00"),
        ("1234.56", 3, "1+234.56"),
        ("-50", 2, "-0+50.00"),
        ("-0.001", 2, "0+00.00"),
        ("0", 3, "0+000.00"),
        ("218084.7", 2, "2180+84.70"),
    ],
)
def test_stations_are_printed_by_whole_numbers(station, digits, text):
    assert StationFormat(digits).text(D(station)) == text


@given(st.integers(min_value=-(10**9), max_value=10**9))
def test_a_printed_station_reads_back(hundredths):
    value = D(hundredths) / 100
    if abs(value) >= 10**6:
        return
    assert parse_station(StationFormat(2).text(value), digits_after_plus=2).value == value


def test_gap_overlap_and_decreasing_zones():
    line = Stationing(D(0), D(5000), (
        Equation(back=D(1000), ahead=D(1500)),  # gap: 1000 to 1500 are missing
        Equation(back=D(2500), ahead=D(2000)),  # overlap: 2000 to 2500 occur twice
        Equation(back=D(3000), ahead=D(900), direction="decreasing"),
    ))  # fmt: skip
    assert [zone.internal_from for zone in line.zones] == [0, 1000, 2000, 3000]
    assert line.display_to_internal(D(1200)) == []
    assert [(place.internal, place.zone) for place in line.display_to_internal(D(2200))] == [(1700, 2), (2200, 3)]
    assert [place.internal for place in line.display_to_internal(D(2200), zone="3")] == [2200]
    assert [place.internal for place in line.display_to_internal(D(800))] == [800, 3100]
    assert [label.station for label in line.internal_to_display(D(1000))] == [1000, 1500]
    assert line.text(D(2200), StationFormat(2)) == "22+00.00 (3)"
    assert line.internal_to_display(D(5001)) == []


def test_back_and_ahead_choose_the_zone_of_an_overlap():
    line = Stationing(D(0), D(3000), (Equation(back=D(2000), ahead=D(1500)),))
    assert [place.internal for place in line.display_to_internal(D(1800))] == [1800, 2300]
    assert [place.internal for place in line.display_to_internal(D(1800), zone="back")] == [1800]
    assert [place.internal for place in line.display_to_internal(D(1800), zone="ahead")] == [2300]


@given(
    st.lists(st.tuples(st.integers(1, 900), st.integers(-5000, 5000), st.booleans()), max_size=5),
    st.integers(0, 6000),
)
def test_label_and_zone_lead_back_to_the_place(steps, place):
    internal, equations = 0, []
    for step, ahead, increasing in steps:
        internal += step
        direction = "increasing" if increasing else "decreasing"
        equations.append(Equation(ahead=D(ahead), internal=D(internal), direction=direction))
    line = Stationing(D(0), D(6000), tuple(equations))
    labels = line.internal_to_display(D(place))
    assert labels
    for label in labels:
        found = line.display_to_internal(label.station, zone=str(label.zone))
        assert [candidate.internal for candidate in found] == [place]
        assert D(place) in [candidate.internal for candidate in line.display_to_internal(label.station)]


def test_wrong_back_station_is_refused():
    with pytest.raises(StationingError, match="back station is given as 950"):
        Stationing(D(0), D(5000), (Equation(internal=D(1000), back=D(950), ahead=D(0)),))


def test_unequal_kilometres_as_printed():
    case = CASES["Q3"]
    rows = case["rows"]
    equations = tuple(
        Equation(ahead=D(ahead), internal=D(internal), kilometre=km, back=D(back) if back else None)
        for km, internal, ahead, back in rows
    )
    line = Stationing(D("25500"), D("30000"), equations)
    for zone, (_, internal, _, back) in zip(line.zones, rows, strict=False):
        if back:
            assert float(zone.label(D(internal))) == pytest.approx(float(back), abs=case["tolerance"]["m"])
    assert line.unequal_kilometres
    long = line.display_to_internal(D(0), kilometre=25, metres=D("1001.5"))
    assert [place.internal for place in long] == [D("26001.500000")]
    assert line.display_to_internal(D(0), kilometre=26, metres=D("995")) == []  # that kilometre is 993.127 m long
    assert line.text(D("26001.5"), StationFormat(3)) == "25+1001.50"


def test_kilometre_posts_as_printed():
    case = CASES["Q4"]
    internal = [D(row[1]) for row in case["rows"]]
    equations = tuple(Equation(ahead=D(0), internal=place, kilometre=n) for n, place in enumerate(internal))
    line = Stationing(internal[0] - 100, internal[-1] + 500, equations)
    for zone, place, back in zip(line.zones[1:], internal[1:], (row[3] for row in case["rows"][1:]), strict=False):
        assert float(zone.label(place)) == pytest.approx(float(back), abs=case["tolerance"]["m"])


def test_station_labels_of_a_drawing_with_a_station_break():
    case = CASES["P1"]
    start = (case["start_easting_m"], case["start_northing_m"], case["start_direction_rad"])
    line = alignment(
        joined([tuple(segment) for segment in case["segments"]], start=start),
        start_station=D(case["start_station_m"]),
        equations=(Equation(back=D(case["back"]), ahead=D(case["ahead"])),),
    )
    for printed, easting, northing in case["labels"]:
        [place] = line.stationing.display_to_internal(D(printed))
        assert line.point(station_m=float(place.internal)) == pytest.approx(
            (easting, northing), abs=case["tolerance"]["m"]
        )


def test_the_long_kilometre_before_the_first_post_is_not_folded():
    """27+1000.2 and 28+000.2 are different places (1001.8 m between the posts)."""
    line = Stationing(D("27100"), D("30000"), (Equation(back=D("28001.8"), ahead=D(0), kilometre=28),))
    in_format = StationFormat(3)
    assert line.text(D("28000.2"), in_format) == "27+1000.20"
    assert line.text(D("28002"), in_format) == "28+000.20"
    assert line.text(D("27100"), in_format) == "27+100.00"
    for text, place in (("27+1000.2", "28000.2"), ("28+000.2", "28002"), ("27+500", "27500")):
        read = parse_station(text, digits_after_plus=3, unequal_kilometres=True)
        found = line.display_to_internal(read.value, kilometre=read.whole, metres=read.rest)
        assert [one.internal for one in found] == [D(place)]
    assert line.display_to_internal(D("27100"), kilometre=26, metres=D(1100)) == []  # only the last one is long


def test_a_station_rounded_for_print_at_an_equation_is_found():
    line = Stationing(D(0), D(5000), (Equation(internal=D("1234.5661"), ahead=D(1500)),))
    printed = line.text(D("1234.5660"), StationFormat(2))
    assert printed == "12+34.57"
    [place] = line.display_to_internal(parse_station(printed, digits_after_plus=2).value)
    assert (place.internal, place.zone) == (D("1234.5661"), 1)
    assert line.display_to_internal(D("1234.60")) == []
