"""Short parts of elements and the nearest point on one of them, for many points at once.

Lines and arcs in closed form; clothoids by Newton on a polynomial of the piece, with bisection for
whatever does not converge. Coordinates are relative to the start of the alignment.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.polynomial import Chebyshev, Polynomial, chebyshev

from projects.geometry.elements import Element, FloatArray

PIECE_TURN_RAD = math.pi / 4.0
_DEGREE = 19
_NODES = np.cos(np.pi * (np.arange(_DEGREE + 1) + 0.5) / (_DEGREE + 1))
_CHUNK = 8192  # keeps the arrays of one Newton loop in the processor's cache


class Nearest(NamedTuple):
    """Distance along the piece, squared distance, and the point in the frame of the foot (ahead, left)."""

    s: FloatArray
    squared: FloatArray
    ahead: FloatArray
    left: FloatArray


@dataclass(frozen=True)
class Piece:
    """Part of one element: owner, where it begins on it, its own start, direction and curvatures."""

    element: int
    begin_m: float
    length_m: float
    k0: float
    k1: float
    x: float
    y: float
    angle: float
    poly_x: FloatArray
    poly_y: FloatArray

    def nearest(self, x: FloatArray, y: FloatArray) -> Nearest:
        """The nearest point of the piece for every given point; its ends count."""
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        dx, dy = x - self.x, y - self.y
        ahead, left = dx * cos + dy * sin, dy * cos - dx * sin
        if self.k0 != self.k1:
            parts = [
                self._on_clothoid(ahead[i : i + _CHUNK], left[i : i + _CHUNK]) for i in range(0, len(ahead), _CHUNK)
            ]
            return Nearest(*(np.concatenate(column) for column in zip(*parts, strict=True)))
        if self.k0 == 0.0:
            s = np.clip(ahead, 0.0, self.length_m)
            ahead = ahead - s
            return Nearest(s, ahead * ahead + left * left, ahead, left)
        return self._on_arc(ahead, left)

    def _on_arc(self, ahead: FloatArray, left: FloatArray) -> Nearest:
        k, length = self.k0, self.length_m
        across = 1.0 - k * left
        s = np.arctan2(k * ahead, across) / k
        circle = 2.0 * math.pi / abs(k)
        outside = np.flatnonzero((s < 0.0) | (s > length))
        foot_ahead = np.zeros_like(s)
        foot_left = (1.0 - np.hypot(k * ahead, across)) / k
        if outside.size:
            around = np.mod(s[outside], circle)
            ends = np.where(around - length < (circle - length) / 2.0, length, 0.0)
            s[outside] = np.where(around <= length, around, ends)
            clamped = outside[around > length]
            at = k * s[clamped]
            dx = ahead[clamped] - np.sin(at) / k
            dy = left[clamped] - (1.0 - np.cos(at)) / k
            foot_ahead[clamped] = dx * np.cos(at) + dy * np.sin(at)
            foot_left[clamped] = dy * np.cos(at) - dx * np.sin(at)
        return Nearest(s, foot_ahead * foot_ahead + foot_left * foot_left, foot_ahead, foot_left)

    def _frame(self, s: FloatArray, px: FloatArray, py: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The points in the frame of the foot at s: ahead along the tangent, left of it."""
        u = s * (2.0 / self.length_m) - 1.0
        x, y = np.full_like(u, self.poly_x[-1]), np.full_like(u, self.poly_y[-1])
        for coefficient in self.poly_x[-2::-1]:
            x *= u
            x += coefficient
        for coefficient in self.poly_y[-2::-1]:
            y *= u
            y += coefficient
        angle = (self.k0 + (self.k1 - self.k0) / (2.0 * self.length_m) * s) * s
        cos, sin = np.cos(angle), np.sin(angle)
        dx, dy = px - x, py - y
        return dx * cos + dy * sin, dy * cos - dx * sin

    def _on_clothoid(self, px: FloatArray, py: FloatArray) -> Nearest:
        length, change = self.length_m, (self.k1 - self.k0) / self.length_m
        chord_x, chord_y = float(self.poly_x.sum()), float(self.poly_y.sum())  # u = 1
        s = np.clip((px * chord_x + py * chord_y) / (chord_x**2 + chord_y**2) * length, 0.0, length)
        step = np.zeros_like(s)
        for _ in range(8):
            ahead, left = self._frame(s, px, py)
            bend = np.maximum(1.0 - (self.k0 + change * s) * left, 0.1)  # beyond the centre: a short step will do
            before = s
            s = np.clip(s + ahead / bend, 0.0, length)
            step = np.abs(s - before)
            if float(step.max(initial=0.0)) < 1e-7:  # converges quadratically: the next step is below 1e-12
                break
        ahead, left = self._frame(s, px, py)
        restless = np.flatnonzero((step > 1e-7) | ((np.abs(ahead) > 1e-8) & (s > 0.0) & (s < length)))
        if restless.size:
            s[restless] = self._by_bisection(px[restless], py[restless])
            ahead[restless], left[restless] = self._frame(s[restless], px[restless], py[restless])
        squared = ahead * ahead + left * left
        for at in (0.0, length):
            end_ahead, end_left = self._frame(np.full_like(s, at), px, py)
            end_squared = end_ahead * end_ahead + end_left * end_left
            nearer = end_squared < squared - 1e-12
            s[nearer], squared[nearer] = at, end_squared[nearer]
            ahead[nearer], left[nearer] = end_ahead[nearer], end_left[nearer]
        return Nearest(s, squared, ahead, left)

    def _by_bisection(self, px: FloatArray, py: FloatArray) -> FloatArray:
        """Nearest of 33 samples, then bisection on the sign of `ahead` between its neighbours."""
        grid = np.linspace(0.0, self.length_m, 33)
        ahead, left = self._frame(np.repeat(grid[:, None], len(px), axis=1), px, py)
        best = np.argmin(ahead * ahead + left * left, axis=0)
        low, high = grid[np.maximum(best - 1, 0)], grid[np.minimum(best + 1, 32)]
        for _ in range(60):
            middle = (low + high) / 2.0
            forward = self._frame(middle, px, py)[0] > 0
            low, high = np.where(forward, middle, low), np.where(forward, high, middle)
        return np.asarray((low + high) / 2.0)


