"""Nearest station and offset for many points at once: exact, and pruned by a grid.

Per occupied grid cell an upper bound (nearest sample + half diagonal) is held against lower bounds
(boxes of short parts grown by their sagitta); only pieces that can be nearest are solved.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from projects.geometry.alignment import Alignment
from projects.geometry.elements import Element, FloatArray
from projects.geometry.pieces import PIECE_TURN_RAD, Piece, pieces_of

IntArray = NDArray[np.intp]
Box = tuple[float, float, float, float]
STATES = ("on", "beyond_start", "beyond_end", "at_kink")

_CELL_M = 40.0
_BOX_M = 40.0
_CELLS_AT_ONCE = 4096
_FARTHEST_M = 1e7
_END_M = 1e-7  # the same allowance as for single points
# A perpendicular foot wins over the end of a neighbour that is nearer only by float noise.
_CLAMPED_M2 = 1e-8


@dataclass(frozen=True)
class ManyProjections:
    """Arrays, one value a point: internal station, offset (right positive), distance, state (index in `STATES`).

    Beyond an end station and offset are those of the tangent carried on; at a kink the station is the
    corner's and the offset the signed distance to it.
    """

    station_m: FloatArray
    offset_m: FloatArray
    distance_m: FloatArray
    state: NDArray[np.int8]


class Projector:
    """An alignment prepared for many points. Build once, call `project` often; threads may share it."""

    def __init__(self, alignment: Alignment) -> None:
        self._alignment = alignment
        first = alignment.elements[0]
        self._origin = (first.easting_m, first.northing_m)
        self._pieces: list[Piece] = []
        boxes: list[Box] = []
        owners: list[int] = []
        samples: list[FloatArray] = []
        for number, element in enumerate(alignment.elements):
            for piece in pieces_of(number, element, self._origin):
                piece_boxes, piece_samples = self._boxes(element, piece)
                owners += [len(self._pieces)] * len(piece_boxes)
                boxes += piece_boxes
                samples.append(piece_samples)
                self._pieces.append(piece)
        self._box_array = np.asarray(boxes)
        self._owner_starts = np.flatnonzero(np.concatenate(([True], np.diff(np.asarray(owners)) > 0)))
        self._tree = cKDTree(np.concatenate(samples))

    def _boxes(self, element: Element, piece: Piece) -> tuple[list[Box], FloatArray]:
        sharpest = max(abs(piece.k0), abs(piece.k1))
        step = min(_BOX_M, PIECE_TURN_RAD / 2.0 / sharpest) if sharpest else _BOX_M
        count = max(1, math.ceil(piece.length_m / step))
        east, north = element.displacement(np.linspace(piece.begin_m, piece.begin_m + piece.length_m, count + 1))
        x, y = east + element.easting_m - self._origin[0], north + element.northing_m - self._origin[1]
        grow = sharpest * (piece.length_m / count) ** 2 / 8.0 * 1.1 + 1e-6  # sagitta, with a margin
        low_x, high_x = np.minimum(x[:-1], x[1:]) - grow, np.maximum(x[:-1], x[1:]) + grow
        low_y, high_y = np.minimum(y[:-1], y[1:]) - grow, np.maximum(y[:-1], y[1:]) + grow
        return list(zip(low_x, low_y, high_x, high_y, strict=True)), np.column_stack((x, y))

    def project(self, *, eastings_m: FloatArray, northings_m: FloatArray) -> ManyProjections:
        """Nearest station and offset of every point.

        Raises ValueError for coordinates that are not finite or more than 10,000 km away.
        """
        own_x, own_y = self._alignment.from_grid(
            np.asarray(eastings_m, dtype=np.float64), np.asarray(northings_m, dtype=np.float64)
        )
        x, y = np.atleast_1d(own_x) - self._origin[0], np.atleast_1d(own_y) - self._origin[1]
        if x.size and not (np.abs(x).max() < _FARTHEST_M and np.abs(y).max() < _FARTHEST_M):
            raise ValueError("A coordinate is not finite or lies more than 10,000 km away. Nothing was projected.")
        squared = np.full(x.shape, np.inf)
        s, ahead, left = np.zeros(x.shape), np.zeros(x.shape), np.zeros(x.shape)
        owner = np.zeros(x.shape, dtype=np.intp)
        if x.size:
            order, starts, stops, cells = _by_cell(x, y)
            for number, members in self._candidates(cells, starts, stops):
                points = order[members]
                near = self._pieces[number].nearest(x[points], y[points])
                rating = near.squared + np.where(np.abs(near.ahead) > _END_M, _CLAMPED_M2, 0.0)
                nearer = rating < squared[points]
                points = points[nearer]
                squared[points], s[points] = rating[nearer], near.s[nearer]
                ahead[points], left[points] = near.ahead[nearer], near.left[nearer]
                owner[points] = number
        return self._finish(owner, s, ahead, left, np.hypot(ahead, left))

    def _candidates(self, cells: FloatArray, starts: IntArray, stops: IntArray) -> list[tuple[int, IntArray]]:
        """For every piece the places (in cell order) of the points whose nearest piece it can be."""
        half = _CELL_M / 2.0
        owners, members = [], []
        low_x, low_y, high_x, high_y = self._box_array.T
        for first in range(0, len(cells), _CELLS_AT_ONCE):
            centres = cells[first : first + _CELLS_AT_ONCE]
            upper = self._tree.query(centres)[0] + half * math.sqrt(2.0)
            cx, cy = centres[:, :1], centres[:, 1:]
            dx = np.maximum(np.maximum(low_x - (cx + half), (cx - half) - high_x), 0.0)
            dy = np.maximum(np.maximum(low_y - (cy + half), (cy - half) - high_y), 0.0)
            within = dx * dx + dy * dy <= (upper * upper)[:, None]
            cell, owner = np.nonzero(np.logical_or.reduceat(within, self._owner_starts, axis=1))
            owners.append(owner)
            members.append(cell + first)
        owner, cell = np.concatenate(owners), np.concatenate(members)
        rank = np.argsort(owner, kind="stable")
        owner, cell = owner[rank], cell[rank]
        begins = np.flatnonzero(np.concatenate(([True], np.diff(owner) > 0)))
        ends = np.append(begins[1:], len(owner))
        return [
            (int(owner[a]), _ranges(starts[cell[a:b]], stops[cell[a:b]])) for a, b in zip(begins, ends, strict=True)
        ]

    def _finish(
        self, owner: IntArray, s: FloatArray, ahead: FloatArray, left: FloatArray, distance: FloatArray
    ) -> ManyProjections:
        line = self._alignment
        element_of = np.asarray([piece.element for piece in self._pieces])
        begin_of = np.asarray(
            [line.start_station_m + line.element_starts_m[piece.element] + piece.begin_m for piece in self._pieces]
        )
        station, offset = begin_of[owner] + s, -left
        state = np.zeros(s.shape, dtype=np.int8)
        for i in np.flatnonzero(np.abs(ahead) > _END_M):
            piece = self._pieces[owner[i]]
            behind = ahead[i] < 0  # the foot is the start of its piece, the point lies behind it
            junction = int(element_of[owner[i]]) - 1 if behind else int(element_of[owner[i]])
            inner = piece.begin_m > 1e-9 if behind else (
                piece.begin_m + piece.length_m < line.elements[piece.element].length_m - 1e-9
            )  # fmt: skip
            if inner:
                continue
            if junction < 0 or junction >= len(line.elements) - 1:
                state[i] = STATES.index("beyond_start" if junction < 0 else "beyond_end")
                station[i] += ahead[i]
                continue
            offset[i] = math.copysign(distance[i], -left[i])
            joint = line.junctions[junction]
            state[i] = STATES.index("at_kink") if joint.is_kink or joint.is_gap else 0
        return ManyProjections(station, offset, distance, state)


def _by_cell(x: FloatArray, y: FloatArray) -> tuple[IntArray, IntArray, IntArray, FloatArray]:
    """Points sorted by grid cell: order, first and past-last place of each cell, cell centres."""
    column, row = np.floor(x / _CELL_M).astype(np.int64), np.floor(y / _CELL_M).astype(np.int64)
    rows = int(row.max() - row.min()) + 1
    key = (column - column.min()) * rows + (row - row.min())
    order = np.argsort(key)
    ranked = key[order]
    starts = np.flatnonzero(np.concatenate(([True], np.diff(ranked) > 0)))
    stops = np.append(starts[1:], len(ranked))
    first = order[starts]
    centres = (np.column_stack((column[first], row[first])) + 0.5) * _CELL_M
    return order, starts, stops, np.asarray(centres, dtype=np.float64)


def _ranges(starts: IntArray, stops: IntArray) -> IntArray:
    """All whole numbers of the ranges starts..stops, one range after the other."""
    counts = stops - starts
    before = np.cumsum(counts) - counts
    return np.asarray(np.arange(int(counts.sum())) + np.repeat(starts - before, counts), dtype=np.intp)
