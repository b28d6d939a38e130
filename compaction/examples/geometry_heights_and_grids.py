"""Vertical curves, depth below grade, map grids, feet and geodesics."""

import math
from decimal import Decimal
from typing import Any

from geopy.distance import geodesic
from pyproj import CRS, Geod, Proj, Transformer

from compaction.calculations.quantities import to_si
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, degrees
from compaction.examples.geometry_curves import expected, misprints
from compaction.examples.topic import Example, Topic
from projects.geometry import crs
from projects.geometry.linear_units import FOOT, METRE, US_SURVEY_FOOT
from projects.geometry.profile import Profile
from projects.geometry.section import CrownedSection
from projects.geometry.vertical_curves import VerticalPoint

_FT = 0.3048
_REACH = 2000


def run_profiles(example: Example, check: Check) -> None:
    """A parabola through its tangents, or two circular curves; and the depth of a test below grade."""
    if "radius_m" in example:
        _circles(example, check)
        return
    profile, within = _parabola(example), example["tolerance"]
    curve = profile.curves[0]
    for name, rows in (("elevation", example.get("elevations", [])), ("grade", example.get("grades", []))):
        for station, printed in rows:
            found = profile.elevation_m(station * _FT) / _FT if name == "elevation" else profile.grade(station * _FT)
            unit = "ft" if name == "elevation" else "pct"
            found = found * 100 if unit == "pct" else found
            check.number(f"{name} at {station}", printed, found, within=within[unit], unit=unit)
    low = curve.turning_station_m
    ends = {"bvc": curve.bvc_station_m, "evc": curve.evc_station_m} | ({} if low is None else {"turning": low})
    worked = {}
    for name, station_m in ends.items():
        worked[f"{name}_station_ft"] = station_m / _FT
        worked[f"{name}_elevation_ft"] = profile.elevation_m(station_m) / _FT
    if "cover_ft" in example:
        worked |= _depth(example, profile)
    expected(example, check, worked)
    stations = {f"elevation_at_{station}": station for station, _ in example.get("elevations", [])}
    exact = {
        name: to_si(Decimal(repr(profile.elevation_m(station * _FT) / _FT)), "ft") for name, station in stations.items()
    }
    misprints(example, check, exact)


def _parabola(example: Example) -> Profile:
    """Tangents through the point of intersection with the printed grades, long enough for the curve."""
    length = Decimal(example["curve_length_ft"])
    grade_in, grade_out = (Decimal(str(example[name])) / 100 for name in ("grade_in_pct", "grade_out_pct"))
    if "pvi_station_ft" in example:
        station, elevation = Decimal(example["pvi_station_ft"]), Decimal(example["pvi_elevation_ft"])
    else:
        station = Decimal(example["bvc_station_ft"]) + length / 2
        elevation = Decimal(example["bvc_elevation_ft"]) + grade_in * length / 2
    return Profile(
        (
            VerticalPoint(station - _REACH, elevation - grade_in * _REACH),
            VerticalPoint(station, elevation, curve_length=length),
            VerticalPoint(station + _REACH, elevation + grade_out * _REACH),
        ),
        FOOT,
    )


def _depth(example: Example, profile: Profile) -> dict[str, float]:
    section = CrownedSection(Decimal(example["cross_slope"]), to_si(Decimal(example["cover_ft"]), "ft"))
    line_m = profile.elevation_m(example["station_ft"] * _FT)
    surface_m = section.surface_m(grade_line_m=line_m, offset_m=example["offset_right_ft"] * _FT)
    return {
        "design_grade_ft": line_m / _FT,
        "subgrade_ft": surface_m / _FT,
        "depth_ft": surface_m / _FT - float(example["test_elevation_ft"]),
    }


def _circles(example: Example, check: Check) -> None:
    """The point of intersection lies where the tangents meet: half way along the chord, to well below the tolerance."""
    tangent = example["radius_m"] * math.tan(abs(math.atan(example["grade_between_pct"] / 100)) / 2)
    crest, sag = example["crest_start"], example["sag_end"]
    points: list[tuple[float, float, dict[str, Any]]] = [
        (crest[0] - 100, crest[1], {}),
        (crest[0] + tangent, crest[1], {"radius": Decimal(str(example["radius_m"]))}),
        (sag[0] - tangent, sag[1], {"radius": Decimal(str(example["radius_m"]))}),
        (sag[0] + 100, sag[1], {}),
    ]
    profile = Profile(
        tuple(VerticalPoint(Decimal(f"{s:.6f}"), Decimal(f"{e:.6f}"), **more) for s, e, more in points), METRE
    )
    for name in ("crest_start", "crest_end", "sag_start", "sag_end"):
        station, elevation = example[name]
        found = profile.elevation_m(station)
        check.number(f"elevation at {station}", elevation, found, within=example["tolerance"]["m"], unit="m")


