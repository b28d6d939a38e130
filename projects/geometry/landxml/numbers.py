"""Numbers, points and angles as LandXML files write them."""

import math
import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from projects.geometry.landxml.safe_xml import LandXmlError, Node

Pair = tuple[Decimal, Decimal]
NORTH_EAST, EAST_NORTH = "north-east", "east-north"
_STEP = Decimal("1e-9")
_LARGEST = Decimal("1e11")
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?", re.ASCII)
_STRAIGHT = frozenset({"inf", "+inf", "-inf", "infinity", "1.#inf", "1.#inf00", "\u221e"})


def number(text: str, where: str) -> Decimal:
    """A number such as 12.5, 12., 1.25e3; rounded to 1e-9. Raises `LandXmlError` for NaN, INF, or text."""
    shown = text.strip()
    if len(shown) > 60 or _NUMBER.fullmatch(shown) is None:
        raise LandXmlError(f"{where}: “{shown[:40]}” is not a number.")
    try:
        value = Decimal(shown)
    except InvalidOperation as error:
        raise LandXmlError(f"{where}: “{shown[:40]}” is not a number.") from error
    if abs(value) >= _LARGEST:
        raise LandXmlError(f"{where}: {shown[:40]} is too large for a coordinate or length.")
    return value.quantize(_STEP)


def optional_number(node: Node, name: str, where: str) -> Decimal | None:
    """The number of an attribute; None if it is missing or says NaN."""
    text = node.get(name)
    return None if not text or text.casefold() == "nan" else number(text, f"{where}, {name}")


def radius(node: Node, name: str, where: str) -> Decimal | None:
    """A radius; None where the line is straight there: INF, Infinity, 0 or no figure at all."""
    text = node.get(name)
    if not text or text.casefold() in _STRAIGHT:
        return None
    value = abs(number(text, f"{where}, {name}"))
    return value if value != 0 else None


def point(node: Node | None, where: str, *, order: str, points: Mapping[str, Node]) -> Pair | None:
    """Easting and northing of a point written as "north east [elevation]", or named by `pntRef`. None if missing."""
    if node is None:
        return None
    named = node.get("pntRef")
    text = node.text
    if named and not text:
        target = points.get(named)
        if target is None:
            raise LandXmlError(f"{where}: the point “{named[:40]}” that is referred to is not in the file.")
        text = target.text
    parts = text.replace(",", " ").split()
    if len(parts) not in (2, 3):
        raise LandXmlError(f"{where}: “{text[:60]}” is not a point; north, east and perhaps an elevation are needed.")
    first, second = (number(part, where) for part in parts[:2])
    return (second, first) if order == NORTH_EAST else (first, second)


def angle_rad(text: str, unit: str) -> float | None:
    """An angle in `unit` (radians, grads, decimal degrees, decimal dd.mm.ss, that is DD.MMSS); None if unreadable."""
    if _NUMBER.fullmatch(text.strip()) is None:
        return None
    value = float(text)
    if not math.isfinite(value):
        return None
    if unit == "decimal dd.mm.ss":
        return math.radians(_packed(text.strip()))
    return {"grads": value * math.pi / 200.0, "decimal degrees": math.radians(value)}.get(unit, value)


def _packed(text: str) -> float:
    """45.3025 is 45 degrees 30 minutes 25 seconds."""
    sign = -1.0 if text.startswith("-") else 1.0
    whole, _, fraction = text.lstrip("+-").partition(".")
    digits = (fraction + "0000")[: max(4, len(fraction))]
    seconds = float(f"{digits[2:4]}.{digits[4:] or '0'}")
    return sign * (float(whole or 0) + int(digits[:2]) / 60.0 + seconds / 3600.0)
