"""Outlines in plan, easting and northing in metres: whether one contains a point, whether two overlap."""

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]
Outline = Sequence[Point]


def inside(outline: Outline, spot: Point) -> bool:
    """Whether a point lies in an outline (even-odd rule); at the very edge either answer may come."""
    x, y = spot
    found = False
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            found = not found
    return found


def box(outline: Outline) -> tuple[float, float, float, float]:
    """Least and greatest easting, least and greatest northing."""
    eastings, northings = [point[0] for point in outline], [point[1] for point in outline]
    return min(eastings), max(eastings), min(northings), max(northings)


def overlap(first: Outline, second: Outline) -> bool:
    """Whether two outlines share more than an edge: edges cross, or one lies in the other."""
    if any(_cross(a, b, c, d) for a, b in pairwise([*first, first[0]]) for c, d in pairwise([*second, second[0]])):
        return True
    return inside(second, _middle(first)) or inside(first, _middle(second))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, c: Point) -> float:
    value = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return (value > 0) - (value < 0)


def _middle(outline: Outline) -> Point:
    """A point inside: between two corners and their middle, wherever that is inside."""
    corners = [*outline, outline[0], outline[1]]
    for a, b, c in zip(corners, corners[1:], corners[2:], strict=False):
        spot = ((a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3)
        if inside(outline, spot):
            return spot
    return outline[0]
