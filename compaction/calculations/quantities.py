"""Quantities as written, with their unit, and the exact factors that bring them to kg, m, kg/m3, s, deg C and percent.

Factors: the pound of 0.45359237 kg and the foot of 0.3048 m are exact by definition (International yard
and pound agreement, 1959); the US survey foot is 1200/3937 m exactly (NIST SP 811, appendix B.6); standard gravity is
9.80665 m/s2 exactly (3rd CGPM, 1901). All from memory; they are definitions, not measurements.
"""

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Context, Decimal, InvalidOperation
from types import MappingProxyType
from typing import Final

from compaction.calculations.errors import ReadingError

POUND_KG: Final = Decimal("0.45359237")
FOOT_M: Final = Decimal("0.3048")
INCH_M: Final = Decimal("0.0254")
STANDARD_GRAVITY_MS2: Final = Decimal("9.80665")

_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,6})(\.[0-9]{1,6})?", re.ASCII)
# Wide enough for any quotient of two readable numbers with nine decimals behind the point.
_WIDE: Final = Context(prec=60, rounding=ROUND_HALF_EVEN)
_NINE: Final = Decimal("1e-9")
_ZERO: Final = Decimal(0)
_NOUGHT: Final = Decimal("0E-9")
# Bound once: it is the most frequent call of an evaluation.
_to_nine_decimals: Final = Context(prec=28, rounding=ROUND_HALF_EVEN).quantize

_TABLE: dict[str, dict[str, Decimal]] = {
    "mass": {"kg": Decimal(1), "g": Decimal("0.001"), "lb": POUND_KG, "oz": POUND_KG / 16, "t": Decimal(1000)},
    "volume": {
        "m3": Decimal(1),
        "cm3": Decimal("1e-6"),
        "mL": Decimal("1e-6"),
        "L": Decimal("0.001"),
        "ft3": FOOT_M**3,
        "in3": INCH_M**3,
        "yd3": (3 * FOOT_M) ** 3,
    },
    "density": {
        "kg/m3": Decimal(1),
        "g/cm3": Decimal(1000),
        "Mg/m3": Decimal(1000),
        "t/m3": Decimal(1000),
        "pcf": POUND_KG / FOOT_M**3,
        "lb/ft3": POUND_KG / FOOT_M**3,
        # A unit weight: force per volume, brought to a density with standard gravity and no other.
        "kN/m3": 1000 / STANDARD_GRAVITY_MS2,
    },
    "length": {
        "m": Decimal(1),
        "cm": Decimal("0.01"),
        "mm": Decimal("0.001"),
        "km": Decimal(1000),
        "ft": FOOT_M,
        "in": INCH_M,
        "ftUS": Decimal(1200) / Decimal(3937),
    },
    "area": {
        "m2": Decimal(1),
        "ft2": FOOT_M**2,
        "yd2": (3 * FOOT_M) ** 2,
        "acre": 43_560 * FOOT_M**2,  # of the international foot; the survey acre is 4 parts in a million larger
        "ha": Decimal(10_000),
    },
    "percent": {"%": Decimal(1)},
    "time": {"s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)},
    "temperature": {"degC": Decimal(1), "degF": Decimal(5) / Decimal(9)},
}
_ZERO_POINT: dict[str, Decimal] = {"degF": Decimal(32)}

#: kind -> unit as written -> factor to the unit used inside. Temperatures also shift; use `to_si`.
UNITS: Final[Mapping[str, Mapping[str, Decimal]]] = MappingProxyType(
    {kind: MappingProxyType(units) for kind, units in _TABLE.items()}
)
SI_UNITS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "mass": "kg",
        "volume": "m3",
        "density": "kg/m3",
        "length": "m",
        "area": "m2",
        "percent": "%",
        "time": "s",
        "temperature": "degC",
    }
)
_EXAMPLES: Final = {
    "mass": "6842 g",
    "volume": "944 cm3",
    "density": "118.0 pcf",
    "length": "25 mm",
    "area": "500 m2",
    "percent": "12.4 %",
    "time": "1 min",
    "temperature": "21.5 degC",
}
_FACTORS: Final = {unit: factor for units in _TABLE.values() for unit, factor in units.items()}


def _shown(text: object) -> str:
    """What was sent, short and printable, for an error sentence."""
    return ascii(text if len(ascii(text)) <= 60 else f"{str(text)[:40]}...")


def parse_number(text: object, pointer: str = "") -> Decimal:
    """A plain decimal number written as a string, as for a specific gravity or a ratio (no unit).

    Validity: up to seven digits before and six after the point, ASCII, no exponent, no sign but "-", no blanks,
    no leading zeros. Raises `ReadingError` otherwise. Source: common practice (no source); the form keeps one
    spelling for one number.

    >>> parse_number("2.62")
    Decimal('2.62')
    """
    if not isinstance(text, str):
        raise ReadingError(
            pointer, "not-text", f"{_shown(text)} is not text; write the number in quotes, for example '2.62'."
        )
    if _NUMBER.fullmatch(text) is None:
        raise ReadingError(
            pointer,
            "not-a-number",
            f"{_shown(text)} is not a plain decimal number; write digits with a point, for example '2.62' "
            "(no exponent, no '+', no blanks, no leading zeros, at most seven digits before and six after the point).",
        )
    return Decimal(text) + 0  # "-0" is read as 0


