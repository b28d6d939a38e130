"""Many coordinates at once: longitude and latitude of map grid points and back. What has no place becomes NaN."""

import numpy as np

from projects.geometry import crs
from projects.geometry.elements import FloatArray


def to_longitudes_latitudes(
    epsg: int, *, eastings_m: FloatArray, northings_m: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Degrees on WGS 84, with the checks of `crs.to_longitude_latitude`: area of use, finite, back within 1 mm."""
    place = crs.grid(epsg)
    factor = float(place.unit.metres)
    x, y = np.asarray(eastings_m, dtype=np.float64) / factor, np.asarray(northings_m, dtype=np.float64) / factor
    longitude, latitude = _transformed(epsg, True, x, y)
    back_x, back_y = _transformed(epsg, False, longitude, latitude)
    with np.errstate(invalid="ignore"):
        astray = ~(np.hypot(back_x - x, back_y - y) * factor <= crs.ROUND_TRIP_M)
    astray |= ~_within(place, longitude, latitude)
    return np.where(astray, np.nan, longitude), np.where(astray, np.nan, latitude)


def to_eastings_northings(
    epsg: int, *, longitudes_deg: FloatArray, latitudes_deg: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Metres on the grid of WGS 84 places; NaN outside its area of use."""
    place = crs.grid(epsg)
    longitude, latitude = np.asarray(longitudes_deg, dtype=np.float64), np.asarray(latitudes_deg, dtype=np.float64)
    inside = _within(place, longitude, latitude)
    x, y = _transformed(epsg, False, np.where(inside, longitude, np.nan), np.where(inside, latitude, np.nan))
    factor = float(place.unit.metres)
    return x * factor, y * factor


def _transformed(epsg: int, to_degrees: bool, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    first, second = crs.transformer(epsg, to_degrees).transform(x, y)
    found = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    lost = ~(np.isfinite(found[0]) & np.isfinite(found[1]))
    return np.where(lost, np.nan, found[0]), np.where(lost, np.nan, found[1])


def _within(
    place: crs.Grid, longitude: FloatArray, latitude: FloatArray
) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
    margin = crs.AREA_MARGIN_DEG
    with np.errstate(invalid="ignore"):
        in_latitude = (place.south_deg - margin <= latitude) & (latitude <= place.north_deg + margin)
        west, east = longitude >= place.west_deg - margin, longitude <= place.east_deg + margin
        across = place.west_deg > place.east_deg
        return np.asarray(in_latitude & ((west | east) if across else (west & east)), dtype=np.bool_)
