"""One kind of plan element: curvature linear in arc length. Line, arc, clothoid and egg are cases of it.

Direction is the mathematical angle from east, counter-clockwise, in radians; curvature is positive for
a turn to the left; offsets are positive to the right. Lengths in metres.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import fresnel

FloatArray = NDArray[np.float64]

# Above this phase (radians) the Fresnel form loses digits by cancellation; quadrature does not.
_FRESNEL_PHASE_LIMIT_RAD = 20.0
_GAUSS_NODES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(40)
_UNIT_NODES = (_GAUSS_NODES + 1.0) / 2.0
_UNIT_WEIGHTS = _GAUSS_WEIGHTS / 2.0


class ElementError(ValueError):
    """The element cannot exist: no length, not finite, or turning through more than a full circle."""


@dataclass(frozen=True)
class Element:
    """A piece of alignment: start, direction there, curvature at both ends (1/m), length.

    k(s) = k0 + (k1 - k0) s / L;  t(s) = t0 + k0 s + (k1 - k0) s^2 / (2 L). Definition of the clothoid:
    curvature proportional to length (any route surveying text; LandXML 1.2, Spiral, type clothoid).
    Raises `ElementError` for a length that is not positive and for a turn of more than 360 degrees.
    """

    easting_m: float
    northing_m: float
    direction_rad: float
    k0: float
    k1: float
    length_m: float

    def __post_init__(self) -> None:
        numbers = (self.easting_m, self.northing_m, self.direction_rad, self.k0, self.k1, self.length_m)
        if not all(map(math.isfinite, numbers)):
            raise ElementError("An element has a number that is not finite. Check coordinates, radius and length.")
        if self.length_m <= 0:
            raise ElementError(f"An element is {self.length_m:.4f} m long; it must be longer than zero.")
        if max(abs(self.k0), abs(self.k1)) * self.length_m > 4 * math.pi or abs(self.turn_rad) > 2 * math.pi + 1e-9:
            raise ElementError(
                f"An element turns through {math.degrees(abs(self.turn_rad)):.1f} degrees; the limit is 360. "
                "Check radius and length."
            )

    @property
    def kind(self) -> str:
        """`line`, `arc` or `clothoid`."""
        if self.k0 != self.k1:
            return "clothoid"
        return "line" if self.k0 == 0.0 else "arc"

    @property
    def turn_rad(self) -> float:
        """Change of direction over the whole length, positive to the left."""
        return (self.k0 + self.k1) * self.length_m / 2.0

    @property
    def end(self) -> tuple[float, float]:
        """Easting and northing of the end, in metres."""
        return self.point_at(self.length_m)

    @property
    def end_direction_rad(self) -> float:
        """Direction at the end."""
        return self.direction_rad + self.turn_rad

    def curvature(self, distance_m: FloatArray) -> FloatArray:
        """Curvature (1/m, left positive) at distances along the element."""
        return np.asarray(self.k0 + (self.k1 - self.k0) / self.length_m * distance_m, dtype=np.float64)

    def direction(self, distance_m: FloatArray) -> FloatArray:
        """Direction (radians from east, counter-clockwise) at distances along the element."""
        change = (self.k1 - self.k0) / self.length_m
        return np.asarray(self.direction_rad + (self.k0 + change * distance_m / 2.0) * distance_m, dtype=np.float64)

    def displacement(self, distance_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """East and north components from the start of the element to the points at these distances."""
        s = np.asarray(distance_m, dtype=np.float64)
        if self.k0 == self.k1:
            # chord = s sinc(k s / 2), along the mean direction: exact, and stable for any radius
            chord = s * np.sinc(self.k0 * s / (2.0 * math.pi))
            mean = self.direction_rad + self.k0 * s / 2.0
            return chord * np.cos(mean), chord * np.sin(mean)
        change = (self.k1 - self.k0) / self.length_m
        if max(self.k0 * self.k0, self.k1 * self.k1) / (2.0 * abs(change)) > _FRESNEL_PHASE_LIMIT_RAD:
            return self._by_quadrature(s)
        return self._by_fresnel(s, change)

    def _by_fresnel(self, s: FloatArray, change: float) -> tuple[FloatArray, FloatArray]:
        # Complete the square in t(s); scipy returns (S, C) with the pi u^2 / 2 convention.
        scale = math.sqrt(math.pi / abs(change))
        shift = self.k0 / change
        sine_from, cosine_from = fresnel(shift / scale)
        sine_to, cosine_to = fresnel((s + shift) / scale)
        along = scale * (cosine_to - cosine_from)
        across = math.copysign(scale, change) * (sine_to - sine_from)
        phase = self.direction_rad - self.k0 * self.k0 / (2.0 * change)
        cos_phase, sin_phase = math.cos(phase), math.sin(phase)
        return along * cos_phase - across * sin_phase, along * sin_phase + across * cos_phase

    def _by_quadrature(self, s: FloatArray) -> tuple[FloatArray, FloatArray]:
        # Gauss-Legendre, 40 nodes: full double precision for turns up to two circles.
        angles = self.direction(s[..., np.newaxis] * _UNIT_NODES)
        return s * (np.cos(angles) @ _UNIT_WEIGHTS), s * (np.sin(angles) @ _UNIT_WEIGHTS)

    def points(self, distance_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Eastings and northings (m) at distances along the element."""
        east, north = self.displacement(distance_m)
        return self.easting_m + east, self.northing_m + north

    def offset_points(self, distance_m: FloatArray, offset_right_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Eastings and northings of points beside the element, offsets positive to the right."""
        easting, northing = self.points(distance_m)
        angle = self.direction(distance_m)
        return easting + offset_right_m * np.sin(angle), northing - offset_right_m * np.cos(angle)

    def point_at(self, distance_m: float) -> tuple[float, float]:
        """Easting and northing (m) at one distance along the element."""
        easting, northing = self.points(np.asarray(distance_m))
        return float(easting), float(northing)
