"""The typical section: widths, cross slopes and side slopes by station, and the layers on top of the fill.

Rows stand at internal stations; between two rows widths and slopes change in proportion, which is how a
superelevation transition is drawn, and before the first and behind the last they stay. Layers change at a row.
Everything is in metres here; the stored content is in the unit of the alignment.
"""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Any, Literal

from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import (
    ContentError,
    as_list,
    as_object,
    needed_decimal,
    optional_decimal,
    plain_decimal,
    plain_optional,
)

Surface = Literal["finished_grade", "subgrade"]
SURFACES: tuple[Surface, ...] = ("finished_grade", "subgrade")
LIFTS_FROM = ("bottom", "top")
#: what depth is counted from behind the hinge, under a side slope
UNDER_SLOPE = {"slope_face": "slope face", "surface_extended": "surface carried on behind the hinge"}
_KEYS = frozenset({"grade_line", "depth_from", "under_slope", "lift_thickness", "lifts_from", "rows"})
_ROW_KEYS = frozenset({"station", "left", "right", "layers"})
_SIDE_KEYS = frozenset({"width", "cross_slope", "side_slope"})
_LAYER_KEYS = frozenset({"name", "thickness"})


class SectionError(ValueError):
    """The section cannot be: rows out of order, a width or a slope that is none."""


@dataclass(frozen=True)
class Side:
    """One side of the line. `width` reaches from the line to the hinge, in the unit of the alignment.

    `cross_slope` is rise over run away from the line (-0.02 falls two percent); `side_slope` is run over fall
    behind the hinge (2 stands for two horizontal to one vertical), None where the plans do not say.
    """

    width: Decimal
    cross_slope: Decimal
    side_slope: Decimal | None = None


@dataclass(frozen=True)
class SectionRow:
    """The section at one internal station, in the unit of the alignment. Layers: name and thickness, from the top."""

    station: Decimal
    left: Side
    right: Side
    layers: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True)
class Across:
    """The section on one side at one station, as numbers in metres."""

    width_m: float
    cross_slope: float
    side_slope: float | None
    cover_m: float


@dataclass(frozen=True)
class TypicalSection:
    """`grade_line` is the surface that the profile gives, `depth_from` the one that depth is counted from.

    `under_slope` says what the latter is behind the hinge (`UNDER_SLOPE`). Where the contract says nothing it is the
    slope face, straight up: the cover that is there (a convention of this service; no source).
    """

    rows: tuple[SectionRow, ...]
    unit: LinearUnit
    grade_line: Surface = "finished_grade"
    depth_from: Surface = "subgrade"
    lift_thickness: Decimal | None = None
    lifts_from: str = "bottom"
    under_slope: str = "slope_face"

    def __post_init__(self) -> None:
        if not self.rows:
            raise SectionError("A typical section needs at least one row.")
        for first, second in pairwise(self.rows):
            if not first.station < second.station:
                raise SectionError(f"The row at {second.station} stands behind the one at {first.station}; order them.")
        for row in self.rows:
            for side in (row.left, row.right):
                if side.width <= 0 or (side.side_slope is not None and side.side_slope <= 0):
                    raise SectionError(f"At {row.station} a width or a side slope is not above zero.")
            if any(thickness <= 0 for _, thickness in row.layers):
                raise SectionError(f"At {row.station} a layer has no thickness.")
        if self.lift_thickness is not None and self.lift_thickness <= 0:
            raise SectionError("The nominal thickness of a lift lies above zero.")

    @cached_property
    def _stations_m(self) -> list[float]:
        return [float(self.unit.to_metres(row.station)) for row in self.rows]

    @property
    def lift_thickness_m(self) -> float | None:
        """Nominal compacted thickness of a lift."""
        return None if self.lift_thickness is None else float(self.unit.to_metres(self.lift_thickness))

    def across(self, *, station_m: float, left: bool) -> Across:
        """Widths and slopes of one side at an internal station."""
        ahead = bisect_right(self._stations_m, station_m)
        before, after = self.rows[max(ahead - 1, 0)], self.rows[min(ahead, len(self.rows) - 1)]
        start, end = (before.left, after.left) if left else (before.right, after.right)
        part = 0.0
        if 0 < ahead < len(self.rows):
            here, there = self._stations_m[ahead - 1], self._stations_m[ahead]
            part = (station_m - here) / (there - here)
        return Across(
            width_m=float(self.unit.to_metres(start.width)) * (1 - part) + float(self.unit.to_metres(end.width)) * part,
            cross_slope=float(start.cross_slope) * (1 - part) + float(end.cross_slope) * part,
            side_slope=None
            if start.side_slope is None or end.side_slope is None
            else float(start.side_slope) * (1 - part) + float(end.side_slope) * part,
            cover_m=sum((float(self.unit.to_metres(thickness)) for _, thickness in before.layers), 0.0),
        )

    def surface_m(self, surface: Surface, *, grade_line_m: float, station_m: float, offset_m: float) -> float:
        """Elevation of finished grade or subgrade beside the line.

        The layers end at the hinge; behind it both surfaces are the side slope, from the finished hinge down.
        """
        across = self.across(station_m=station_m, left=offset_m < 0)
        out_m = min(abs(offset_m), across.width_m)
        behind_m = abs(offset_m) - out_m
        shown: Surface = surface if behind_m == 0 else "finished_grade"
        elevation = grade_line_m + across.cross_slope * out_m
        if shown != self.grade_line:
            elevation += across.cover_m if shown == "finished_grade" else -across.cover_m
        fall = behind_m * -across.cross_slope if across.side_slope is None else behind_m / across.side_slope
        return elevation - fall

    def behind_hinge(self, *, station_m: float, offset_m: float) -> bool:
        """Whether a place lies under a side slope."""
        return abs(offset_m) > self.across(station_m=station_m, left=offset_m < 0).width_m

    def depth_surface_m(self, *, grade_line_m: float, station_m: float, offset_m: float) -> float:
        """Elevation of the surface that depth is counted from."""
        if self.under_slope == "slope_face" or not self.behind_hinge(station_m=station_m, offset_m=offset_m):
            return self.surface_m(self.depth_from, grade_line_m=grade_line_m, station_m=station_m, offset_m=offset_m)
        across = self.across(station_m=station_m, left=offset_m < 0)
        hinge_m = across.width_m if offset_m > 0 else -across.width_m
        at_hinge = self.surface_m(self.depth_from, grade_line_m=grade_line_m, station_m=station_m, offset_m=hinge_m)
        return at_hinge + across.cross_slope * (abs(offset_m) - across.width_m)

    def toe_m(self, *, left: bool, grade_line_m: float, station_m: float, elevation_m: float) -> float | None:
        """How far from the line the fill reaches at an elevation (unsigned); None without a side slope.

        Slope intercept: hinge offset + side slope x (hinge elevation - elevation); never less than the hinge.
        """
        across = self.across(station_m=station_m, left=left)
        if across.side_slope is None:
            return None
        side = -1.0 if left else 1.0
        hinge_m = self.surface_m(
            "finished_grade", grade_line_m=grade_line_m, station_m=station_m, offset_m=side * across.width_m
        )
        return across.width_m + across.side_slope * max(hinge_m - elevation_m, 0.0)


