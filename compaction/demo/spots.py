"""Where tests are made: spread over the reach, by station, offset and elevation, sometimes with a satellite fix."""

import random
from typing import Any

from compaction.demo import site
from projects.geometry import crs

FOOT_M = 0.3048
EDGE_FT = 12  # tests keep off the end of a reach
FACE_FT = 2  # and off the slope
FIX_EVERY, DEPTH_EVERY = 3, 9


def spread(dice: random.Random, *, section: site.Section, lift: int, count: int, to_ft: int) -> list[tuple[int, int]]:
    """Station and offset of each test, one in each of `count` equal cells (whole feet)."""
    start = section.from_ft + EDGE_FT
    cell = (to_ft - EDGE_FT - start) / count
    half = site.half_width_ft(lift) - FACE_FT
    return [
        (int(start + cell * (number + dice.uniform(0.15, 0.85))), dice.randint(-half, half)) for number in range(count)
    ]


def beside(dice: random.Random, station_ft: int, offset_ft: int, *, lift: int) -> tuple[int, int]:
    """A spot a few feet away, in the same reworked ground."""
    half = site.half_width_ft(lift) - FACE_FT
    moved = offset_ft + dice.choice((-2, -1, 1, 2))
    return station_ft + dice.choice((-4, -3, -2, 2, 3, 4)), max(-half, min(half, moved))


def height(dice: random.Random, *, lift: int, station_ft: int, number: int) -> dict[str, Any]:
    """The elevation of the tested surface, levelled; now and then the depth below grade instead."""
    level = site.top_ft(lift, station_ft) + dice.gauss(0, 0.04)
    if number % DEPTH_EVERY == DEPTH_EVERY - 1:
        depth = max(0.0, site.top_ft(site.LIFTS, station_ft) - level)
        return {"depth_below_grade": f"{depth:.2f} ft"}
    return {"elevation": f"{level:.2f} ft", "elevation_from": "level"}


def fix(dice: random.Random, *, station_ft: float, offset_ft: float, accuracy_m: float = 4.5) -> dict[str, Any]:
    """A satellite fix at a spot, scattered less than its stated accuracy allows."""
    easting, northing = site.line().point(station_m=station_ft * FOOT_M, offset_m=offset_ft * FOOT_M)
    scatter = accuracy_m / 2.2
    longitude, latitude = crs.to_longitude_latitude(
        site.EPSG_CODE, easting_m=easting + dice.gauss(0, scatter), northing_m=northing + dice.gauss(0, scatter)
    )
    return {
        "latitude": f"{latitude:.6f}",
        "longitude": f"{longitude:.6f}",
        "accuracy": f"{accuracy_m} m",
        "confidence": "68 %",
    }


def place(dice: random.Random, *, lift: int, station_ft: int, offset_ft: int, number: int) -> dict[str, Any]:
    """The members of a position beside station and offset."""
    found = height(dice, lift=lift, station_ft=station_ft, number=number)
    if number % FIX_EVERY == 0:
        found["gps"] = fix(dice, station_ft=station_ft, offset_ft=offset_ft)
    return found
