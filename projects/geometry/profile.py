"""Design grade along an alignment: straight grades with vertical curves.

Stations are internal stations in metres (a profile knows no equations); grades are rise over run.
Depth below grade is grade minus elevation: positive in the fill.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import (
    as_list,
    as_object,
    needed_decimal,
    optional_decimal,
    plain_decimal,
    plain_optional,
)
from projects.geometry.vertical_curves import ProfileError, VerticalCurve, VerticalPoint, curve_lengths_m

_PVI_KEYS = frozenset({"station", "elevation", "curve_length", "length_before", "length_after", "radius"})


class OutsideProfile(ValueError):
    """The station lies before or behind the profile, so there is no design grade."""


@dataclass(frozen=True)
class Profile:
    """PVIs in order. What the grade line is (finished surface, subgrade ...) is `surface`, as the plans say."""

    points: tuple[VerticalPoint, ...]
    unit: LinearUnit
    surface: str = "finished grade"

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ProfileError("A profile needs at least two points.")
        for number, (first, second) in enumerate(pairwise(self.points), start=1):
            if not first.station < second.station:
                raise ProfileError(f"Profile points {number} and {number + 1} are not in order of station.")
        if any(
            point.curve_length or point.length_before or point.radius for point in (self.points[0], self.points[-1])
        ):
            raise ProfileError("The first and the last profile point cannot carry a curve.")
        edge, name = float(self.unit.to_metres(self.points[0].station)), "the start of the profile"
        for curve in self.curves:
            if curve.bvc_station_m < edge - 1e-6:
                raise ProfileError(
                    f"The vertical curve at {curve.pvi_station_m / float(self.unit.metres):.2f} begins before {name}."
                )
            edge, name = curve.evc_station_m, "the end of the curve behind it"
        if edge > self._stations_m[-1] + 1e-6:
            raise ProfileError("The last vertical curve runs past the end of the profile.")

    @cached_property
    def _stations_m(self) -> tuple[float, ...]:
        return tuple(float(self.unit.to_metres(point.station)) for point in self.points)

    @cached_property
    def _elevations_m(self) -> tuple[float, ...]:
        return tuple(float(self.unit.to_metres(point.elevation)) for point in self.points)

    @cached_property
    def curves(self) -> tuple[VerticalCurve, ...]:
        """The vertical curves in order, in metres."""
        built = []
        metres = float(self.unit.metres)
        for number in range(1, len(self.points) - 1):
            point = self.points[number]
            grade_in, grade_out = self._grade_of_leg(number - 1), self._grade_of_leg(number)
            lengths = curve_lengths_m(point, grade_in, grade_out, metres)
            if lengths is not None and grade_in != grade_out:
                radius = None if point.radius is None else float(point.radius) * metres
                built.append(
                    VerticalCurve(
                        self._stations_m[number], self._elevations_m[number], grade_in, grade_out, *lengths, radius
                    )
                )
        return tuple(built)

    def _grade_of_leg(self, number: int) -> float:
        rise = self._elevations_m[number + 1] - self._elevations_m[number]
        return rise / (self._stations_m[number + 1] - self._stations_m[number])

    def elevation_m(self, station_m: float) -> float:
        """Elevation of the grade line at an internal station. Raises `OutsideProfile`."""
        stations = self._stations_m
        # 1 cm: a station rounded for print still belongs to the end of the profile
        if not stations[0] - 0.01 <= station_m <= stations[-1] + 0.01:
            metres, symbol = float(self.unit.metres), self.unit.symbol
            raise OutsideProfile(
                f"The profile runs from {stations[0] / metres:.2f} to {stations[-1] / metres:.2f} {symbol} along the "
                f"line; {station_m / metres:.2f} is outside it, so there is no design grade."
            )
        for curve in self.curves:
            if curve.bvc_station_m <= station_m <= curve.evc_station_m:
                return curve.elevation_m(station_m)
        leg = sum(1 for station in stations[1:-1] if station_m >= station)
        return self._elevations_m[leg] + self._grade_of_leg(leg) * (station_m - stations[leg])

    def grade(self, station_m: float) -> float:
        """Slope of the grade line (rise over run); at a corner without a curve, the slope ahead."""
        self.elevation_m(station_m)
        for curve in self.curves:
            if curve.bvc_station_m <= station_m <= curve.evc_station_m:
                return curve.grade(station_m)
        return self._grade_of_leg(sum(1 for station in self._stations_m[1:-1] if station_m >= station))


def profile_from_plain(content: Mapping[str, Any], unit: LinearUnit) -> Profile:
    """A profile from stored content: `surface` and `points`."""
    as_object(content, "profile", frozenset({"surface", "points"}))
    points = []
    for number, row in enumerate(as_list(content.get("points"), "profile.points")):
        where = f"profile.points[{number}]."
        as_object(row, f"profile.points[{number}]", _PVI_KEYS)
        optional = {
            name: optional_decimal(row, name, where)
            for name in ("curve_length", "length_before", "length_after", "radius")
        }
        station, elevation = needed_decimal(row, "station", where), needed_decimal(row, "elevation", where)
        points.append(VerticalPoint(station, elevation, **optional))
    return Profile(tuple(points), unit, str(content.get("surface", "finished grade")))


def profile_to_plain(profile: Profile) -> dict[str, Any]:
    """The stored content of a profile."""
    return {
        "surface": profile.surface,
        "points": [
            {
                "station": plain_decimal(point.station),
                "elevation": plain_decimal(point.elevation),
                "curve_length": plain_optional(point.curve_length),
                "length_before": plain_optional(point.length_before),
                "length_after": plain_optional(point.length_after),
                "radius": plain_optional(point.radius),
            }
            for point in profile.points
        ],
    }
