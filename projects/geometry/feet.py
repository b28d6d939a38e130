"""All feet of the perpendiculars from a point to an alignment, exactly.

A foot is where (P - C(s)) . T(s) = 0. With the signed left offset d it is a nearest point only while
k d < 1, that is while P is nearer than the centre of curvature; beyond it the foot is a farthest point.
"""

import math
from dataclasses import dataclass

import numpy as np

from projects.geometry.alignment import GAP_TOLERANCE_M, KINK_TOLERANCE_RAD, Alignment
from projects.geometry.elements import Element
from projects.geometry.samples import Samples

ON = "on"
BEYOND_START = "beyond_start"
BEYOND_END = "beyond_end"
BEYOND_CENTRE = "beyond_centre"
AT_KINK = "at_kink"

_TOLERANCE_M = 1e-7  # a foot this far outside an element still belongs to its end (float noise at 1e7 m)
_SAME_FOOT_M = 1e-3  # two feet this close at one junction are one: plan coordinates are rounded to about this


@dataclass(frozen=True)
class Foot:
    """One foot. Internal station and offset (right positive) in metres; `distance_m` from point to foot.

    `state`: on; beyond_start, beyond_end (station is that of the end, `beyond_m` the distance along its
    tangent, offset that from the extended tangent); at_kink (outside a corner: station is the corner's);
    beyond_centre (a farthest point of a curve, or the point is the centre itself).
    """

    station_m: float
    offset_m: float
    distance_m: float
    state: str
    element: int
    beyond_m: float = 0.0


def feet(alignment: Alignment, *, easting_m: float, northing_m: float) -> list[Foot]:
    """Every foot of a point, nearest first, with its state.

    Besides perpendicular feet this holds the corners and ends that are nearest points, and the
    farthest points of curves (`beyond_centre`) so that the reason for a refusal can be shown.
    """
    if alignment.scale is not None:
        own_easting, own_northing = alignment.from_grid(np.asarray(easting_m), np.asarray(northing_m))
        easting_m, northing_m = float(own_easting), float(own_northing)
    elements = alignment.elements
    samples = alignment.samples
    x, y = easting_m - samples.origin[0], northing_m - samples.origin[1]
    ahead = (x - samples.x) * samples.tx + (y - samples.y) * samples.ty
    left = (y - samples.y) * samples.tx - (x - samples.x) * samples.ty
    bend = 1.0 - samples.k * left
    found: list[Foot] = []

    def add(number: int, s: float, state: str = ON) -> None:
        found.append(_foot(alignment, number, s, state, easting_m, northing_m))

    same = samples.element[:-1] == samples.element[1:]
    for i in np.flatnonzero(same & (ahead[:-1] > 0) & (ahead[1:] <= 0)):
        add(int(samples.element[i]), _root(elements, samples, int(i), x, y, float(ahead[i]), float(left[i])))
    for i in np.flatnonzero(same & (ahead[:-1] < 0) & (ahead[1:] >= 0)):
        root = _root(elements, samples, int(i), x, y, float(ahead[i]), float(left[i]))
        add(int(samples.element[i]), root, BEYOND_CENTRE)
    # `ahead` changes by the integral of `bend`: with more to go than twice that, it cannot reach zero in between
    reach = 2.0 * np.diff(samples.s) * np.maximum(np.abs(bend[:-1]), np.abs(bend[1:]))
    hidden = (bend[:-1] * bend[1:] < 0) & (np.minimum(np.abs(ahead[:-1]), np.abs(ahead[1:])) <= reach)
    for i in np.flatnonzero(same & hidden & (ahead[:-1] * ahead[1:] > 0)):
        element, number = elements[samples.element[i]], int(samples.element[i])
        if element.kind == "clothoid":
            at = _local(element, samples.origin, x, y)
            pair = _pair_inside(element, float(samples.s[i]), float(samples.s[i + 1]), *at, float(ahead[i]))
            for s, falling in zip(pair, (ahead[i] > 0, ahead[i] <= 0), strict=False):
                add(number, s, ON if falling else BEYOND_CENTRE)

    firsts = np.flatnonzero(np.concatenate(([True], ~same)))
    lasts = np.flatnonzero(np.concatenate((~same, [True])))
    for i in firsts[(np.abs(ahead[firsts]) <= _TOLERANCE_M) & (bend[firsts] > 0)]:
        add(int(samples.element[i]), 0.0)
    for i in lasts[(np.abs(ahead[lasts]) <= _TOLERANCE_M) & (bend[lasts] > 0)]:
        add(int(samples.element[i]), float(samples.s[i]))
    for i in lasts[:-1][(ahead[lasts[:-1]] > _TOLERANCE_M) & (ahead[firsts[1:]] < -_TOLERANCE_M)]:
        found.append(_corner(alignment, int(samples.element[i]), easting_m, northing_m))
    if ahead[0] < -_TOLERANCE_M:
        add(0, 0.0, BEYOND_START)
    if ahead[-1] > _TOLERANCE_M:
        add(len(elements) - 1, elements[-1].length_m, BEYOND_END)
    found = _without_centres(alignment, found, easting_m, northing_m)
    return _without_twins(sorted(found, key=lambda foot: (foot.distance_m, foot.station_m)))


