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
    """A line on which the point has a foot goes before one on which it has none; then the nearer one."""
    if not lines:
        return None
    best = np.full(eastings.shape, np.inf)
    owner = np.zeros(eastings.shape, dtype=np.intp)
    station, offset = np.zeros(eastings.shape), np.zeros(eastings.shape)
    special = np.ones(eastings.shape, dtype=np.bool_)
    for number, line in enumerate(lines.values()):
        first = line.elements[0]
        own_east, own_north = line.from_grid(eastings, northings)
        reachable = np.hypot(own_east - first.easting_m, own_north - first.northing_m) < _FARTHEST_M
        if not reachable.any():
            continue
        found = Projector(line).project(eastings_m=eastings[reachable], northings_m=northings[reachable])
        rating = np.full(eastings.shape, np.inf)
        rating[reachable] = found.distance_m + np.where(found.state == STATES.index(ON), 0.0, 1e9)
        closer = rating < best
        here = closer[reachable]
        owner[closer], best[closer] = number, rating[closer]
        station[closer], offset[closer] = found.station_m[here], found.offset_m[here]
        special[closer] = (found.state[here] != STATES.index(ON)) | not_plain(
            line, eastings_m=eastings[closer], northings_m=northings[closer], distances_m=found.distance_m[here]
        )
    return NearestLines(list(lines), list(lines.values()), owner, station, offset, special)
