"""Points along all elements of an alignment, close enough that no foot hides between two of them."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from projects.geometry.elements import Element, FloatArray

_TURN_RAD = math.radians(8.0)


@dataclass(frozen=True)
class Samples:
    """Arrays over all samples: owner, distance along it, place from `origin`, tangent, curvature; and arc centres."""

    origin: tuple[float, float]
    element: NDArray[np.intp]
    s: FloatArray
    x: FloatArray
    y: FloatArray
    tx: FloatArray
    ty: FloatArray
    k: FloatArray
    arcs: NDArray[np.intp]
    centre_x: FloatArray
    centre_y: FloatArray


def sample(elements: tuple[Element, ...]) -> Samples:
    """Both ends of every element, curves also in between: at most 8 degrees of turn from one to the next."""
    origin = (elements[0].easting_m, elements[0].northing_m)
    columns: list[list[FloatArray]] = [[], [], [], [], [], []]
    owners, arcs, centres = [], [], []
    for number, element in enumerate(elements):
        steps = 1
        if element.kind != "line":
            turned = max(abs(element.k0), abs(element.k1)) * element.length_m
            steps = max(4 if element.kind == "clothoid" else 1, math.ceil(turned / _TURN_RAD))
        s = np.linspace(0.0, element.length_m, steps + 1)
        east, north = element.displacement(s)
        angle = element.direction(s)
        x, y = east + (element.easting_m - origin[0]), north + (element.northing_m - origin[1])
        values = (s, x, y, np.cos(angle), np.sin(angle), element.curvature(s))
        for column, value in zip(columns, values, strict=True):
            column.append(np.broadcast_to(value, s.shape))
        owners.append(np.full(s.shape, number, dtype=np.intp))
        if element.kind == "arc":
            arcs.append(number)
            centres.append((x[0] - np.sin(angle[0]) / element.k0, y[0] + np.cos(angle[0]) / element.k0))
    centre = np.asarray(centres, dtype=np.float64).reshape(-1, 2)
    s_all, x_all, y_all, tx, ty, k = (np.concatenate(column) for column in columns)
    return Samples(
        origin=origin,
        element=np.concatenate(owners),
        s=s_all,
        x=x_all,
        y=y_all,
        tx=tx,
        ty=ty,
        k=k,
        arcs=np.asarray(arcs, dtype=np.intp),
        centre_x=centre[:, 0],
        centre_y=centre[:, 1],
    )
