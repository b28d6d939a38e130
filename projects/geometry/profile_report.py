"""A profile told in rows: points with their curves, grades, high and low points, and whether it covers the line."""

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from projects.geometry.alignment import Alignment
from projects.geometry.profile import Profile
from projects.geometry.station_format import StationFormat


@dataclass(frozen=True)
class ProfileRow:
    """A profile point (PVI). Stations are internal, in the alignment's unit; grades in percent, in and out."""

    number: int
    station: Decimal
    text: str
    elevation: Decimal
    grade_in_pct: Decimal | None
    grade_out_pct: Decimal | None
    curve: str
    length: Decimal | None
    k: Decimal | None  # L / |g1 - g2|, in the unit for each percent
    turning_text: str  # printed station of the high or low point
    turning_elevation: Decimal | None


def _round(value: float, step: str = "0.0001") -> Decimal:
    return Decimal(repr(value)).quantize(Decimal(step)) + 0


def profile_rows(alignment: Alignment, profile: Profile, station_format: StationFormat) -> tuple[ProfileRow, ...]:
    """The points of a profile in order."""
    metres = float(profile.unit.metres)
    curves = {round(curve.pvi_station_m, 6): curve for curve in profile.curves}
    points, rows = profile.points, []
    grades = [
        float((after.elevation - before.elevation) / (after.station - before.station))
        for before, after in pairwise(points)
    ]
    for number, point in enumerate(points):
        curve = curves.get(round(float(profile.unit.to_metres(point.station)), 6))
        words, length, k, turning, turning_elevation = "", None, None, "", None
        if curve is not None:
            span = (curve.length_before_m + curve.length_after_m) / metres
            even = abs(curve.length_before_m - curve.length_after_m) < 1e-9
            words = "circular" if curve.radius_m is not None else "parabola" if even else "unsymmetric parabola"
            words = f"{words}, {'sag' if curve.grade_out > curve.grade_in else 'crest'}"
            length = _round(span)
            k = _round(span / abs(100.0 * (curve.grade_out - curve.grade_in)), "0.01")
            high = curve.turning_station_m
            if high is not None:
                turning = alignment.stationing.text(Decimal(repr(round(high / metres, 6))), station_format)
                turning_elevation = _round(curve.elevation_m(high) / metres)
        rows.append(
            ProfileRow(
                number=number + 1,
                station=point.station,
                text=alignment.stationing.text(point.station, station_format),
                elevation=point.elevation,
                grade_in_pct=None if number == 0 else _round(100.0 * grades[number - 1]),
                grade_out_pct=None if number == len(points) - 1 else _round(100.0 * grades[number]),
                curve=words,
                length=length,
                k=k,
                turning_text=turning,
                turning_elevation=turning_elevation,
            )
        )
    return tuple(rows)


def profile_remarks(
    alignment: Alignment, profile: Profile, station_format: StationFormat
) -> list[tuple[str, str, str]]:
    """Where the profile stops short of the line, or runs past it."""
    found = []
    symbol, stationing = alignment.unit.symbol, alignment.stationing
    first, last = profile.points[0].station, profile.points[-1].station
    for name, short, where in (
        ("begins", first - stationing.start, "the start of the line"),
        ("ends", stationing.end - last, "the end of the line"),
    ):
        if abs(short) < Decimal("0.0005"):
            continue
        inside = short > 0
        side = "behind" if (name == "begins") == inside else "before"
        severity = "warning" if inside and short > Decimal("0.05") else "information"
        rest = " There is no design grade in between, so no depth and no lift." if severity == "warning" else ""
        found.append(("profile-cover", severity, f"The profile {name} {abs(short):.3f} {symbol} {side} {where}.{rest}"))
    return found
