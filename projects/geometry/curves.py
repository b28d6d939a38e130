"""Parts of circular curves and full spirals, as route surveying names them. Radius and length in one unit."""

import math
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from projects.geometry.elements import Element
from projects.geometry.linear_units import LinearUnit


class CurveError(ValueError):
    """The curve cannot be built from what was given."""


def radius_from_degree(*, degree_deg: float, definition: str) -> float:
    """Radius in feet from the degree of curve.

    `definition` is `arc` (angle under a 100 ft arc, R = 18000 / (pi D)) or `chord` (angle under a
    100 ft chord, R = 50 / sin(D / 2)); it must be said, the number alone does not tell. Definitions as
    in any route surveying text (US Army FM 5-233, chapter 3, from memory).
    """
    if not 0.0 < degree_deg < 180.0:
        raise CurveError(f"A degree of curve of {degree_deg:g} is outside 0 to 180 degrees.")
    if definition == "arc":
        return 100.0 / math.radians(degree_deg)
    if definition == "chord":
        return 50.0 / math.sin(math.radians(degree_deg) / 2.0)
    raise CurveError("Is the degree of curve by the arc definition or by the chord definition? Say arc or chord.")


@dataclass(frozen=True)
class CircularCurve:
    """A simple curve: `radius` and the deflection between its tangents. Formulas: any route surveying text."""

    radius: float
    deflection_rad: float

    @property
    def tangent(self) -> float:
        """PC to PI: R tan(D/2)."""
        return self.radius * math.tan(self.deflection_rad / 2.0)

    @property
    def length(self) -> float:
        """Along the arc: R D."""
        return self.radius * self.deflection_rad

    @property
    def long_chord(self) -> float:
        """PC to PT: 2 R sin(D/2)."""
        return 2.0 * self.radius * math.sin(self.deflection_rad / 2.0)

    @property
    def external(self) -> float:
        """PI to the middle of the curve: R (sec(D/2) - 1)."""
        return self.radius * (1.0 / math.cos(self.deflection_rad / 2.0) - 1.0)

    def deflection_angle_rad(self, arc: float) -> float:
        """Angle at the PC between the tangent and the chord to a point `arc` along: arc / (2R)."""
        return arc / (2.0 * self.radius)

    def chord(self, arc: float) -> float:
        """Chord from the PC to a point `arc` along: 2 R sin(arc / 2R)."""
        return 2.0 * self.radius * math.sin(arc / (2.0 * self.radius))


@dataclass(frozen=True)
class FullSpiral:
    """A clothoid from infinite radius to `radius` over `length`; a length of 0 is no spiral at all."""

    radius: float
    length: float

    @property
    def angle_rad(self) -> float:
        """Spiral angle: Ls / (2R)."""
        return self.length / (2.0 * self.radius)

    @property
    def end_xy(self) -> tuple[float, float]:
        """SC from TS, along and across the tangent (exact clothoid, not the truncated series)."""
        if self.length == 0.0:
            return 0.0, 0.0
        along, across = Element(0.0, 0.0, 0.0, 0.0, 1.0 / self.radius, self.length).displacement(
            np.asarray(self.length)
        )
        return float(along), float(across)

    @property
    def shift(self) -> float:
        """Distance by which the arc moves inwards (p or o): Y - R (1 - cos theta)."""
        return self.end_xy[1] - self.radius * (1.0 - math.cos(self.angle_rad))

    @property
    def tangent_extension(self) -> float:
        """TS to the point opposite the shifted PC (k): X - R sin theta."""
        return self.end_xy[0] - self.radius * math.sin(self.angle_rad)

    @property
    def long_chord(self) -> float:
        """TS to SC in a straight line."""
        return math.hypot(*self.end_xy)


@dataclass(frozen=True)
class SpiralCurve:
    """Spiral, arc, spiral at one PI; the spirals may differ or be absent. Raises `CurveError` if they meet."""

    deflection_rad: float
    spiral_in: FullSpiral
    spiral_out: FullSpiral

    def __post_init__(self) -> None:
        if self.spiral_in.radius != self.spiral_out.radius:
            raise CurveError("Both spirals of a curve end on the same radius.")
        if self.arc_angle_rad < -1e-12:
            turned = math.degrees(self.spiral_in.angle_rad + self.spiral_out.angle_rad)
            raise CurveError(
                f"The spirals turn {turned:.4f} degrees together, the tangents only "
                f"{math.degrees(self.deflection_rad):.4f}. Shorten the spirals or enlarge the radius."
            )

    @property
    def radius(self) -> float:
        """Radius of the arc between the spirals."""
        return self.spiral_in.radius

    @property
    def arc_angle_rad(self) -> float:
        """Deflection left for the arc."""
        return self.deflection_rad - self.spiral_in.angle_rad - self.spiral_out.angle_rad

    @property
    def arc_length(self) -> float:
        """Length of the arc between the spirals."""
        return self.radius * self.arc_angle_rad

    @property
    def tangents(self) -> tuple[float, float]:
        """TS to PI and PI to ST.

        T1 = [(R + p2) - (R + p1) cos D] / sin D + k1, T2 with 1 and 2 exchanged (closed form from the
        two shifted circles; for equal spirals it is (R + p) tan(D/2) + k).
        """
        sine, cosine = math.sin(self.deflection_rad), math.cos(self.deflection_rad)
        first = self.radius + self.spiral_in.shift
        second = self.radius + self.spiral_out.shift
        return (
            (second - first * cosine) / sine + self.spiral_in.tangent_extension,
            (first - second * cosine) / sine + self.spiral_out.tangent_extension,
        )


def radius_m(*, radius: Decimal | None, degree_deg: Decimal | None, definition: str, unit: LinearUnit) -> float:
    """Radius in metres from a radius in the alignment's unit or a degree of curve (foot alignments only)."""
    if (radius is None) == (degree_deg is None):
        raise CurveError("Give either a radius or a degree of curve, not both and not neither.")
    if radius is not None:
        if radius <= 0:
            raise CurveError(f"A radius of {radius} is not possible; it must be greater than zero.")
        return float(unit.to_metres(radius))
    if unit.code == "m":
        raise CurveError("A degree of curve belongs to 100 ft; this alignment is in metres. Give the radius.")
    assert degree_deg is not None
    return radius_from_degree(degree_deg=float(degree_deg), definition=definition) * float(unit.metres)
