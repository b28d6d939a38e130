"""Plan given element by element: lines and arcs by coordinates, clothoids by length and radii."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np

from projects.geometry.elements import Element
from projects.geometry.plain_content import (
    as_list,
    as_object,
    as_pair,
    optional_decimal,
    plain_decimal,
    plain_optional,
)
from projects.geometry.plan_points import PlanError, PlanUnits

Pair = tuple[Decimal, Decimal]
_KEYS = frozenset(
    {"kind", "start", "end", "centre", "radius", "turn", "large", "length", "radius_start", "radius_end",
     "azimuth_deg", "law"}
)  # fmt: skip
# A centre whose distances to both ends differ by more than this (m) is a typing error, not rounding.
_CENTRE_TOLERANCE_M = 0.05


@dataclass(frozen=True)
class ElementEntry:
    """One element as given. Which fields are needed depends on `kind`; see `ElementTable`."""

    kind: str  # line | arc | spiral
    start: Pair
    end: Pair | None = None
    centre: Pair | None = None
    radius: Decimal | None = None
    turn: str = ""  # left | right
    large: bool = False  # the arc longer than half a circle
    length: Decimal | None = None
    radius_start: Decimal | None = None  # None: straight
    radius_end: Decimal | None = None
    azimuth_deg: Decimal | None = None  # at the start, clockwise from grid north


@dataclass(frozen=True)
class ElementTable:
    """Elements in order.

    line: start, end. arc: start, end, turn and radius or centre (`large` for more than half a circle).
    spiral (clothoid only): start, length, turn, radius_start and/or radius_end; its direction comes from
    `end` if given, else `azimuth_deg`, else the element before. Directions are computed from
    coordinates where these exist, because written directions follow several conventions.
    """

    entries: tuple[ElementEntry, ...]

    @classmethod
    def from_plain(cls, content: Mapping[str, Any]) -> "ElementTable":
        """From stored content: `elements`, a list of objects. Raises `ContentError` or `PlanError`."""
        entries = []
        for number, row in enumerate(as_list(content.get("elements"), "elements")):
            where = f"elements[{number}]."
            as_object(row, f"elements[{number}]", _KEYS)
            law = row.get("law", "clothoid")
            if law != "clothoid":
                raise PlanError(
                    f"Element {number + 1} is a spiral of the kind “{law}”, which is not supported: read as a clothoid "
                    "it would miss its end. Only clothoids are."
                )
            entries.append(
                ElementEntry(
                    kind=str(row.get("kind")),
                    start=as_pair(row.get("start"), f"{where}start"),
                    end=None if row.get("end") is None else as_pair(row["end"], f"{where}end"),
                    centre=None if row.get("centre") is None else as_pair(row["centre"], f"{where}centre"),
                    turn=str(row.get("turn") or ""),
                    large=row.get("large") is True,
                    radius=optional_decimal(row, "radius", where),
                    length=optional_decimal(row, "length", where),
                    radius_start=optional_decimal(row, "radius_start", where),
                    radius_end=optional_decimal(row, "radius_end", where),
                    azimuth_deg=optional_decimal(row, "azimuth_deg", where),
                )
            )
        return cls(tuple(entries))

    def to_plain(self) -> dict[str, Any]:
        """Stored content; decimals as strings, fields that are not used are left out."""
        return {"kind": "elements", "elements": [_plain_entry(entry) for entry in self.entries]}

    def elements(self, units: PlanUnits) -> tuple[Element, ...]:
        """The elements in metres. Raises `PlanError` with the number of the element that cannot be built."""
        if not self.entries:
            raise PlanError("An alignment needs at least one element.")
        built: list[Element] = []
        for number, entry in enumerate(self.entries, start=1):
            try:
                built.append(_element(entry, units, built[-1] if built else None))
            except ValueError as error:
                raise PlanError(f"Element {number} ({entry.kind}): {error}") from error
        return tuple(built)


def _plain_entry(entry: ElementEntry) -> dict[str, Any]:
    plain: dict[str, Any] = {"kind": entry.kind}
    for name in ("start", "end", "centre"):
        pair = getattr(entry, name)
        if pair is not None:
            plain[name] = [plain_decimal(pair[0]), plain_decimal(pair[1])]
    for name in ("radius", "length", "radius_start", "radius_end", "azimuth_deg"):
        if getattr(entry, name) is not None:
            plain[name] = plain_optional(getattr(entry, name))
    if entry.turn:
        plain["turn"] = entry.turn
    if entry.large:
        plain["large"] = True
    return plain


def _element(entry: ElementEntry, units: PlanUnits, before: Element | None) -> Element:
    if entry.kind == "line":
        return _line(entry, units)
    if entry.kind not in ("arc", "spiral"):
        raise PlanError("only line, arc and spiral are known.")
    if entry.turn not in ("left", "right"):
        raise PlanError("does it turn left or right? Say which.")
    return _arc(entry, units) if entry.kind == "arc" else _spiral(entry, units, before)


def _chord(entry: ElementEntry, units: PlanUnits) -> tuple[float, float, float, float]:
    if entry.end is None:
        raise PlanError("the end point is missing.")
    start, end = units.point_m(entry.start), units.point_m(entry.end)
    east, north = end[0] - start[0], end[1] - start[1]
    return *start, math.atan2(north, east), math.hypot(east, north)


def _line(entry: ElementEntry, units: PlanUnits) -> Element:
    easting, northing, direction, length = _chord(entry, units)
    return Element(easting, northing, direction, 0.0, 0.0, length)


def _arc(entry: ElementEntry, units: PlanUnits) -> Element:
    easting, northing, chord_direction, chord = _chord(entry, units)
    sign = 1.0 if entry.turn == "left" else -1.0
    if entry.centre is not None:
        centre, end = units.point_m(entry.centre), units.point_m(entry.end or entry.start)
        radius = math.hypot(easting - centre[0], northing - centre[1])
        other = math.hypot(end[0] - centre[0], end[1] - centre[1])
        if abs(radius - other) > _CENTRE_TOLERANCE_M:
            raise PlanError(f"the centre is {radius:.3f} m from the start but {other:.3f} m from the end.")
        from_angle = math.atan2(northing - centre[1], easting - centre[0])
        to_angle = math.atan2(end[1] - centre[1], end[0] - centre[0])
        turn = sign * (to_angle - from_angle) % (2.0 * math.pi)
        return Element(easting, northing, from_angle + sign * math.pi / 2, sign / radius, sign / radius, radius * turn)
    if entry.radius is None or entry.radius <= 0:
        raise PlanError("a radius greater than zero or a centre is needed.")
    radius = float(units.length.to_metres(entry.radius))
    if chord > 2.0 * radius * (1.0 + 1e-9):
        raise PlanError(f"the ends are {chord:.3f} m apart, more than twice the radius of {radius:.3f} m.")
    half = math.asin(min(1.0, chord / (2.0 * radius)))
    if entry.large:
        half = math.pi - half
    return Element(easting, northing, chord_direction - sign * half, sign / radius, sign / radius, 2.0 * radius * half)


def _spiral(entry: ElementEntry, units: PlanUnits, before: Element | None) -> Element:
    if entry.length is None or entry.length <= 0:
        raise PlanError("a length greater than zero is needed.")
    radii = (entry.radius_start, entry.radius_end)
    if radii == (None, None) or any(radius is not None and radius <= 0 for radius in radii):
        raise PlanError("a radius greater than zero is needed at one end at least; leave out the other if straight.")
    sign = 1.0 if entry.turn == "left" else -1.0
    k0, k1 = (0.0 if radius is None else sign / float(units.length.to_metres(radius)) for radius in radii)
    length = float(units.length.to_metres(entry.length))
    easting, northing = units.point_m(entry.start)
    if entry.end is not None:
        along, across = Element(0.0, 0.0, 0.0, k0, k1, length).displacement(np.asarray(length))
        direction = _chord(entry, units)[2] - math.atan2(float(across), float(along))
    elif entry.azimuth_deg is not None:
        direction = math.pi / 2.0 - math.radians(float(entry.azimuth_deg))
    elif before is not None:
        direction = before.end_direction_rad
    else:
        raise PlanError("the direction at the start is missing: give the end point or the azimuth.")
    return Element(easting, northing, direction, k0, k1, length)
