"""Ground lengths on a map grid: the combined factor, said on the alignment and applied in one place.

grid = ground x factor + shift. The factor is grid scale x elevation factor and is usually a little below 1;
the project publishes it. Without it stations are lengths on the grid, and nothing is scaled silently.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.elements import FloatArray
from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import ContentError, as_object, needed_decimal, optional_decimal, plain_decimal

# Grid scale and elevation factors of map grids lie well inside this (5,000 m of height is 800 ppm; from memory).
LOWEST, HIGHEST = Decimal("0.997"), Decimal("1.003")
_KEYS = frozenset({"combined_factor", "coordinates", "shift_easting", "shift_northing"})
_SOURCE_KEYS = frozenset({"format", "file", "sha256", "alignment", "profile", "remarks"})


@dataclass(frozen=True)
class GroundScale:
    """The factor, the shift (m, on the grid), and whether the definition's points are grid or ground coordinates."""

    combined_factor: Decimal
    coordinates: str = "grid"  # grid | ground
    shift_easting_m: Decimal = Decimal(0)
    shift_northing_m: Decimal = Decimal(0)

    def to_grid(self, easting: FloatArray, northing: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Grid coordinates of a place in ground metres."""
        factor = float(self.combined_factor)
        return easting * factor + float(self.shift_easting_m), northing * factor + float(self.shift_northing_m)

    def from_grid(self, easting_m: FloatArray, northing_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Ground metres of a place in grid coordinates."""
        factor = float(self.combined_factor)
        return (easting_m - float(self.shift_easting_m)) / factor, (northing_m - float(self.shift_northing_m)) / factor

    def of_definition(self, easting_m: float, northing_m: float) -> tuple[float, float]:
        """Ground metres of a point of the definition."""
        if self.coordinates == "ground":
            return easting_m, northing_m
        factor = float(self.combined_factor)
        return (
            (easting_m - float(self.shift_easting_m)) / factor,
            (northing_m - float(self.shift_northing_m)) / factor,
        )

    @property
    def words(self) -> str:
        """The factor in words, for pages and reports."""
        ppm = (self.combined_factor - 1) * 1_000_000
        given = "ground coordinates" if self.coordinates == "ground" else "grid coordinates"
        return (
            f"Stations, offsets, radii and lengths are ground lengths; grid = ground × {self.combined_factor} "
            f"({ppm:+.1f} ppm). The points are given in {given}."
        )

    def to_plain(self, unit: LinearUnit) -> dict[str, str]:
        """Stored content; the shift in the unit of the coordinates."""
        return {
            "combined_factor": plain_decimal(self.combined_factor),
            "coordinates": self.coordinates,
            "shift_easting": plain_decimal(unit.from_metres(self.shift_easting_m).quantize(Decimal("1e-6"))),
            "shift_northing": plain_decimal(unit.from_metres(self.shift_northing_m).quantize(Decimal("1e-6"))),
        }


def scale_from_plain(content: Any, unit: LinearUnit) -> GroundScale | None:
    """The factor from stored content, None where none is said. Raises `ContentError`."""
    if content is None:
        return None
    as_object(content, "scale", _KEYS)
    factor = needed_decimal(content, "combined_factor", "scale.")
    if not LOWEST <= factor <= HIGHEST:
        raise ContentError(
            "scale.combined_factor", f"{factor} is outside {LOWEST} to {HIGHEST}. It is grid over ground, near 1."
        )
    coordinates = content.get("coordinates")
    if coordinates not in ("grid", "ground"):
        raise ContentError("scale.coordinates", "are the points grid or ground coordinates? Say grid or ground.")
    shifts = [
        unit.to_metres(optional_decimal(content, name, "scale.") or Decimal(0))
        for name in ("shift_easting", "shift_northing")
    ]
    return GroundScale(factor, str(coordinates), *shifts)


def source_from_plain(content: Any) -> tuple[tuple[str, str], ...]:
    """Where a definition came from: short texts under known names, in one order. Raises `ContentError`."""
    if content is None:
        return ()
    named: Mapping[str, Any] = as_object(content, "source", _SOURCE_KEYS)
    for name, text in named.items():
        if not isinstance(text, str) or len(text) > 200 or not text.isprintable():
            raise ContentError(f"source.{name}", "at most 200 printable characters are kept here.")
    return tuple(sorted((name, text) for name, text in named.items() if text))
