"""Strict reading of latitude and longitude in decimal degrees. Free text is refused, not interpreted."""

import re
from decimal import Decimal

_DEGREES = re.compile(r"(?P<sign>-?)(?P<number>[0-9]{1,3}(?:\.[0-9]{1,12})?)(?: ?(?P<letter>[NSEW]))?", re.ASCII)


class CoordinateTextError(ValueError):
    """The text is not a latitude or longitude in decimal degrees within its range."""


def parse_latitude(text: str) -> Decimal:
    """Latitude in degrees, north positive: 41.123456, -33.5, 41.123456 N. Raises `CoordinateTextError`."""
    return _degrees(text, "latitude", 90, "N", "S")


def parse_longitude(text: str) -> Decimal:
    """Longitude in degrees, east positive: -81.123456, 81.123456 W. Raises `CoordinateTextError`."""
    return _degrees(text, "longitude", 180, "E", "W")


def _degrees(text: str, name: str, limit: int, positive: str, negative: str) -> Decimal:
    match = _DEGREES.fullmatch(text.strip(" "))
    if match is None or (match["letter"] and match["letter"] not in (positive, negative)):
        raise CoordinateTextError(
            f"“{text[:40]}” is not a {name} in decimal degrees. Write it as 41.123456 with a minus for "
            f"{'south' if negative == 'S' else 'west'}, or with {positive} or {negative} behind it."
        )
    if match["sign"] and match["letter"]:
        raise CoordinateTextError(f"“{text}” has both a minus and a letter. Use one of them.")
    degrees = Decimal(match["number"])
    if degrees > limit:
        raise CoordinateTextError(f"A {name} of {degrees} degrees is outside -{limit} to {limit}.")
    return -degrees if match["sign"] or match["letter"] == negative else degrees