def run_grids(example: Example, check: Check) -> None:
    """A place on a map grid, two feet beside each other, or a geodesic."""
    if "epsg" in example or "projection" in example:
        _on_the_grid(example, check)
    elif "from_deg" in example:
        start, end = ([degrees(angle, "degrees") for angle in example[name]] for name in ("from_deg", "to_deg"))
        azimuth, back, _ = Geod(ellps="GRS80").inv(start[1], start[0], end[1], end[0])
        expected(
            example,
            check,
            {
                "distance_m": geodesic(start, end, ellipsoid="GRS-80").m,
                "azimuth_deg": azimuth % 360,
                "back_azimuth_deg": back % 360,
            },
        )
    elif "easting_ftus" in example:
        ratio = float(US_SURVEY_FOOT.metres / FOOT.metres)
        expected(example, check, {"ratio": ratio, "shift_ft": example["easting_ftus"] * (ratio - 1)})
    else:
        raise BrokenExample("epsg", "is missing.", "Give a grid with its place, two places, or an easting.")


def _on_the_grid(example: Example, check: Check) -> None:
    latitude, longitude = degrees(example["latitude"], "latitude"), degrees(example["longitude"], "longitude")
    # The grid's own datum, so that no shift of datum comes in.
    grid = CRS.from_epsg(example["epsg"]) if "epsg" in example else CRS.from_proj4(example["projection"])
    found = Transformer.from_crs(grid.geodetic_crs, grid, always_xy=True).transform(longitude, latitude)
    unit = crs.grid(example["epsg"]).unit.code.lower() if "epsg" in example else "m"
    factors = Proj(grid).get_factors(longitude, latitude)
    expected(
        example,
        check,
        {
            f"easting_{unit}": found[0],
            f"northing_{unit}": found[1],
            "point_scale": factors.meridional_scale,
            "convergence_deg": factors.meridian_convergence,
        },
    )


PROFILES = Topic(
    code="design_profiles",
    title="Vertical curves and depth below grade",
    run=run_profiles,
    needs=("tolerance",),
    keys={
        "pvi_station_ft": "point of intersection, as text; or the begin of the curve",
        "pvi_elevation_ft": "its elevation",
        "bvc_station_ft": "begin of the curve, as text",
        "bvc_elevation_ft": "its elevation",
        "grade_in_pct": "grade before the curve",
        "grade_out_pct": "grade behind it",
        "curve_length_ft": "length of the parabola, as text",
        "elevations": "pairs of a station and the elevation printed there",
        "grades": "pairs of a station and the grade printed there, percent",
        "misprints": 'elevations that the source prints wrong, as { elevation_at_9100 = "1216.147 ft" }',
        "radius_m": "radius of two circular curves, crest then sag, level before and behind",
        "grade_between_pct": "grade between them",
        "crest_start": "station and elevation where the crest begins",
        "crest_end": "where it ends",
        "sag_start": "where the sag begins",
        "sag_end": "where it ends",
        "station_ft": "station of a test, for its depth below grade",
        "offset_right_ft": "its offset",
        "cross_slope": "slope from the crown, as text",
        "cover_ft": "thickness above the subgrade, as text",
        "test_elevation_ft": "elevation of the test, as text",
        "tolerance": "tolerance by unit, as { ft = 0.0006, pct = 0.0006 }",
    },
    figures={
        "bvc_station_ft": "begin of the curve",
        "bvc_elevation_ft": "its elevation",
        "evc_station_ft": "end of the curve",
        "evc_elevation_ft": "its elevation",
        "turning_station_ft": "lowest or highest point",
        "turning_elevation_ft": "its elevation",
        "design_grade_ft": "grade line at the test",
        "subgrade_ft": "subgrade beside the crown",
        "depth_ft": "depth of the test below it",
    },
)
GRIDS = Topic(
    code="map_grids",
    title="Map grids, feet and geodesics",
    run=run_grids,
    needs=("tolerance",),
    keys={
        "epsg": "code of the grid; or",
        "projection": "the grid in PROJ's own notation",
        "latitude": 'latitude, degrees or as "37d57m3.7203s"',
        "longitude": "longitude",
        "from_deg": "latitude and longitude where a geodesic (GRS 80) starts",
        "to_deg": "where it ends",
        "easting_ftus": "easting in US survey feet that is taken for international feet",
        "tolerance": "tolerance by unit, as { m = 0.001, deg = 2e-6, scale = 1e-8 }",
    },
    figures={
        "easting_m": "on the grid, in its own unit",
        "easting_ftus": "the same in US survey feet",
        "easting_ft": "the same in international feet",
        "northing_m": "on the grid",
        "northing_ftus": "the same in US survey feet",
        "northing_ft": "the same in international feet",
        "point_scale": "scale of the grid at the place",
        "convergence_deg": "angle of grid north, east of true north positive",
        "distance_m": "of the geodesic",
        "azimuth_deg": "at its start, from north",
        "back_azimuth_deg": "at its end, from north, looking back",
        "ratio": "US survey foot over international foot",
        "shift_ft": "by which the easting is wrong",
    },
)
