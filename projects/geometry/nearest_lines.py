"""For many points the line that each belongs to, with station and offset there, and which deserve a closer look."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from projects.geometry.alignment import Alignment
from projects.geometry.elements import FloatArray
from projects.geometry.feet import ON
from projects.geometry.projection_many import STATES, Projector
from projects.geometry.several_feet import not_plain

_FARTHEST_M = 5e6
_MARGIN_M = 1e-6


@dataclass(frozen=True)
class NearestLines:
    """One value a point: number of its line, internal station and offset (m), and whether to look closer."""

    codes: list[str]
    lines: list[Alignment]
    owner: NDArray[np.intp]
    station_m: FloatArray
    offset_m: FloatArray
    special: NDArray[np.bool_]


def nearest_lines(lines: Mapping[str, Alignment], eastings: FloatArray, northings: FloatArray) -> NearestLines | None:
    """The nearest line of each point. Special is one without a plain foot there, or with another as plausible."""
    if not lines:
        return None
    shape = (len(lines), *eastings.shape)
    away = np.full(shape, np.inf)
    on = np.zeros(shape, dtype=np.bool_)
    stations, offsets = np.zeros(shape), np.zeros(shape)
    for number, line in enumerate(lines.values()):
        first = line.elements[0]
        own_east, own_north = line.from_grid(eastings, northings)
        reachable = np.hypot(own_east - first.easting_m, own_north - first.northing_m) < _FARTHEST_M
        if not reachable.any():
            continue
        found = Projector(line).project(eastings_m=eastings[reachable], northings_m=northings[reachable])
        away[number, reachable], on[number, reachable] = found.distance_m, found.state == STATES.index(ON)
        stations[number, reachable], offsets[number, reachable] = found.station_m, found.offset_m
    owner = np.argmin(away, axis=0)
    points = np.arange(eastings.size)
    nearest = away[owner, points]
    special = ~on[owner, points]
    for number, line in enumerate(lines.values()):
        mine = (owner == number) & np.isfinite(nearest)
        reach = np.maximum(
            float(line.foot_limits.ratio) * nearest[mine], nearest[mine] + float(line.foot_limits.apart_m)
        )
        special[mine] |= (away[:, mine] <= reach + _MARGIN_M).sum(axis=0) > 1
        special[mine] |= not_plain(line, eastings_m=eastings[mine], northings_m=northings[mine], reach_m=reach)
    return NearestLines(
        list(lines), list(lines.values()), owner, stations[owner, points], offsets[owner, points], special
    )
