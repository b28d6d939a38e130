"""Figures of an example as text with their unit, and the one rule by which a print counts as met."""

import math
import re
from decimal import Decimal

from compaction.calculations.errors import ReadingError
from compaction.calculations.quantities import UNITS, from_si, parse_number, parse_quantity, quantise
from compaction.calculations.rounding import plain_number

#: ends of the names of ratios, which are written without a unit
_RATIOS = ("specific_gravity", "void_ratio", "spine.intercept", "spine.slope")
_DEGREES = re.compile(r"(-?)(\d{1,3})d(\d{1,2})m(\d{1,2}(?:\.\d+)?)s")


class BrokenExample(ValueError):
    """An example that cannot be worked. The sentence says which key, what is the matter, and what would do."""

    def __init__(self, key: str, what: str, remedy: str) -> None:
        super().__init__(f"`{key}`: {what} {remedy}")
        self.key = key


def si(text: object, key: str) -> Decimal:
    """A figure such as "6842 g" in the unit used inside (kg, m, kg/m3 ...). A unit is missing only from ratios."""
    if isinstance(text, str) and " " not in text and not key.endswith(_RATIOS):
        raise BrokenExample(key, f"{text!r} has no unit.", 'Write number, blank and unit, as "6842 g".')
    return stated_si(text, key)


def stated_si(text: object, key: str) -> Decimal:
    """The same for a figure that is compared: in statistics and coefficients it may have no unit."""
    if not isinstance(text, str):
        raise BrokenExample(key, f"{text!r} is not text.", 'Write the figure in quotes with its unit, as "6842 g".')
    number, blank, unit = text.partition(" ")
    kind = next((kind for kind, units in UNITS.items() if unit in units), None)
    try:
        if not blank:
            return parse_number(number)
        if kind is None:
            known = ", ".join(unit for units in UNITS.values() for unit in units)
            raise BrokenExample(key, f"the unit {unit!r} is not known.", f"Use one of {known}.")
        return parse_quantity(text, kind)
    except ReadingError as error:
        raise BrokenExample(key, error.sentence, "Correct the figure.") from error


def degrees(value: object, key: str) -> float:
    """An angle as degrees: a number, or degrees, minutes and seconds as "45d49m45.0s"."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    found = _DEGREES.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise BrokenExample(key, f"{value!r} is no angle.", 'Write a number of degrees, or "45d49m45.0s".')
    size = int(found[2]) + int(found[3]) / 60 + float(found[4]) / 3600
    return -size if found[1] else size


def half_digit(text: str) -> Decimal:
    """Half a unit of the last digit of a figure as written, in its own unit. `si` says whether the text is a figure."""
    exponent = Decimal(text.partition(" ")[0]).as_tuple().exponent
    assert isinstance(exponent, int)
    return Decimal(1).scaleb(exponent) / 2


def met(text: str, worked_si: Decimal, within: str = "", *, key: str = "printed") -> bool:
    """Whether a worked figure rounds to the text (a tie either way), or lies within a stated tolerance of it."""
    if within:
        return abs(worked_si - stated_si(text, key)) <= stated_si(within, f"within.{key}")
    stated_si(text, key)
    number, _, unit = text.partition(" ")
    worked = quantise(from_si(worked_si, unit) if unit else worked_si)
    return abs(worked - Decimal(number)) <= half_digit(text)


def shown(worked_si: Decimal, like: str) -> str:
    """A worked figure in the unit of a text, with three digits more than it."""
    number, _, unit = like.partition(" ")
    worked = quantise(from_si(worked_si, unit) if unit else worked_si)
    exponent = Decimal(number).as_tuple().exponent
    digits = max(0, -exponent if isinstance(exponent, int) else 0) + 3
    return f"{plain_number(worked, decimals=digits)} {unit}".strip()


def shown_number(value: float, tolerance: float) -> str:
    """A worked number of geometry with one digit below its tolerance."""
    digits = 9 if tolerance <= 0 else max(0, min(12, 1 - math.floor(math.log10(tolerance))))
    return f"{value:.{digits}f}"
