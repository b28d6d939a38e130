"""Zones, exempt areas and placement limits: station-offset ranges or polygons, with optional height limits.

Tie rule: the boundary counts as inside; where two areas share it, the one listed first has the point.
Everything is compared in stored Decimals (0.1 mm), so the answer at an edge is exact.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import Any

from projects.geometry import polygons
from projects.geometry.plain_content import (
    ContentError,
    as_list,
    as_object,
    as_pair,
    needed_decimal,
    optional_decimal,
    plain_decimal,
    plain_optional,
)

#: routine work outside the design lines, declared so that tests in it raise no doubt
DECLARED = ("overbuild", "surcharge", "keyway")
#: what a project issues in revisions
ISSUED_KINDS = ("zone", "exempt", *DECLARED)
KINDS = (*ISSUED_KINDS, "limit")
_LIMITS = ("elevation_from_m", "elevation_to_m", "depth_from_m", "depth_to_m")
_SHAPES = frozenset({"alignment", "station_from_m", "station_to_m", "offset_from_m", "offset_to_m", "polygon_m"})
_KEYS = frozenset({"code", "name", "kind", *_LIMITS}) | _SHAPES


class AreaError(ValueError):
    """The area cannot be: limits the wrong way round, or an outline that is none."""


@dataclass(frozen=True)
class Spot:
    """A located point: metres, quantised to 0.1 mm. `on_lines` holds station and offset by alignment code.

    `unclear` are the lines on which it has several places, none of them chosen.
    """

    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    on_lines: Mapping[str, tuple[Decimal, Decimal]] = field(default_factory=dict)
    elevation_m: Decimal | None = None
    depth_below_grade_m: Decimal | None = None
    unclear: frozenset[str] = frozenset()


@dataclass(frozen=True)
class StationRange:
    """Between two internal stations and two offsets (right positive) of one alignment, in metres."""

    alignment: str
    station_from_m: Decimal
    station_to_m: Decimal
    offset_from_m: Decimal
    offset_to_m: Decimal

    def __post_init__(self) -> None:
        if not self.station_from_m < self.station_to_m:
            raise AreaError(f"The stations run from {self.station_from_m} to {self.station_to_m}; exchange them.")
        if not self.offset_from_m < self.offset_to_m:
            raise AreaError(
                f"The offsets run from {self.offset_from_m} to {self.offset_to_m}; the left one comes first."
            )

    def contains(self, spot: Spot) -> bool:
        """Inside or on the boundary; a point with no station on this alignment is outside."""
        place = spot.on_lines.get(self.alignment)
        if place is None:
            return False
        ranges = ((place[0], self.station_from_m, self.station_to_m), (place[1], self.offset_from_m, self.offset_to_m))
        return all(_stored(low) <= value <= _stored(high) for value, low, high in ranges)


@dataclass(frozen=True)
class Polygon:
    """Corners in order (either way round), easting and northing in metres; it closes by itself."""

    corners: tuple[tuple[Decimal, Decimal], ...]

    def __post_init__(self) -> None:
        try:
            polygons.check(self.outline)
        except polygons.PolygonError as error:
            raise AreaError(str(error)) from error

    @cached_property
    def outline(self) -> tuple[polygons.Tenth, ...]:
        """The corners in tenths of a millimetre."""
        return tuple((polygons.tenths(easting), polygons.tenths(northing)) for easting, northing in self.corners)

    def contains(self, spot: Spot) -> bool:
        """Inside or on the boundary; a point without coordinates is outside."""
        if spot.easting_m is None or spot.northing_m is None:
            return False
        return polygons.contains(self.outline, (polygons.tenths(spot.easting_m), polygons.tenths(spot.northing_m)))


@dataclass(frozen=True)
class Area:
    """A named area of one of `KINDS`. Height limits are inclusive, None is open.

    A keyway (or undercut) may say its base as the lower elevation: lifts are then counted from there.
    """

    code: str
    kind: str
    shape: StationRange | Polygon
    name: str = ""
    elevation_from_m: Decimal | None = None
    elevation_to_m: Decimal | None = None
    depth_from_m: Decimal | None = None
    depth_to_m: Decimal | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise AreaError(f"“{self.kind}” is no kind of area; known: {', '.join(KINDS)}.")
        pairs = ((self.elevation_from_m, self.elevation_to_m), (self.depth_from_m, self.depth_to_m))
        if any(low is not None and high is not None and low > high for low, high in pairs):
            raise AreaError(f"Area {self.code}: a lower height limit lies above its upper one.")

    def contains(self, spot: Spot) -> bool | None:
        """Whether a point belongs to the area; None where its place or a height that a limit needs is not known."""
        if self.unclear_at(spot):
            return None
        if not self.shape.contains(spot):
            return False
        answers = (
            _between(spot.elevation_m, self.elevation_from_m, self.elevation_to_m),
            _between(spot.depth_below_grade_m, self.depth_from_m, self.depth_to_m),
        )
        if False in answers:
            return False
        return None if None in answers else True

    def unclear_at(self, spot: Spot) -> bool:
        """Whether the point has several places on the line of this area, none of them chosen."""
        return isinstance(self.shape, StationRange) and self.shape.alignment in spot.unclear


def _stored(value: Decimal) -> Decimal:
    return value.quantize(polygons.RESOLUTION_M)


def _between(value: Decimal | None, low: Decimal | None, high: Decimal | None) -> bool | None:
    if low is None and high is None:
        return True
    if value is None:
        return None
    return (low is None or _stored(low) <= value) and (high is None or value <= _stored(high))


def first_containing(areas: Sequence[Area], spot: Spot, kind: str) -> tuple[Area | None, tuple[Area, ...]]:
    """The first area of a kind that has the point, and those before it that need a height to tell."""
    undecided: list[Area] = []
    for area in areas:
        if area.kind == kind:
            answer = area.contains(spot)
            if answer:
                return area, tuple(undecided)
            if answer is None:
                undecided.append(area)
    return None, tuple(undecided)


def declared_at(areas: Sequence[Area], spot: Spot) -> tuple[Area, ...]:
    """The declared areas (overbuild, surcharge, keyway) that have the point; an unknown height leaves one out."""
    return tuple(area for area in areas if area.kind in DECLARED and area.contains(spot))


def area_from_plain(content: Mapping[str, Any]) -> Area:
    """An area from stored content. Raises `ContentError` or `AreaError`."""
    as_object(content, "", _KEYS)
    shape: StationRange | Polygon
    if "polygon_m" in content:
        if "alignment" in content:
            raise ContentError("polygon_m", "give a polygon or a station range, not both.")
        corners = as_list(content["polygon_m"], "polygon_m")
        shape = Polygon(tuple(as_pair(corner, f"polygon_m[{number}]") for number, corner in enumerate(corners)))
    else:
        if not content.get("alignment"):
            raise ContentError("alignment", "a station range needs its alignment.")
        names = ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m")
        shape = StationRange(str(content["alignment"]), *(needed_decimal(content, name, "") for name in names))
    if not content.get("code"):
        raise ContentError("code", "the area needs a code.")
    limits = {name: optional_decimal(content, name, "") for name in _LIMITS}
    return Area(
        code=str(content["code"]),
        kind=str(content.get("kind")),
        shape=shape,
        name=str(content.get("name", "")),
        **limits,
    )


def area_to_plain(area: Area) -> dict[str, Any]:
    """The stored content of an area; decimals as strings."""
    plain: dict[str, Any] = {"code": area.code, "kind": area.kind, "name": area.name}
    for name in _LIMITS:
        plain[name] = plain_optional(getattr(area, name))
    if isinstance(area.shape, Polygon):
        plain["polygon_m"] = [
            [plain_decimal(easting), plain_decimal(northing)] for easting, northing in area.shape.corners
        ]
        return plain
    plain["alignment"] = area.shape.alignment
    for name in ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m"):
        plain[name] = plain_decimal(getattr(area.shape, name))
    return plain