def typical_section_from_plain(content: Mapping[str, Any] | None, unit: LinearUnit) -> TypicalSection | None:
    """From stored content. Raises `ContentError` or `SectionError`."""
    if content is None:
        return None
    as_object(content, "typical_section", _KEYS)
    chosen: dict[str, Surface] = {}
    for name, default in (("grade_line", SURFACES[0]), ("depth_from", SURFACES[1])):
        written = content.get(name, default)
        found = next((surface for surface in SURFACES if surface == written), None)
        if found is None:
            raise ContentError(f"typical_section.{name}", f"one of {', '.join(SURFACES)} is needed.")
        chosen[name] = found
    lifts_from = str(content.get("lifts_from", "bottom"))
    if lifts_from not in LIFTS_FROM:
        raise ContentError("typical_section.lifts_from", f"one of {', '.join(LIFTS_FROM)} is needed.")
    under_slope = str(content.get("under_slope", "slope_face"))
    if under_slope not in UNDER_SLOPE:
        raise ContentError("typical_section.under_slope", f"one of {', '.join(UNDER_SLOPE)} is needed.")
    return TypicalSection(
        rows=tuple(
            _row(item, f"typical_section.rows[{number}]")
            for number, item in enumerate(as_list(content.get("rows"), "typical_section.rows"))
        ),
        unit=unit,
        grade_line=chosen["grade_line"],
        depth_from=chosen["depth_from"],
        lift_thickness=optional_decimal(content, "lift_thickness", "typical_section."),
        lifts_from=lifts_from,
        under_slope=under_slope,
    )


def _row(content: Any, where: str) -> SectionRow:
    as_object(content, where, _ROW_KEYS)
    layers = []
    for number, item in enumerate(as_list(content.get("layers", ()), f"{where}.layers")):
        as_object(item, f"{where}.layers[{number}]", _LAYER_KEYS)
        layers.append((str(item.get("name", "")), needed_decimal(item, "thickness", f"{where}.layers[{number}].")))
    return SectionRow(
        needed_decimal(content, "station", f"{where}."),
        _side(content.get("left"), f"{where}.left"),
        _side(content.get("right"), f"{where}.right"),
        tuple(layers),
    )


def _side(content: Any, where: str) -> Side:
    as_object(content, where, _SIDE_KEYS)
    return Side(
        width=needed_decimal(content, "width", f"{where}."),
        cross_slope=optional_decimal(content, "cross_slope", f"{where}.") or Decimal(0),
        side_slope=optional_decimal(content, "side_slope", f"{where}."),
    )


def typical_section_to_plain(section: TypicalSection) -> dict[str, Any]:
    """The stored content of a typical section."""

    def side(one: Side) -> dict[str, Any]:
        return {
            "width": plain_decimal(one.width),
            "cross_slope": plain_decimal(one.cross_slope),
            "side_slope": plain_optional(one.side_slope),
        }

    return {
        "grade_line": section.grade_line,
        "depth_from": section.depth_from,
        **({} if section.under_slope == "slope_face" else {"under_slope": section.under_slope}),
        "lift_thickness": plain_optional(section.lift_thickness),
        "lifts_from": section.lifts_from,
        "rows": [
            {
                "station": plain_decimal(row.station),
                "left": side(row.left),
                "right": side(row.right),
                "layers": [{"name": name, "thickness": plain_decimal(thickness)} for name, thickness in row.layers],
            }
            for row in section.rows
        ],
    }
