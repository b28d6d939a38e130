"""GeoJSON of cells and planned locations for the map, from plain rows and geometry."""

from collections.abc import Mapping, Sequence
from typing import Any

from compaction.coverage.cells import Division
from compaction.coverage.draws import within
from compaction.coverage.facts import Cell
from compaction.coverage.ground import Slab
from compaction.maps.ground import Ground
from compaction.maps.layers import Json, collection
from projects.geometry.alignment import Alignment, BeyondAlignment

#: a curved side is followed in steps of at most so many metres; 5 m on a radius of 100 m stays within 3 cm
STEP_M = 5.0
Outline = tuple[tuple[float, float], ...]


def pieces(division: Division, cell: Cell) -> tuple[Outline, ...]:
    """The parts of the fill that a cell has, as corners (station, offset) or (easting, northing)."""
    ground = division.field_of(cell.number).ground
    stations, offsets = (cell.station_from_m, cell.station_to_m), (cell.offset_from_m, cell.offset_to_m)
    along, across = (offsets, stations) if ground.turned else (stations, offsets)
    found = []
    for slab in within(ground, along=along, across=across):
        found += _outlines(slab, turned=ground.turned)
    return tuple(found)


def _outlines(slab: Slab, *, turned: bool) -> list[Outline]:
    made = []
    for span in slab.spans:
        corners = (
            (slab.along_from, span.low_from), (slab.along_to, span.low_to),
            (slab.along_to, span.high_to), (slab.along_from, span.high_from),
        )  # fmt: skip
        made.append(tuple((second, first) for first, second in corners) if turned else corners)
    return made


def cells(
    divided: Sequence[tuple[Division, Sequence[Cell]]], *, ground: Ground, alignments: Mapping[str, Alignment]
) -> Json:
    """A multipolygon for each cell, with number and state."""
    features: list[Json] = []
    for division, found in divided:
        for cell in found:
            rings = [_ring(outline, cell.alignment, ground, alignments) for outline in pieces(division, cell)]
            rings = [ring for ring in rings if len(ring) > 3]
            if rings:
                features.append(
                    {
                        "type": "Feature",
                        "geometry": {"type": "MultiPolygon", "coordinates": [[ring] for ring in rings]},
                        "properties": {
                            "area": cell.area,
                            "lift": cell.lift,
                            "cell": cell.number,
                            "state": cell.state,
                            "tests": len(cell.tests),
                        },
                    }
                )
    return collection(features, ground)


def _ring(outline: Outline, code: str, ground: Ground, alignments: Mapping[str, Alignment]) -> list[list[float]]:
    points = _in_plan(outline, alignments.get(code)) if code else list(outline)
    if _signed_area(points) < 0:
        points.reverse()  # RFC 7946: the outer ring runs against the clock
    ring = ground.line(points)
    return [*ring, ring[0]] if ring else []


def _in_plan(outline: Outline, line: Alignment | None) -> list[tuple[float, float]]:
    if line is None:
        return []
    found: list[tuple[float, float]] = []
    try:
        for (station, offset), (other, aside) in zip(outline, (*outline[1:], outline[0]), strict=True):
            steps = max(1, int(abs(other - station) / STEP_M) + 1) if other != station else 1
            for step in range(steps):
                share = step / steps
                found.append(
                    line.point(
                        station_m=station + (other - station) * share, offset_m=offset + (aside - offset) * share
                    )
                )
    except BeyondAlignment:
        return []
    return found


def _signed_area(points: Sequence[tuple[float, float]]) -> float:
    if not points:
        return 0.0
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True)) / 2


def locations(rows: Sequence[Mapping[str, Any]], *, ground: Ground) -> Json:
    """A point for each location; `easting_m` and `northing_m` of a row become its place, the rest its properties."""
    features: list[Json] = []
    for row in rows:
        if row["easting_m"] is None or row["northing_m"] is None:
            continue
        place = ground.position(row["easting_m"], row["northing_m"])
        if place is not None:
            properties = {name: value for name, value in row.items() if name not in ("easting_m", "northing_m")}
            features.append(
                {"type": "Feature", "geometry": {"type": "Point", "coordinates": place}, "properties": properties}
            )
    return collection(features, ground)
