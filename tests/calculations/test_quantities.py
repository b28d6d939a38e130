"""Quantities as written: what is read, what is refused, and that a unit never changes a value."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations.errors import ReadingError
from compaction.calculations.quantities import (
    SI_UNITS,
    UNITS,
    from_si,
    parse_count,
    parse_number,
    parse_quantity,
    quantise,
    to_si,
)

UNIT_NAMES = [unit for units in UNITS.values() for unit in units]
READABLE = st.decimals(min_value=-9_999_999, max_value=9_999_999, places=6)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("1 lb", "mass", "0.453592370"),
        ("1 ft", "length", "0.304800000"),
        ("3937 ftUS", "length", "1200.000000000"),
        ("1 ft3", "volume", "0.028316847"),
        ("62.428 pcf", "density", "1000.000631510"),
        ("9.80665 kN/m3", "density", "1000.000000000"),
        ("212 degF", "temperature", "100.000000000"),
        ("-40 degF", "temperature", "-40.000000000"),
        ("0.25 min", "time", "15.000000000"),
        ("-0 g", "mass", "0.000000000"),
    ],
)
def test_exact_factors(text: str, kind: str, expected: str) -> None:
    assert quantise(parse_quantity(text, kind)) == Decimal(expected)


@pytest.mark.parametrize(
    "written",
    ["1e2 g", " 12 g", "+5 g", "007 g", "٣ g", "NaN g", "Infinity g", "12", "12 ", "12  g", "12 g ", "12g", "12\tg",
     "12345678 g", "1.1234567 g", ".5 g", "5. g", "1,5 g", "12 g\n", "12 G", "12 stone", "", "g", "--1 g", True, None,
     12, 12.5, ["12 g"], {"value": "12 g"}, "12 g\x00", "1_0 g", "12 pcf"],
)  # fmt: skip
def test_anything_else_is_refused_with_a_sentence_that_shows_how(written: object) -> None:
    with pytest.raises(ReadingError) as raised:
        parse_quantity(written, "mass", "/mass_before")
    assert raised.value.pointer == "/mass_before"
    assert "6842 g" in raised.value.sentence
    assert raised.value.sentence.isprintable()


@pytest.mark.parametrize("written", ["2.62 ", "2,62", "1e1", "+1", "", "２.62", None, 2.62, True, "NaN"])
def test_a_plain_number_is_as_strict(written: object) -> None:
    with pytest.raises(ReadingError, match=r"2\.62"):
        parse_number(written)


@pytest.mark.parametrize("written", [True, -1, 10_000_000, 2.0, "2.0", "-1", "01", "", None, "1e3"])
def test_a_count_is_a_whole_number(written: object) -> None:
    with pytest.raises(ReadingError) as raised:
        parse_count(written, "/density_count")
    assert raised.value.code == "not-a-count"


@given(READABLE, st.sampled_from(UNIT_NAMES))
def test_into_the_inside_and_back_gives_the_same_value(value: Decimal, unit: str) -> None:
    assert quantise(from_si(to_si(value, unit), unit)) == quantise(value)


@given(st.text() | st.binary() | st.integers() | st.floats() | st.none(), st.sampled_from(sorted(UNITS)))
def test_whatever_is_written_is_read_or_refused_by_name(written: object, kind: str) -> None:
    try:
        value = parse_quantity(written, kind)
    except ReadingError as refused:
        code = refused.code
    else:
        code = "read" if value.is_finite() else "not finite"
    assert code in {"read", "not-a-quantity", "not-a-number", "unit-missing", "unit-unknown"}


def test_each_kind_has_one_unit_inside_whose_factor_is_one() -> None:
    assert SI_UNITS.keys() == UNITS.keys()
    assert all(UNITS[kind][unit] == 1 for kind, unit in SI_UNITS.items())
    assert len(UNIT_NAMES) == len(set(UNIT_NAMES)), "a unit name must mean one thing"


@given(st.integers(min_value=0, max_value=2000), st.sampled_from(["pcf", "kg/m3", "g/cm3", "kN/m3"]))
def test_a_tie_stays_a_tie_through_any_unit(tenths: int, unit: str) -> None:
    tie = Decimal(tenths) / 10 + Decimal("0.05")
    assert quantise(from_si(to_si(tie, unit), unit)) == tie
