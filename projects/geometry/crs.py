"""Map grids: easting and northing to longitude and latitude and back, checked.

Inside this service easting and northing are metres. A grid in feet is converted with the exact factor
of its own axis unit on the way to and from PROJ, so a grid in US survey feet loses nothing.
"""

import math
import threading
from dataclasses import dataclass
from functools import lru_cache

from pyproj import CRS, Proj, Transformer
from pyproj.exceptions import CRSError, ProjError

from projects.geometry.linear_units import LINEAR_UNITS, LinearUnit

# Areas of use are drawn roughly; a job on the border of one may lie this far outside it.
AREA_MARGIN_DEG = 0.1
ROUND_TRIP_M = 0.001
_local = threading.local()


class CoordinateSystemError(ValueError):
    """A coordinate system cannot be used, or a coordinate does not belong to it."""


class UnknownCoordinateSystem(CoordinateSystemError):
    """The EPSG code is not known, is not a projected grid, or has axes in another unit."""


class OutsideAreaOfUse(CoordinateSystemError):
    """The coordinate lies outside the area that the grid is defined for, or has no finite image in it."""


@dataclass(frozen=True)
class Grid:
    """What is stored about a map grid. Bounds in degrees; `accuracy_m` is -1 where PROJ does not know it.

    `frame_m` allows for reading WGS 84 as the grid's own datum: PROJ's default between WGS 84 and
    NAD 83 changes nothing although the frames differ by one to two metres (from memory).
    """

    epsg: int
    name: str
    unit: LinearUnit
    west_deg: float
    south_deg: float
    east_deg: float
    north_deg: float
    operation: str
    accuracy_m: float
    frame_m: float

    def holds(self, *, longitude_deg: float, latitude_deg: float) -> bool:
        """Whether a place lies in the area of use (with a margin of a tenth of a degree)."""
        margin = AREA_MARGIN_DEG
        if not self.south_deg - margin <= latitude_deg <= self.north_deg + margin:
            return False
        if self.west_deg <= self.east_deg:
            return self.west_deg - margin <= longitude_deg <= self.east_deg + margin
        return longitude_deg >= self.west_deg - margin or longitude_deg <= self.east_deg + margin


@lru_cache(maxsize=64)
def grid(epsg: int) -> Grid:
    """The grid of an EPSG code. Raises `UnknownCoordinateSystem`."""
    try:
        crs = CRS.from_epsg(epsg)
    except CRSError as error:
        raise UnknownCoordinateSystem(f"EPSG {epsg} is not known here. Check the code on the plans.") from error
    if not crs.is_projected or crs.area_of_use is None:
        raise UnknownCoordinateSystem(f"EPSG {epsg} ({crs.name}) is not a map grid with eastings and northings.")
    factors = {axis.unit_conversion_factor for axis in crs.axis_info[:2]}
    matching = [
        unit
        for unit in LINEAR_UNITS.values()
        if all(math.isclose(float(unit.metres), f, rel_tol=1e-9) for f in factors)
    ]
    if not matching:
        raise UnknownCoordinateSystem(f"EPSG {epsg} ({crs.name}) has axes neither in metres nor in feet.")
    area = crs.area_of_use
    to_globe = transformer(epsg, True)
    datum = crs.datum.name if crs.datum is not None else ""
    return Grid(
        epsg=epsg,
        name=crs.name,
        unit=matching[0],
        west_deg=area.west,
        south_deg=area.south,
        east_deg=area.east,
        north_deg=area.north,
        operation=to_globe.description,
        accuracy_m=float(to_globe.accuracy if to_globe.accuracy is not None else -1.0),
        frame_m=0.0 if "World Geodetic System 1984" in datum else 1.0,
    )


def transformer(epsg: int, to_degrees: bool) -> Transformer:
    """One transformer for each thread: sharing them between threads has an open report of wrong results."""
    cache: dict[tuple[int, bool], Transformer] = _local.__dict__.setdefault("transformers", {})
    key = (epsg, to_degrees)
    if key not in cache:
        ends = (f"EPSG:{epsg}", "EPSG:4326") if to_degrees else ("EPSG:4326", f"EPSG:{epsg}")
        cache[key] = Transformer.from_crs(*ends, always_xy=True)
    return cache[key]


def to_longitude_latitude(epsg: int, *, easting_m: float, northing_m: float) -> tuple[float, float]:
    """Longitude and latitude (degrees, WGS 84). Raises `OutsideAreaOfUse` or `UnknownCoordinateSystem`."""
    place = grid(epsg)
    factor = float(place.unit.metres)
    shown = f"E {easting_m / factor:.3f}, N {northing_m / factor:.3f} {place.unit.symbol}"
    longitude, latitude = _transform(epsg, True, easting_m / factor, northing_m / factor, shown)
    if not place.holds(longitude_deg=longitude, latitude_deg=latitude):
        raise OutsideAreaOfUse(
            f"{shown} would lie at {latitude:.4f}, {longitude:.4f}, outside the area of {place.name}. "
            "Are easting and northing swapped, or is the unit another one?"
        )
    back = _transform(epsg, False, longitude, latitude, shown)
    if math.hypot(back[0] * factor - easting_m, back[1] * factor - northing_m) > ROUND_TRIP_M:
        raise OutsideAreaOfUse(f"{shown} does not come back from longitude and latitude within 1 mm.")
    return longitude, latitude


def to_easting_northing(epsg: int, *, longitude_deg: float, latitude_deg: float) -> tuple[float, float]:
    """Easting and northing in metres of a WGS 84 place. Raises `OutsideAreaOfUse` or `UnknownCoordinateSystem`."""
    place = grid(epsg)
    shown = f"latitude {latitude_deg:.6f}, longitude {longitude_deg:.6f}"
    if not place.holds(longitude_deg=longitude_deg, latitude_deg=latitude_deg):
        raise OutsideAreaOfUse(f"{shown} lies outside the area of {place.name}. Check signs and order.")
    easting, northing = _transform(epsg, False, longitude_deg, latitude_deg, shown)
    factor = float(place.unit.metres)
    return easting * factor, northing * factor


def area_scale(epsg: int, *, easting_m: float, northing_m: float) -> float:
    """Areal scale of the grid at a place: area on the grid over area on the ellipsoid (PROJ's factors)."""
    longitude, latitude = to_longitude_latitude(epsg, easting_m=easting_m, northing_m=northing_m)
    factors = Proj(CRS.from_epsg(epsg)).get_factors(longitude, latitude, errcheck=True)
    return float(factors.areal_scale)


def _transform(epsg: int, to_degrees: bool, x: float, y: float, shown: str) -> tuple[float, float]:
    try:
        first, second = transformer(epsg, to_degrees).transform(x, y, errcheck=True)
    except ProjError as error:
        raise OutsideAreaOfUse(f"{shown} has no place in EPSG {epsg}.") from error
    if not (math.isfinite(first) and math.isfinite(second)):
        raise OutsideAreaOfUse(f"{shown} has no place in EPSG {epsg}.")
    return float(first), float(second)
