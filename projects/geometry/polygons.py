"""Polygons in easting and northing: membership exact to the stored 0.1 mm, area, distance.

Coordinates are whole tenths of a millimetre, so membership is integer arithmetic and the same on every
machine. A point within 0.1 mm of an edge is on the boundary, and the boundary counts as inside.
"""

import math
from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

Tenth = tuple[int, int]
RESOLUTION_M = Decimal("0.0001")


class PolygonError(ValueError):
    """The outline is no simple polygon with an area."""


def tenths(value_m: Decimal) -> int:
    """Metres as whole tenths of a millimetre."""
    return int((value_m / RESOLUTION_M).to_integral_value())


def _edges(outline: Sequence[Tenth]) -> list[tuple[Tenth, Tenth]]:
    return list(pairwise([*outline, outline[0]]))


def _cross(origin: Tenth, first: Tenth, second: Tenth) -> int:
    return (first[0] - origin[0]) * (second[1] - origin[1]) - (first[1] - origin[1]) * (second[0] - origin[0])


def _on_edge(point: Tenth, start: Tenth, end: Tenth) -> bool:
    dx, dy = end[0] - start[0], end[1] - start[1]
    along = (point[0] - start[0]) * dx + (point[1] - start[1]) * dy
    squared = dx * dx + dy * dy
    if not 0 <= along <= squared:
        return any((point[0] - x) ** 2 + (point[1] - y) ** 2 <= 1 for x, y in (start, end))
    return _cross(start, end, point) ** 2 <= squared


def contains(outline: Sequence[Tenth], point: Tenth) -> bool:
    """Whether a point is inside or on the boundary (even-odd rule, integers only)."""
    inside = False
    for start, end in _edges(outline):
        if _on_edge(point, start, end):
            return True
        if (start[1] > point[1]) != (end[1] > point[1]):
            side = _cross(start, end, point)
            if (side > 0) == (end[1] > start[1]):
                inside = not inside
    return inside


def area_m2(outline: Sequence[Tenth]) -> Decimal:
    """Area on the projection, in m2."""
    twice = sum(start[0] * end[1] - end[0] * start[1] for start, end in _edges(outline))
    return Decimal(abs(twice)) / 2 * RESOLUTION_M * RESOLUTION_M


def distance_m(outline: Sequence[tuple[float, float]], easting_m: float, northing_m: float) -> float:
    """Distance to the nearest point of the boundary."""
    nearest = math.inf
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        dx, dy = x2 - x1, y2 - y1
        squared = dx * dx + dy * dy
        part = 0.0 if squared == 0 else ((easting_m - x1) * dx + (northing_m - y1) * dy) / squared
        part = min(1.0, max(0.0, part))
        nearest = min(nearest, math.hypot(easting_m - x1 - part * dx, northing_m - y1 - part * dy))
    return nearest


def check(outline: Sequence[Tenth]) -> None:
    """Raise `PolygonError` for fewer than three corners, no area, or edges that cross."""
    if len(set(outline)) < 3 or len(set(outline)) != len(outline):
        raise PolygonError("An outline needs at least three corners, each given once; it closes by itself.")
    edges = _edges(outline)
    for i, (a, b) in enumerate(edges):
        for j in range(i + 2, len(edges)):
            if i == 0 and j == len(edges) - 1:
                continue
            c, d = edges[j]
            if _cross(a, b, c) * _cross(a, b, d) < 0 and _cross(c, d, a) * _cross(c, d, b) < 0:
                raise PolygonError(f"Sides {i + 1} and {j + 1} of the outline cross. Check the order of the corners.")
    if area_m2(outline) == 0:  # after the crossings: the two halves of a bow may cancel
        raise PolygonError("The corners lie on one line; there is no area.")
