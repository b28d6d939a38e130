"""Plans made of points: a baseline of straight legs, and a table of points of intersection (PI)."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.curves import CurveError, FullSpiral, SpiralCurve, radius_m
from projects.geometry.elements import Element
from projects.geometry.ground_scale import GroundScale
from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import (
    as_list,
    as_object,
    as_pair,
    optional_decimal,
    plain_decimal,
    plain_optional,
)

SHORTEST_ELEMENT_M = 1e-6
_PI_KEYS = frozenset({"point", "radius", "degree_deg", "degree_definition", "spiral_in_length", "spiral_out_length"})


class PlanError(ValueError):
    """The plan geometry cannot be built; the sentence says where and why."""


@dataclass(frozen=True)
class PlanUnits:
    """Unit of lengths and radii, and unit of the coordinates (the map grid's own)."""

    length: LinearUnit
    coordinate: LinearUnit
    scale: GroundScale | None = None

    def point_m(self, point: tuple[Decimal, Decimal]) -> tuple[float, float]:
        """Easting and northing in metres: of the grid, or ground metres where stations are ground lengths."""
        easting, northing = float(self.coordinate.to_metres(point[0])), float(self.coordinate.to_metres(point[1]))
        return (easting, northing) if self.scale is None else self.scale.of_definition(easting, northing)


@dataclass(frozen=True)
class Baseline:
    """Two or more points joined by straight legs; corners stay corners. For pads, ponds, dikes and walls."""

    points: tuple[tuple[Decimal, Decimal], ...]

    @classmethod
    def from_plain(cls, content: Mapping[str, Any]) -> "Baseline":
        """From stored content: `points`, a list of [easting, northing]."""
        pairs = as_list(content.get("points"), "points")
        return cls(tuple(as_pair(pair, f"points[{number}]") for number, pair in enumerate(pairs)))

    def to_plain(self) -> dict[str, Any]:
        """Stored content; decimals as strings."""
        return {"kind": "baseline", "points": [[plain_decimal(e), plain_decimal(n)] for e, n in self.points]}

    def elements(self, units: PlanUnits) -> tuple[Element, ...]:
        """The legs as elements. Raises `PlanError` for fewer than two points or a point given twice running."""
        vertices = PiTable(tuple(PointOfIntersection(point) for point in self.points))
        return vertices.elements(units)


@dataclass(frozen=True)
class PointOfIntersection:
    """A PI as a plan sheet lists it: coordinates, radius or degree of curve, spiral lengths."""

    point: tuple[Decimal, Decimal]
    radius: Decimal | None = None
    degree_deg: Decimal | None = None
    degree_definition: str = ""  # arc | chord; needed with degree_deg
    spiral_in_length: Decimal = Decimal(0)
    spiral_out_length: Decimal = Decimal(0)

    @property
    def has_curve(self) -> bool:
        """Whether a curve is given; without one the tangents meet in a corner."""
        return self.radius is not None or self.degree_deg is not None


@dataclass(frozen=True)
class PiTable:
    """Points of intersection in order; the first and the last are the ends. Stations run along the arcs."""

    rows: tuple[PointOfIntersection, ...]

    @classmethod
    def from_plain(cls, content: Mapping[str, Any]) -> "PiTable":
        """From stored content: `pis`, a list of objects with `point` and, inside, the curve."""
        rows = []
        for number, row in enumerate(as_list(content.get("pis"), "pis")):
            where = f"pis[{number}]."
            as_object(row, f"pis[{number}]", _PI_KEYS)
            rows.append(
                PointOfIntersection(
                    point=as_pair(row.get("point"), f"{where}point"),
                    radius=optional_decimal(row, "radius", where),
                    degree_deg=optional_decimal(row, "degree_deg", where),
                    degree_definition=str(row.get("degree_definition") or ""),
                    spiral_in_length=optional_decimal(row, "spiral_in_length", where) or Decimal(0),
                    spiral_out_length=optional_decimal(row, "spiral_out_length", where) or Decimal(0),
                )
            )
        return cls(tuple(rows))

    def to_plain(self) -> dict[str, Any]:
        """Stored content; decimals as strings."""
        return {
            "kind": "pi_table",
            "pis": [
                {
                    "point": [plain_decimal(row.point[0]), plain_decimal(row.point[1])],
                    "radius": plain_optional(row.radius),
                    "degree_deg": plain_optional(row.degree_deg),
                    "degree_definition": row.degree_definition,
                    "spiral_in_length": plain_decimal(row.spiral_in_length),
                    "spiral_out_length": plain_decimal(row.spiral_out_length),
                }
                for row in self.rows
            ],
        }

    def elements(self, units: PlanUnits) -> tuple[Element, ...]:
        """Tangents, spirals and arcs. Each tangent starts at its own PT or ST, so closure errors stay visible.

        Raises `PlanError` if there are fewer than two points, two equal points in a row, or curves that
        need more tangent than there is.
        """
        if len(self.rows) < 2:
            raise PlanError("An alignment needs at least two points.")
        if self.rows[0].has_curve or self.rows[-1].has_curve:
            raise PlanError("The first and the last point are ends and cannot carry a curve.")
        points = [units.point_m(row.point) for row in self.rows]
        legs = [_leg(points, number) for number in range(len(points) - 1)]
        built: list[Element] = []
        used = 0.0  # of the current leg, by the curve behind
        for number, (direction, length) in enumerate(legs):
            ahead = number + 1
            curve = None
            if ahead < len(legs):
                curve = _curve(self.rows[ahead], ahead, direction, legs[ahead][0], units)
            needed = 0.0 if curve is None else curve.tangents[0]
            free = length - used - needed
            if free < -1e-4:
                symbol, metres = units.length.symbol, float(units.length.metres)
                raise PlanError(
                    f"Between points {number + 1} and {ahead + 1} the curves need {-free / metres:.3f} {symbol} more "
                    f"tangent than the {length / metres:.3f} {symbol} there are. Check radii, spirals and coordinates."
                )
            if free > SHORTEST_ELEMENT_M:
                start = _along(points[number], direction, used)
                built.append(Element(*start, direction, 0.0, 0.0, free))
            used = 0.0
            if curve is not None:
                left = _deflection(direction, legs[ahead][0]) > 0
                built += _curve_elements(curve, _along(points[ahead], direction, -needed), direction, left)
                used = curve.tangents[1]
        return tuple(built)


def _leg(points: Sequence[tuple[float, float]], number: int) -> tuple[float, float]:
    (east_from, north_from), (east_to, north_to) = points[number], points[number + 1]
    length = math.hypot(east_to - east_from, north_to - north_from)
    if length < SHORTEST_ELEMENT_M:
        raise PlanError(f"Points {number + 1} and {number + 2} are the same place. Leave one out.")
    return math.atan2(north_to - north_from, east_to - east_from), length


def _deflection(back_rad: float, ahead_rad: float) -> float:
    return math.remainder(ahead_rad - back_rad, 2.0 * math.pi)


def _along(point: tuple[float, float], direction: float, distance: float) -> tuple[float, float]:
    return point[0] + distance * math.cos(direction), point[1] + distance * math.sin(direction)


def _curve(
    row: PointOfIntersection, number: int, back_rad: float, ahead_rad: float, units: PlanUnits
) -> SpiralCurve | None:
    deflection = abs(_deflection(back_rad, ahead_rad))
    if not row.has_curve:
        return None
    if deflection < 1e-9:
        raise PlanError(f"At point {number + 1} the tangents do not turn, so no curve fits. Remove it or its curve.")
    if deflection > math.radians(179.0):
        raise PlanError(f"At point {number + 1} the tangents turn back on themselves. Use two points instead.")
    try:
        radius = radius_m(
            radius=row.radius, degree_deg=row.degree_deg, definition=row.degree_definition, unit=units.length
        )
        lengths = [float(units.length.to_metres(value)) for value in (row.spiral_in_length, row.spiral_out_length)]
        if min(lengths) < 0:
            raise CurveError("A spiral length cannot be negative.")
        return SpiralCurve(deflection, FullSpiral(radius, lengths[0]), FullSpiral(radius, lengths[1]))
    except CurveError as error:
        raise PlanError(f"At point {number + 1}: {error}") from error


def _curve_elements(curve: SpiralCurve, start: tuple[float, float], direction: float, left: bool) -> list[Element]:
    curvature = (1.0 if left else -1.0) / curve.radius
    pieces = (
        (0.0, curvature, curve.spiral_in.length),
        (curvature, curvature, curve.arc_length),
        (curvature, 0.0, curve.spiral_out.length),
    )
    built: list[Element] = []
    for k0, k1, length in pieces:
        if length > SHORTEST_ELEMENT_M:
            built.append(Element(*start, direction, k0, k1, length))
            start, direction = built[-1].end, built[-1].end_direction_rad
    return built