def _foot(alignment: Alignment, number: int, s: float, state: str, easting: float, northing: float) -> Foot:
    element = alignment.elements[number]
    at_east, at_north = element.point_at(s)
    angle = float(element.direction(np.asarray(s)))
    east, north = easting - at_east, northing - at_north
    along = east * math.cos(angle) + north * math.sin(angle)
    return Foot(
        station_m=alignment.start_station_m + float(alignment.element_starts_m[number]) + s,
        offset_m=east * math.sin(angle) - north * math.cos(angle),
        distance_m=math.hypot(east, north),
        state=state,
        element=number,
        beyond_m=abs(along) if state in (BEYOND_START, BEYOND_END) else 0.0,
    )


def _corner(alignment: Alignment, number: int, easting: float, northing: float) -> Foot:
    before, after = alignment.elements[number], alignment.elements[number + 1]
    junction = alignment.junctions[number]
    east, north = easting - after.easting_m, northing - after.northing_m
    middle = before.end_direction_rad + junction.kink_rad / 2.0
    side = east * math.sin(middle) - north * math.cos(middle)
    distance = math.hypot(east, north)
    rounding = abs(junction.kink_rad) <= KINK_TOLERANCE_RAD and junction.gap_m <= GAP_TOLERANCE_M
    return Foot(
        station_m=junction.station_m,
        offset_m=math.copysign(distance, side),
        distance_m=distance,
        state=ON if rounding else AT_KINK,
        element=number,
    )


def _root(
    elements: tuple[Element, ...], samples: Samples, i: int, x: float, y: float, ahead: float, left: float
) -> float:
    """Distance along the element of the foot between sample i and the next."""
    element = elements[int(samples.element[i])]
    low, high = float(samples.s[i]), float(samples.s[i + 1])
    if element.kind == "line":
        return min(max(low + ahead, low), high)
    if element.kind == "arc":
        k = element.k0
        near = 1.0 if ahead > 0 else -1.0  # near side of the circle where the foot is a nearest point
        return min(max(low + math.atan2(near * k * ahead, near * (1.0 - k * left)) / k, low), high)
    return _clothoid_root(element, low, high, *_local(element, samples.origin, x, y), ahead)


def _local(element: Element, origin: tuple[float, float], x: float, y: float) -> tuple[float, float]:
    return x - (element.easting_m - origin[0]), y - (element.northing_m - origin[1])


def _clothoid_root(element: Element, low: float, high: float, x: float, y: float, ahead_at_low: float) -> float:
    """Newton, kept inside the bracket by bisection; converges to 1e-12 m."""
    sign = math.copysign(1.0, ahead_at_low)
    s = (low + high) / 2.0
    for _ in range(80):
        ahead, bend = _ahead_and_bend(element, s, x, y)
        if sign * ahead > 0:
            low = s
        else:
            high = s
        step = ahead / bend if bend != 0.0 else math.inf
        following = s + step
        if not low <= following <= high:
            following = (low + high) / 2.0
        if abs(following - s) < 1e-12 or high - low < 1e-12:
            return following
        s = following
    return s


def _ahead_and_bend(element: Element, s: float, x: float, y: float) -> tuple[float, float]:
    at = np.asarray(s)
    east, north = element.displacement(at)
    angle = float(element.direction(at))
    cos, sin = math.cos(angle), math.sin(angle)
    ahead = (x - float(east)) * cos + (y - float(north)) * sin
    left = (y - float(north)) * cos - (x - float(east)) * sin
    return ahead, 1.0 - float(element.curvature(at)) * left


def _pair_inside(element: Element, low: float, high: float, x: float, y: float, ahead_at_low: float) -> list[float]:
    """Two feet between neighbouring samples, which can happen only beside the evolute of a clothoid."""
    sign = math.copysign(1.0, ahead_at_low)
    bend_at_low = _ahead_and_bend(element, low, x, y)[1]
    from_s, to_s = low, high
    for _ in range(60):
        middle = (from_s + to_s) / 2.0
        if _ahead_and_bend(element, middle, x, y)[1] * bend_at_low > 0:
            from_s = middle
        else:
            to_s = middle
    if sign * _ahead_and_bend(element, from_s, x, y)[0] >= 0:
        return []
    return [
        _clothoid_root(element, low, from_s, x, y, ahead_at_low),
        _clothoid_root(element, from_s, high, x, y, -ahead_at_low),
    ]


def _without_centres(alignment: Alignment, found: list[Foot], easting: float, northing: float) -> list[Foot]:
    """At the centre of an arc every point of it is equally near: one undefined foot instead of any other."""
    samples = alignment.samples
    away = np.hypot(easting - samples.origin[0] - samples.centre_x, northing - samples.origin[1] - samples.centre_y)
    for arc in np.flatnonzero(away <= _SAME_FOOT_M):
        number = int(samples.arcs[arc])
        element = alignment.elements[number]
        begin = alignment.start_station_m + float(alignment.element_starts_m[number]) - _SAME_FOOT_M
        end = begin + element.length_m + 2.0 * _SAME_FOOT_M
        found = [foot for foot in found if not begin <= foot.station_m <= end]
        found.append(_foot(alignment, number, element.length_m / 2.0, BEYOND_CENTRE, easting, northing))
    return found


def _without_twins(found: list[Foot]) -> list[Foot]:
    kept: list[Foot] = []
    for foot in found:
        twin = any(
            abs(foot.station_m - other.station_m) <= _SAME_FOOT_M and abs(foot.element - other.element) <= 1
            for other in kept
        )
        if not twin:
            kept.append(foot)
    return kept