def pieces_of(number: int, element: Element, origin: tuple[float, float]) -> list[Piece]:
    """An element as pieces: whole lines and arcs, clothoids in parts that turn at most 45 degrees."""
    turned = max(abs(element.k0), abs(element.k1)) * element.length_m
    count = max(1, math.ceil(turned / PIECE_TURN_RAD)) if element.kind == "clothoid" else 1
    length = element.length_m / count
    change = (element.k1 - element.k0) / element.length_m
    made = []
    for part in range(count):
        begin = length * part
        east, north = element.displacement(np.asarray(begin))
        k0 = element.k0 + change * begin
        k1 = k0 + change * length
        made.append(
            Piece(
                element=number,
                begin_m=begin,
                length_m=length,
                k0=k0,
                k1=k1,
                x=float(east) + element.easting_m - origin[0],
                y=float(north) + element.northing_m - origin[1],
                angle=float(element.direction(np.asarray(begin))),
                **_polynomials(k0, k1, length),
            )
        )
    return made


def _polynomials(k0: float, k1: float, length: float) -> dict[str, FloatArray]:
    """Coordinates in the piece's own frame as polynomials of u = -1..1, within about 1e-12 m."""
    if k0 == k1:
        return {"poly_x": np.zeros(1), "poly_y": np.zeros(1)}
    local = Element(0.0, 0.0, 0.0, k0, k1, length)
    made = {}
    for name, values in zip(("poly_x", "poly_y"), local.displacement((_NODES + 1.0) / 2.0 * length), strict=True):
        series = Chebyshev.fit(_NODES, values, _DEGREE, domain=(-1, 1))
        trimmed = Chebyshev(chebyshev.chebtrim(series.coef, 1e-13 * length), domain=(-1, 1))
        made[name] = np.asarray(trimmed.convert(kind=Polynomial).coef, dtype=np.float64)
    return made
