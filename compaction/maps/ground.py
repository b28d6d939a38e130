"""From easting and northing in metres to what a web map draws in: degrees on a known grid, plain metres without one."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from projects.geometry import crs

Position = list[float]
# 1e-8 degree is about a millimetre; metres are kept to the millimetre as well.
_DEGREE_DIGITS, _METRE_DIGITS = 8, 3


@dataclass(frozen=True)
class Ground:
    """`epsg_code` of the project's grid, or None for a site that has coordinates of its own only."""

    epsg_code: int | None

    @property
    def simple(self) -> bool:
        """Whether the map is drawn in plain metres, easting to the right and northing up."""
        return not self.epsg_code

    def position(self, easting_m: float, northing_m: float) -> Position | None:
        """[longitude, latitude] or [easting, northing]; None where the grid has no such place."""
        if not self.epsg_code:
            return [round(easting_m, _METRE_DIGITS), round(northing_m, _METRE_DIGITS)]
        try:
            longitude, latitude = crs.to_longitude_latitude(self.epsg_code, easting_m=easting_m, northing_m=northing_m)
        except crs.CoordinateSystemError:
            return None
        return [round(longitude, _DEGREE_DIGITS), round(latitude, _DEGREE_DIGITS)]

    def line(self, points: Iterable[tuple[float, float]]) -> list[Position]:
        """A line or outline, leaving out what has no place."""
        found = (self.position(easting_m, northing_m) for easting_m, northing_m in points)
        return [place for place in found if place is not None]

    def of_test(
        self,
        *,
        easting_m: Decimal | None,
        northing_m: Decimal | None,
        longitude: Decimal | None,
        latitude: Decimal | None,
    ) -> Position | None:
        """The place of a test as it was derived when it was recorded; nothing is transformed again."""
        first, second = (easting_m, northing_m) if self.simple else (longitude, latitude)
        if first is None or second is None:
            return None
        digits = _METRE_DIGITS if self.simple else _DEGREE_DIGITS
        return [round(float(first), digits), round(float(second), digits)]