def parse_count(value: object, pointer: str = "") -> int:
    """A count of whole things (gauge counts, blows): a JSON integer or the same written as text.

    Validity: 0 to 9,999,999. Raises `ReadingError`. Source: common practice (no source).

    >>> parse_count(2874), parse_count("660")
    (2874, 660)
    """
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise ReadingError(pointer, "not-a-count", f"{_shown(value)} is not a whole number; write for example 2874.")
    if isinstance(value, str):
        if re.fullmatch(r"0|[1-9][0-9]{0,6}", value, re.ASCII) is None:
            raise ReadingError(
                pointer, "not-a-count", f"{_shown(value)} is not a whole number; write for example 2874."
            )
        return int(value)
    if not 0 <= value <= 9_999_999:
        raise ReadingError(pointer, "not-a-count", "A count must lie between 0 and 9999999.")
    return value


def parse_quantity(text: object, kind: str, pointer: str = "") -> Decimal:
    """A quantity written as "<number> <unit>", in the unit used inside (kg, m3, m, kg/m3, %, s, deg C).

    `kind` is a key of `UNITS`. A missing unit is an error, never a default. "kN/m3" is a unit weight and is
    divided by standard gravity, 9.80665 m/s2. Raises `ReadingError`. Source of the factors: NIST SP 811,
    appendix B (from memory).

    >>> parse_quantity("6842 g", "mass")
    Decimal('6.842')
    >>> quantise(parse_quantity("118.0 pcf", "density"))
    Decimal('1890.178678127')
    """
    units = UNITS[kind]
    example = _EXAMPLES[kind]
    if not isinstance(text, str):
        raise ReadingError(
            pointer,
            "not-a-quantity",
            f"{_shown(text)} has no unit; write number and unit in quotes, for example '{example}'.",
        )
    number, blank, unit = text.partition(" ")
    if _NUMBER.fullmatch(number) is None:
        raise ReadingError(
            pointer,
            "not-a-number",
            f"{_shown(text)} does not begin with a plain decimal number; write for example '{example}' "
            "(no exponent, no '+', no leading zeros, one blank before the unit).",
        )
    if not blank or not unit:
        raise ReadingError(
            pointer, "unit-missing", f"{_shown(text)} has no unit; write number, blank, unit, for example '{example}'."
        )
    if unit not in units:
        raise ReadingError(
            pointer,
            "unit-unknown",
            f"{_shown(unit)} is not a unit of {kind}; use one of {', '.join(units)}, for example '{example}'.",
        )
    return to_si(Decimal(number) + 0, unit)


def to_si(value: Decimal, unit: str) -> Decimal:
    """A value in `unit` brought to the unit used inside. Source: NIST SP 811, appendix B (from memory).

    Raises `KeyError` for a unit outside `UNITS`: units of readings are checked where they are read.

    >>> to_si(Decimal("10"), "ft")
    Decimal('3.0480')
    >>> quantise(to_si(Decimal("82"), "degF"))
    Decimal('27.777777778')
    """
    if unit in _ZERO_POINT:
        value = value - _ZERO_POINT[unit]
    return value * _FACTORS[unit]


def from_si(value: Decimal, unit: str) -> Decimal:
    """A value used inside, in `unit`: the inverse of `to_si`. Raises `KeyError` for a unit outside `UNITS`.

    Source: NIST SP 811, appendix B (from memory).

    >>> quantise(from_si(to_si(Decimal("118.0"), "pcf"), "pcf"))
    Decimal('118.000000000')
    """
    value = value / _FACTORS[unit]
    return value + _ZERO_POINT[unit] if unit in _ZERO_POINT else value


def quantise(value: Decimal) -> Decimal:
    """A value with nine decimals (half to even), so that a change of unit cannot move a tie of a rounding rule.

    Validity: up to 28 digits in all. Source: common practice (no source); nine decimals lie far below any reading and
    far above the error of 28 digits.

    >>> quantise(Decimal("94.4999999999999"))
    Decimal('94.500000000')
    """
    try:
        return _to_nine_decimals(value, _NINE) or _NOUGHT  # minus zero is zero
    except InvalidOperation:  # more than 19 digits before the point: a slip, but a number
        return _WIDE.quantize(value, _NINE) + _ZERO


def quantise_all(values: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Figures by name, each with nine decimals as `quantise` gives it, sorted by name.

    Validity: up to 28 digits in all, any unit. Source: common practice (no source), see `quantise`.

    >>> quantise_all({"b": Decimal(2), "a": Decimal("94.4999999999999")})
    {'a': Decimal('94.500000000'), 'b': Decimal('2.000000000')}
    """
    try:
        return {name: _to_nine_decimals(values[name], _NINE) or _NOUGHT for name in sorted(values)}
    except InvalidOperation:
        return {name: quantise(values[name]) for name in sorted(values)}
