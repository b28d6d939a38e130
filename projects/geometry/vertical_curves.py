"""Vertical curves: symmetric and unsymmetric parabolas, and circles. Metres; grades are rise over run."""

import math
from dataclasses import dataclass
from decimal import Decimal


class ProfileError(ValueError):
    """The profile cannot be built: order of points, curves that overlap, a radius that does not fit."""


@dataclass(frozen=True)
class VerticalPoint:
    """A PVI in the alignment's unit: internal station, elevation, and the curve on it if any.

    Symmetric parabola: `curve_length`. Unsymmetric parabola: `length_before` and `length_after` the PVI.
    Circular curve: `radius`.
    """

    station: Decimal
    elevation: Decimal
    curve_length: Decimal | None = None
    length_before: Decimal | None = None
    length_after: Decimal | None = None
    radius: Decimal | None = None


@dataclass(frozen=True)
class VerticalCurve:
    """A vertical curve in metres, from BVC to EVC with the PVI between them."""

    pvi_station_m: float
    pvi_elevation_m: float
    grade_in: float
    grade_out: float
    length_before_m: float
    length_after_m: float
    radius_m: float | None = None  # a circle instead of the parabola

    @property
    def bvc_station_m(self) -> float:
        """Begin of the curve."""
        return self.pvi_station_m - self.length_before_m

    @property
    def evc_station_m(self) -> float:
        """End of the curve."""
        return self.pvi_station_m + self.length_after_m

    def elevation_m(self, station_m: float) -> float:
        """Elevation on the curve.

        Parabola: offset from the tangent grows with the square of the distance; at the PVI it is
        L1 L2 (g2 - g1) / (2 (L1 + L2)). With L1 = L2 this is e = eBVC + g1 x + (g2 - g1) x^2 / (2 L).
        """
        before = station_m <= self.pvi_station_m
        if self.radius_m is not None:
            return self._on_circle(station_m, self.radius_m)
        l1, l2 = self.length_before_m, self.length_after_m
        middle = l1 * l2 * (self.grade_out - self.grade_in) / (2.0 * (l1 + l2))
        if before:
            x = station_m - self.bvc_station_m
            tangent = self.pvi_elevation_m + self.grade_in * (station_m - self.pvi_station_m)
            return tangent + middle * (x / l1) ** 2
        x = self.evc_station_m - station_m
        tangent = self.pvi_elevation_m + self.grade_out * (station_m - self.pvi_station_m)
        return tangent + middle * (x / l2) ** 2

    def grade(self, station_m: float) -> float:
        """Slope on the curve: linear in distance on each parabola, the tangent of the angle on a circle."""
        if self.radius_m is not None:
            centre_station, _, sign = self._circle(self.radius_m)
            x = station_m - centre_station
            return sign * x / math.sqrt(self.radius_m * self.radius_m - x * x)
        l1, l2 = self.length_before_m, self.length_after_m
        change = (self.grade_out - self.grade_in) / (l1 + l2)
        if station_m <= self.pvi_station_m:
            return self.grade_in + change * l2 / l1 * (station_m - self.bvc_station_m)
        return self.grade_out - change * l1 / l2 * (self.evc_station_m - station_m)

    def _circle(self, radius: float) -> tuple[float, float, float]:
        # The centre lies on the normal at the BVC, above it in a sag (sign +1) and below it on a crest (-1).
        sign = math.copysign(1.0, self.grade_out - self.grade_in)
        angle = math.atan(self.grade_in)
        bvc_elevation = self.pvi_elevation_m - self.grade_in * self.length_before_m
        return (
            self.bvc_station_m - sign * radius * math.sin(angle),
            bvc_elevation + sign * radius * math.cos(angle),
            sign,
        )

    def _on_circle(self, station_m: float, radius: float) -> float:
        centre_station, centre_elevation, sign = self._circle(radius)
        return centre_elevation - sign * math.sqrt(radius * radius - (station_m - centre_station) ** 2)

    @property
    def turning_station_m(self) -> float | None:
        """Station of the high or low point, None if the grade does not change sign on a symmetric parabola."""
        change = self.grade_out - self.grade_in
        length = self.length_before_m + self.length_after_m
        if self.radius_m is not None or self.length_before_m != self.length_after_m or change == 0.0:
            return None
        x = -self.grade_in * length / change
        return self.bvc_station_m + x if 0.0 <= x <= length else None


def curve_lengths_m(
    point: VerticalPoint, grade_in: float, grade_out: float, metres: float
) -> tuple[float, float] | None:
    """Lengths before and behind the PVI in metres, None without a curve. `metres` is the size of the unit."""
    given = (point.curve_length is not None, point.length_before is not None, point.radius is not None)
    if sum(given) > 1 or (point.length_before is None) != (point.length_after is None):
        raise ProfileError(
            f"The curve at {point.station} needs one of: a length, a length before and one after the PVI, a radius."
        )
    if point.curve_length is not None:
        half = float(point.curve_length) * metres / 2.0
        lengths = (half, half)
    elif point.length_before is not None and point.length_after is not None:
        lengths = (float(point.length_before) * metres, float(point.length_after) * metres)
    elif point.radius is not None:
        turn = abs(math.atan(grade_out) - math.atan(grade_in))
        tangent = float(point.radius) * metres * math.tan(turn / 2.0)
        lengths = (tangent * math.cos(math.atan(grade_in)), tangent * math.cos(math.atan(grade_out)))
        if grade_in == grade_out:
            return None
    else:
        return None
    if min(lengths) <= 0:
        raise ProfileError(f"The vertical curve at {point.station} must be longer than zero.")
    return lengths
