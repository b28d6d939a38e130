"""A satellite fix beside the stated position: does it agree, and if not, what would explain it?

The stated position is never changed by a fix. The thresholds are those of the circular normal
distribution with two degrees of freedom.
"""

import math
from collections.abc import Mapping
from decimal import Decimal

from geopy.distance import geodesic

from projects.geometry import crs
from projects.geometry.alignment import Alignment, BeyondAlignment
from projects.geometry.plan_position import PlanPosition
from projects.geometry.projection import project
from projects.geometry.stated import GpsFix, PlainFinding, finding, metres
from projects.geometry.station_format import StationFormat
from projects.geometry.stationing import KILOMETRE

NOTE_ABOVE = 9.21  # chi-square, 2 degrees of freedom, 99 %
FLAG_ABOVE = 13.8  # 99.9 %
FLAG_DISTANCE_M = 10.0  # weak fixes must not nag
# Taped from stakes: about 1 ft along and across (common practice, no source).
STATEMENT_SIGMA_M = 0.3048
# Devices differ in what "accuracy" means (browsers 95 %, some platforms 68 %, others do not say); the smaller
# confidence gives the larger sigma, so an unknown one raises fewer false alarms.
UNKNOWN_CONFIDENCE = 0.68
UNKNOWN_ACCURACY_M = 10.0  # upper end of the usual range of a phone in the open


def sigma_m(accuracy_m: float, confidence: float) -> float:
    """Standard deviation for each axis from a radius and its confidence: r / sqrt(-2 ln(1 - p)), circular normal."""
    return accuracy_m / math.sqrt(-2.0 * math.log(1.0 - confidence))


def compare_fix(
    fix: GpsFix,
    place: PlanPosition,
    *,
    alignments: Mapping[str, Alignment],
    epsg_code: int | None,
    station_format: StationFormat,
) -> list[PlainFinding]:
    """No finding where fix and statement agree, otherwise `gps-differs` or `gps-disagrees`; never a hold."""
    if place.easting_m is None or place.northing_m is None:
        return []
    if not epsg_code:
        return [
            finding("gps-not-compared", "information",
                    "The satellite fix was not compared: the project has no coordinate system. Enter its EPSG code.")
        ]  # fmt: skip
    stated_at = float(place.easting_m), float(place.northing_m)
    try:
        longitude, latitude = crs.to_longitude_latitude(epsg_code, easting_m=stated_at[0], northing_m=stated_at[1])
    except crs.CoordinateSystemError:
        return []  # reported with the position itself
    away = float(geodesic((latitude, longitude), (float(fix.latitude_deg), float(fix.longitude_deg))).m)
    try:
        easting, northing = crs.to_easting_northing(
            epsg_code, longitude_deg=float(fix.longitude_deg), latitude_deg=float(fix.latitude_deg)
        )
    except crs.CoordinateSystemError as error:
        return [finding("gps-disagrees", "validity", f"The satellite fix is {away / 1000:.0f} km away. {error}",
                        distance_m=metres(away))]  # fmt: skip
    along, across = _differences(place, easting, northing)
    confidence = UNKNOWN_CONFIDENCE if fix.confidence_pct is None else float(fix.confidence_pct) / 100.0
    accuracy = UNKNOWN_ACCURACY_M if fix.accuracy_m is None else float(fix.accuracy_m)
    frame = crs.grid(epsg_code).frame_m
    sigma = math.sqrt(sigma_m(accuracy, confidence) ** 2 + STATEMENT_SIGMA_M**2 + frame**2)
    ratio = (along * along + across * across) / (sigma * sigma)
    numbers = {
        "distance_m": metres(away),
        "along_m": metres(along),
        "across_m": metres(across),
        "sigma_m": metres(sigma),
        "ratio": Decimal(repr(round(ratio, 2))),
    }
    if ratio <= NOTE_ABOVE:
        return []
    if ratio <= FLAG_ABOVE or away <= FLAG_DISTANCE_M:
        sentence = f"The satellite fix lies {away:.1f} m from the stated position, more than its accuracy explains."
        return [finding("gps-differs", "information", sentence, **numbers)]
    pattern, hint = _pattern(place, (easting, northing), along, across, 3.0 * sigma, alignments, station_format)
    sentence = f"The satellite fix lies {away:.1f} m from the stated position. {hint}"
    return [finding("gps-disagrees", "validity", sentence, pattern=pattern, **numbers)]


def _differences(place: PlanPosition, easting: float, northing: float) -> tuple[float, float]:
    """Fix less statement along and across the line, or in easting and northing where there is no line."""
    if place.line is None or place.station_m is None or place.offset_m is None:
        return easting - float(place.easting_m or 0), northing - float(place.northing_m or 0)
    found = project(place.line, easting_m=easting, northing_m=northing, stated_station_m=float(place.station_m))
    return found.station_m - float(place.station_m), found.offset_m - float(place.offset_m)


def _pattern(
    place: PlanPosition,
    fix: tuple[float, float],
    along: float,
    across: float,
    tolerance: float,
    alignments: Mapping[str, Alignment],
    station_format: StationFormat,
) -> tuple[str, str]:
    """The usual slips that would explain the difference; the first that fits."""
    if place.line is None or place.station_m is None or place.offset_m is None:
        return "none", "Check the stated coordinates."
    line, offset = place.line, float(place.offset_m)
    if abs(along) <= tolerance and abs(across + 2.0 * offset) <= tolerance < abs(2.0 * offset):
        return "side", "It would fit on the other side of the line: are left and right exchanged?"
    unit = float(line.unit.metres)
    block = station_format.block * unit
    blocks = round(along / block)
    if blocks and abs(across) <= tolerance and abs(along - blocks * block) <= min(tolerance, block / 4.0):
        return "station", f"It would fit {abs(blocks)} whole station{'s' if abs(blocks) > 1 else ''} " + (
            "further on: is the station mistyped?" if blocks > 0 else "further back: is the station mistyped?"
        )
    for zone, following in zip(line.stationing.zones, line.stationing.zones[1:], strict=False):
        step = float(following.label_from - zone.label(zone.internal_to)) * unit
        if abs(across) <= tolerance and min(abs(along - step), abs(along + step)) <= tolerance < abs(step):
            return "equation", "The difference is that of a station equation: was the zone left out?"
    printed = line.stationing.internal_to_display(place.station_m / line.unit.metres)
    for code, other in alignments.items():
        if code == place.alignment or not printed:
            continue
        own = printed[0]
        for spot in other.stationing.display_to_internal(
            own.station if own.kilometre is None else own.kilometre * KILOMETRE + own.station,
            kilometre=own.kilometre,
            metres=None if own.kilometre is None else own.station,
        ):
            try:
                there = other.point(station_m=float(other.unit.to_metres(spot.internal)), offset_m=offset)
            except BeyondAlignment:
                continue
            if math.dist(there, fix) <= tolerance:
                return "alignment", f"It would fit the same station on {code}: was the other line meant?"
    return "none", "Check station, offset and line."
