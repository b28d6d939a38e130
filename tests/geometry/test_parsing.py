"""What people write for stations and offsets, and what is asked back."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.geometry.coordinate_text import CoordinateTextError, parse_latitude, parse_longitude
from projects.geometry.linear_units import FOOT, METRE, US_SURVEY_FOOT
from projects.geometry.parsing import parse_offset, parse_station
from projects.geometry.place_text import AmbiguousText, NotUnderstood, PlaceTextError

D = Decimal


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12+34.56", "1234.56"),
        ("12+34", "1234"),
        ("12+50", "1250"),
        ("STA. 12 + 34.56", "1234.56"),
        ("Sta 12+34", "1234"),
        ("12+34.56 ±", "1234.56"),
        ("~12+34", "1234"),
        ("1234.56", "1234.56"),
        ("0", "0"),
        ("-0+50", "-50"),
        ("-1+25", "-125"),
        ("\uff11\uff12\uff0b\uff13\uff14\uff0e\uff15\uff16", "1234.56"),  # full width
        ("l2+34", "1234"),
        ("1O+OO", "1000"),
        ("12+34.", "1234"),
        ("100+00", "10000"),
    ],
)
def test_hundreds(text, value):
    assert parse_station(text, digits_after_plus=2).value == D(value)


@pytest.mark.parametrize(
    ("text", "value"),
    [("12+345.6", "12345.6"), ("0+450.725", "450.725"), ("K12+345", "12345"), ("km 12+345", "12345")],
)
def test_thousands(text, value):
    assert parse_station(text, digits_after_plus=3).value == D(value)


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("12+34 BK", "back"),
        ("12+34 back", "back"),
        ("12+34 AH", "ahead"),
        ("12+34 (2)", "2"),
        ("12+34R2", "2"),
        ("a12+34", "ahead"),
        ("A 12+34", "ahead"),
        ('"A"12+34', "ahead"),
        ("12+34", ""),
    ],
)
def test_zones_of_equations(text, zone):
    read = parse_station(text, digits_after_plus=2)
    assert (read.value, read.zone) == (D(1234), zone)


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("Ramp B 5+00", "Ramp B", 500),
        ("Y-line 12+34", "Y-line", 1234),
        ("Detour 2 7+00", "Detour 2", 700),
        ("SB 12+34", "SB", 1234),
        ("main 1234.5", "main", "1234.5"),
    ],
)
def test_alignment_in_front(text, name, value):
    read = parse_station(text, digits_after_plus=2)
    assert (read.alignment, read.value) == (name, D(value))


def test_names_in_use_are_spelt_as_in_use():
    assert parse_station("ramp b 5+00", digits_after_plus=2, alignments=("Ramp B",)).alignment == "Ramp B"


@pytest.mark.parametrize(
    ("text", "digits", "question"),
    [
        ("12+4", 2, "is 12+04 or 12+40 meant?"),
        ("12+4.5", 2, "is 12+04.5 or 12+40.5 meant?"),
        ("12+345.6", 2, "Is it a station by the thousand"),
        ("K12+345", 2, "Is it a station by the thousand"),
        ("12+34.56", 3, "is 12+034.56 or 12+340.56 meant?"),
        ("12+34,56", 2, "is the comma a decimal point?"),
        ("12+.5", 2, r"Is 12\+00.5 meant\?"),
        ("12+00 to 14+50", 2, "Which single station is meant?"),
        ("12+00-14+50", 2, "Which single station is meant?"),
        ("12.3456", 2, "decimal stations"),
        ("12.34", 2, "decimal stations"),
        (".5", 2, "decimal stations"),
        ("50", 2, "decimal stations"),
        ("Y-line", 2, "Which station?"),
        ("Detour 2", 2, "Which station?"),
        ("EOP+3", 2, "At which station is it?"),
        ("12+34 R2", 2, "an offset to the right or the zone"),
        ("SB-12+34", 2, "is the dash a minus or part of the name?"),
        ("A12+34 (3)", 2, "names two zones"),
    ],
)
def test_ambiguous_stations_get_a_question(text, digits, question):
    with pytest.raises(AmbiguousText, match=question.replace("+", r"\+") if "\\" not in question else question):
        parse_station(text, digits_after_plus=digits)


def test_letter_that_is_also_a_line_gets_a_question():
    with pytest.raises(AmbiguousText, match="the line A, or the mark of a station ahead"):
        parse_station("A 12+34", digits_after_plus=2, alignments=("A", "B"))


@pytest.mark.parametrize(
    "text", ["", "   ", "12+", "12++34", "½+00", "12+34½", "x" * 200, "12\x0034", "2' inside curb", "12+34;DROP"]
)
def test_stations_that_are_none(text):
    with pytest.raises(PlaceTextError):
        parse_offset(parse_station(text, digits_after_plus=2).offset_text, FOOT)


def test_offset_behind_the_station_is_kept():
    assert parse_station("12+34.56 LT 15", digits_after_plus=2).offset_text == "LT 15"
    assert parse_station("12+34.56, 15' R", digits_after_plus=2).offset_text == "15' R"
    assert parse_station("12+34 AH 15 L", digits_after_plus=2).zone == "ahead"


def test_long_kilometres_only_where_they_exist():
    assert parse_station("27+1000.2", digits_after_plus=3, unequal_kilometres=True).rest == D("1000.2")
    with pytest.raises(AmbiguousText):
        parse_station("27+1000.2", digits_after_plus=3)


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("15 L", -15),
        ("15' L", -15),
        ("L15", -15),
        ("15L", -15),
        ("LT 15", -15),
        ("15 LT of CL", -15),
        ("15 left", -15),
        ("-15", -15),
        ("-15 L", -15),
        ("15 RT", 15),
        ("15 rt.", 15),
        ("+15", 15),
        ("15.25 ft R", "15.25"),
        (".5 R", "0.5"),
        ("15'-6\" L", "-15.5"),
        ("1O L", -10),
        ("C/L", 0),
        ("CL", 0),
        ("on line", 0),
        ("0", 0),
        ("0.00", 0),
        ("0 L", 0),
    ],
)
def test_offsets_in_feet(text, feet):
    assert parse_offset(text, FOOT) == D(feet) * D("0.3048")


def test_units_of_offsets():
    assert parse_offset("15 L", METRE) == D(-15)
    assert parse_offset("15 ft L", METRE) == D("-4.572")
    assert parse_offset("4.5 m R", FOOT) == D("4.5")
    assert parse_offset("15' R", US_SURVEY_FOOT) == 15 * US_SURVEY_FOOT.metres


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("15", "left or right"),
        (".5", "left or right"),
        ("15 ft", "left or right"),
        ("-15 R", "both left and right"),
        ("L 15 R", "both left and right"),
        ("l15", "small l"),
        ("15l", "small l"),
        ("2' inside curb", "measured from a feature"),
        ("EOP+3", "measured from a feature"),
        ("15 L of PGL", "measured from a feature"),
        ('15 6" L', "how many feet and inches"),
    ],
)
def test_ambiguous_offsets_get_a_question(text, question):
    with pytest.raises(AmbiguousText, match=question):
        parse_offset(text, FOOT)


@pytest.mark.parametrize("text", ["L", "left", "15 X", "1e3 L", "15 L 3", "--15", "15..2 L"])
def test_offsets_that_are_none(text):
    with pytest.raises(NotUnderstood, match="not an offset"):
        parse_offset(text, FOOT)


@given(st.text(max_size=90))
def test_any_text_is_read_or_refused_by_name(text):
    for read in (
        lambda: parse_station(text, digits_after_plus=2),
        lambda: parse_station(text, digits_after_plus=3, unequal_kilometres=True),
        lambda: parse_offset(text, FOOT),
    ):
        try:
            read()
        except PlaceTextError as error:
            assert str(error).endswith((".", "?", "L."))  # noqa: PT017 - the sentence is part of the answer


@pytest.mark.parametrize(
    ("text", "value"),
    [("41.123456", "41.123456"), ("-33.5", "-33.5"), ("33.5 S", "-33.5"), ("41.5N", "41.5"), ("0", "0")],
)
def test_latitudes(text, value):
    assert parse_latitude(text) == D(value)


@pytest.mark.parametrize(
    "text", ["N 41 30 15 W 81 0 0", "41.5N -81.0W", "-81.0, 41.5", "91", "41,5", "1e1", "nan", "-41 S", "81 W", ""]
)
def test_what_is_no_latitude(text):
    with pytest.raises(CoordinateTextError):
        parse_latitude(text)


def test_longitudes():
    assert parse_longitude("81.5 W") == D("-81.5")
    with pytest.raises(CoordinateTextError, match="outside -180 to 180"):
        parse_longitude("181")
