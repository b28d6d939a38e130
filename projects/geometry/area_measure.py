"""Size of areas on the projection, and whether a circle about a point touches one."""

from collections.abc import Mapping
from decimal import Decimal

from projects.geometry import crs, polygons
from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, Polygon, Spot
from projects.geometry.drawing import area_outline


class AreaNotMeasured(ValueError):
    """The area cannot be measured: its alignment is missing, or an offset lies beyond a centre of curvature."""


def area_m2(area: Area, alignments: Mapping[str, Alignment]) -> Decimal:
    """Area on the projection in m2, to 0.01.

    A station range between offsets a and b has, on each element, (b - a) L + (b^2 - a^2) / 2 x turn
    (left turn positive, offsets right positive): the integral of 1 + k o over the strip. Exact while
    1 + k o stays positive, that is on the near side of the centre of curvature.
    """
    if isinstance(area.shape, Polygon):
        return polygons.area_m2(area.shape.outline).quantize(Decimal("0.01"))
    alignment = alignments.get(area.shape.alignment)
    if alignment is None:
        raise AreaNotMeasured(f"Area {area.code} refers to the alignment {area.shape.alignment}, which is not there.")
    a, b = float(area.shape.offset_from_m), float(area.shape.offset_to_m)
    total = 0.0
    for number, element in enumerate(alignment.elements):
        first = alignment.start_station_m + float(alignment.element_starts_m[number])
        low = max(float(area.shape.station_from_m) - first, 0.0)
        high = min(float(area.shape.station_to_m) - first, element.length_m)
        if low >= high:
            continue
        change = (element.k1 - element.k0) / element.length_m
        at_ends = [element.k0 + change * s for s in (low, high)]
        if min(1.0 + k * offset for k in at_ends for offset in (a, b)) <= 0.0:
            raise AreaNotMeasured(f"Area {area.code} reaches beyond the centre of a curve of its alignment.")
        total += (b - a) * (high - low) + (b * b - a * a) / 2.0 * (at_ends[0] + at_ends[1]) / 2.0 * (high - low)
    return Decimal(repr(total)).quantize(Decimal("0.01"))


def measured(area: Area, alignments: Mapping[str, Alignment], epsg_code: int | None) -> str:
    """The size in words, with what it was measured on: the grid, and its scale there. Raises `AreaNotMeasured`."""
    size_m2 = area_m2(area, alignments)
    if not epsg_code:
        return f"{size_m2} m² in the plane of the drawing; the project has no coordinate system, so no scale is known"
    outline = area_outline(area, dict(alignments), sagitta_m=0.1)
    easting_m = sum(corner[0] for corner in outline) / len(outline)
    northing_m = sum(corner[1] for corner in outline) / len(outline)
    try:
        scale = crs.area_scale(epsg_code, easting_m=easting_m, northing_m=northing_m)
    except crs.CoordinateSystemError as error:
        return f"{size_m2} m² in the plane of the drawing; no scale: {error}"
    return (
        f"{size_m2} m² on the grid of EPSG {epsg_code}; areal scale {scale:.6f} there, "
        f"{float(size_m2) / scale:.2f} m² on the ellipsoid"
    )


def overlaps(area: Area, spot: Spot, radius_m: float, alignments: Mapping[str, Alignment]) -> bool:
    """Whether a circle about the point touches the area in plan (height limits are not looked at).

    The outline of a station range is drawn to 1 mm for this.
    """
    if area.shape.contains(spot):
        return True
    if spot.easting_m is None or spot.northing_m is None:
        return False
    outline = area_outline(area, dict(alignments), sagitta_m=0.001)
    if not outline:
        return False
    return polygons.distance_m(outline, float(spot.easting_m), float(spot.northing_m)) <= radius_m
