"""Shapes for maps and drawings: sampled lines, station ticks, outlines. Plain lists, easting and northing in metres.

Sampled lines are for the eye. Stations are never computed from them: at a vertex of a chord line the
station of a point beside it is wrong by up to offset x chord x curvature / 2.
"""

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

import numpy as np

from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, Polygon
from projects.geometry.elements import FloatArray
from projects.geometry.station_format import StationFormat

Line = list[tuple[float, float]]
_MOST_TICKS = 5000


@dataclass(frozen=True)
class StationTick:
    """A tick: printed station, place (m), direction of the line (radians from east), and whether it is labelled."""

    text: str
    station_m: float
    easting_m: float
    northing_m: float
    direction_rad: float


def stations_for_drawing(
    alignment: Alignment,
    *,
    sagitta_m: float,
    offset_m: float = 0.0,
    from_m: float | None = None,
    to_m: float | None = None,
) -> FloatArray:
    """Internal stations close enough that chords between offset points stray at most `sagitta_m` from the curve.

    Chord c on radius r strays c^2 / (8 r); the radius of the offset line is 1/|k| + |offset| at most.
    """
    begin = alignment.start_station_m if from_m is None else max(from_m, alignment.start_station_m)
    end = alignment.end_station_m if to_m is None else min(to_m, alignment.end_station_m)
    marks = [begin]
    for number, element in enumerate(alignment.elements):
        first = alignment.start_station_m + float(alignment.element_starts_m[number])
        last = first + element.length_m
        low, high = max(first, begin), min(last, end)
        if low > high:
            continue
        sharpest = max(abs(element.k0), abs(element.k1))
        count = 1
        if sharpest > 0.0:
            step = math.sqrt(8.0 * sagitta_m / (sharpest * (1.0 + sharpest * abs(offset_m))))
            count = max(1, math.ceil((high - low) / step))
        marks += list(np.linspace(low, high, count + 1)[1:])
    if marks[-1] < end:
        marks.append(end)
    return np.asarray(marks, dtype=np.float64)


def polyline(
    alignment: Alignment,
    *,
    sagitta_m: float = 0.05,
    offset_m: float = 0.0,
    from_m: float | None = None,
    to_m: float | None = None,
) -> Line:
    """The line, or one beside it, as points; corners of the alignment are kept."""
    stations = stations_for_drawing(alignment, sagitta_m=sagitta_m, offset_m=offset_m, from_m=from_m, to_m=to_m)
    eastings, northings = alignment.points(stations_m=stations, offsets_m=np.asarray(offset_m))
    return list(zip(eastings.tolist(), northings.tolist(), strict=True))


def station_ticks(
    alignment: Alignment, station_format: StationFormat, *, every: Decimal | None = None
) -> list[StationTick]:
    """Ticks at round printed stations in every zone, `every` units apart (default: one block, 100 or 1000)."""
    step = Decimal(station_format.block) if every is None else every
    if step <= 0 or Decimal(str(alignment.length_m)) / alignment.unit.metres / step > _MOST_TICKS:
        raise ValueError(f"Ticks {step} apart would be too many or none. Choose a greater distance.")
    plain = StationFormat(station_format.digits_after_plus, 0)
    ticks: list[StationTick] = []
    for zone in alignment.stationing.zones:
        low, high = sorted((zone.label(zone.internal_from), zone.label(zone.internal_to)))
        label = (low / step).to_integral_value(rounding=ROUND_CEILING) * step
        while label <= high:
            station_m = float(alignment.unit.to_metres(zone.internal(label)))
            text = plain.text(label)
            if zone.kilometre is not None:
                text = plain.kilometre_text(kilometre=zone.kilometre, metres=label)
            ticks.append(_tick(alignment, text, station_m))
            label += step
    return sorted(ticks, key=lambda tick: tick.station_m)


def _tick(alignment: Alignment, text: str, station_m: float) -> StationTick:
    station_m = min(max(station_m, alignment.start_station_m), alignment.end_station_m)
    easting, northing = alignment.point(station_m=station_m)
    element, distance = alignment.element_at(station_m)
    return StationTick(text, station_m, easting, northing, float(element.direction(np.asarray(distance))))


def range_outline(
    alignment: Alignment,
    *,
    from_m: float,
    to_m: float,
    offset_from_m: float,
    offset_to_m: float,
    sagitta_m: float = 0.05,
) -> Line:
    """Outline of a station-offset range: along one offset, back along the other. The range is cut at the ends."""
    if to_m <= alignment.start_station_m or from_m >= alignment.end_station_m:
        return []
    ends = {"sagitta_m": sagitta_m, "from_m": from_m, "to_m": to_m}
    outward = polyline(alignment, offset_m=offset_from_m, **ends)
    return outward + polyline(alignment, offset_m=offset_to_m, **ends)[::-1]


def area_outline(area: Area, alignments: dict[str, Alignment], *, sagitta_m: float = 0.05) -> Line:
    """Outline of an area; empty where its alignment is not there or does not reach it."""
    if isinstance(area.shape, Polygon):
        return [(float(easting), float(northing)) for easting, northing in area.shape.corners]
    alignment = alignments.get(area.shape.alignment)
    if alignment is None:
        return []
    return range_outline(
        alignment,
        from_m=float(area.shape.station_from_m),
        to_m=float(area.shape.station_to_m),
        offset_from_m=float(area.shape.offset_from_m),
        offset_to_m=float(area.shape.offset_to_m),
        sagitta_m=sagitta_m,
    )
