"""Independent libraries beside ours: nearest points on clothoids, geodesics beside grid lengths, many beside one."""

import math
from decimal import Decimal

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from pyproj import Proj

from projects.geometry import crs, crs_many
from projects.geometry.alignment import Alignment
from projects.geometry.elements import Element
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.importing import Answers, import_alignment
from projects.geometry.projection import project
from tests.geometry.landxml_files import winding, written
from tests.geometry.lines import Run, alignment


def test_nearest_points_on_clothoids_agree_with_an_independent_library():
    """1e-8 m: 40 random transitions, 25 points each, no farther from the line than 0.8 of its sharpest radius."""
    oracle = pytest.importorskip("pyclothoids")
    rng = np.random.default_rng(17)
    compared = 0
    for _ in range(40):
        k0, k1 = rng.uniform(-1 / 60, 1 / 60, 2)
        length = float(rng.uniform(10, 50))
        angle = float(rng.uniform(-3, 3))
        line = alignment(Run((Element(0.0, 0.0, angle, float(k0), float(k1), length),)))
        other = oracle.Clothoid.StandardParams(0.0, 0.0, angle, float(k0), float(k1 - k0) / length, length)
        farthest = 0.8 / max(abs(k0), abs(k1))
        for s, offset in zip(rng.uniform(0, length, 25), rng.uniform(-1, 1, 25) * min(farthest, 40), strict=True):
            easting, northing = line.point(station_m=float(s), offset_m=float(offset))
            found = project(line, easting_m=easting, northing_m=northing)
            if found.state not in ("on", "ambiguous"):
                continue
            compared += 1
            assert found.foot.distance_m == pytest.approx(other.Distance(easting, northing), abs=1e-8)
            if found.state == "on":
                assert found.station_m == pytest.approx(other.ClosestPointArcLength(easting, northing), abs=1e-6)
    assert compared > 900


@pytest.mark.parametrize(
    ("epsg", "easting", "northing"),
    [(32613, 480_000.0, 4_390_000.0), (2256, 744_000.0, 319_600.0), (3734, 700_000.0, 183_000.0)],
)
def test_grid_lengths_are_geodesics_times_the_scale_factor(epsg, easting, northing):
    """A kilometre in eight directions: length on the ellipsoid by geographiclib, scale factor by PROJ."""
    projection = Proj(f"EPSG:{epsg}")
    ellipsoid = Geodesic(projection.crs.ellipsoid.semi_major_metre, 1 / projection.crs.ellipsoid.inverse_flattening)
    for direction in range(8):
        angle = direction * math.pi / 4
        ends = [(easting + s * math.cos(angle), northing + s * math.sin(angle)) for s in (-500.0, 0.0, 500.0)]
        (lon0, lat0), (lon, lat), (lon1, lat1) = (
            crs.to_longitude_latitude(epsg, easting_m=e, northing_m=n) for e, n in ends
        )
        scale = projection.get_factors(lon, lat).meridional_scale  # conformal: the same in every direction
        assert ellipsoid.Inverse(lat0, lon0, lat1, lon1)["s12"] * scale == pytest.approx(1000.0, abs=1e-4)


@pytest.mark.parametrize("epsg", [32613, 2256, 3734])
def test_many_coordinates_are_what_one_is(epsg):
    grid = crs.grid(epsg)
    rng = np.random.default_rng(3)
    longitudes = rng.uniform(grid.west_deg, grid.east_deg, 200)
    latitudes = rng.uniform(max(grid.south_deg, -60.0), min(grid.north_deg, 60.0), 200)
    eastings, northings = crs_many.to_eastings_northings(epsg, longitudes_deg=longitudes, latitudes_deg=latitudes)
    back = crs_many.to_longitudes_latitudes(epsg, eastings_m=eastings, northings_m=northings)
    assert np.abs(back[0] - longitudes).max() < 1e-9
    assert np.abs(back[1] - latitudes).max() < 1e-9
    for i in range(0, 200, 20):
        single = crs.to_easting_northing(epsg, longitude_deg=longitudes[i], latitude_deg=latitudes[i])
        assert (eastings[i], northings[i]) == pytest.approx(single, abs=1e-9)
    outside = crs_many.to_longitudes_latitudes(
        epsg, eastings_m=np.asarray([1e12, math.nan]), northings_m=np.asarray([0.0, 0.0])
    )
    assert np.isnan(outside[0]).all()


def test_an_imported_line_and_the_one_it_was_written_from_give_the_same_stations():
    """Round trip through a file rounded to 0.1 mm: stations and offsets within 1 mm over 500 points."""
    line = winding(start_station=Decimal(1000))
    found = import_alignment(Document.read(written(line, digits=4)), Answers())

    back = Alignment.from_plain(found.content or {})
    rng = np.random.default_rng(4)
    for s, o in zip(rng.uniform(1001, 1724, 500), rng.uniform(-50, 50, 500), strict=True):
        easting, northing = line.point(station_m=float(s), offset_m=float(o))
        there = project(back, easting_m=easting, northing_m=northing, stated_station_m=float(s))
        assert (there.station_m, there.offset_m) == pytest.approx((s, o), abs=1e-3)
