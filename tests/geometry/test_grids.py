"""Map grids and geodesics against print."""

import math
import threading

import pytest
from geopy.distance import geodesic as distance
from pyproj import CRS, Transformer

from projects.geometry import crs
from projects.geometry.linear_units import FOOT, US_SURVEY_FOOT
from tests.geometry.examples import examples

CASES = examples("grids")


def test_transverse_mercator_as_printed():
    case = CASES["transverse_mercator"]
    found = crs.to_easting_northing(
        case["epsg"], longitude_deg=case["longitude_deg"], latitude_deg=case["latitude_deg"]
    )
    assert found == pytest.approx((case["easting_m"], case["northing_m"]), abs=case["tolerance_m"])
    back = crs.to_longitude_latitude(case["epsg"], easting_m=found[0], northing_m=found[1])
    assert back == pytest.approx((case["longitude_deg"], case["latitude_deg"]), abs=1e-10)


@pytest.mark.parametrize(("name", "suffix"), [("us_survey_foot_grid", "ftus"), ("oblique_mercator", "m")])
def test_grids_on_their_own_datum_as_printed(name, suffix):
    """The example is on the grid's own datum, so no shift to WGS 84 may come in; the unit is what is tested."""
    case = CASES[name]
    grid = CRS.from_epsg(case["epsg"])
    found = Transformer.from_crs(grid.geodetic_crs, grid, always_xy=True).transform(
        case["longitude_deg"], case["latitude_deg"]
    )
    tolerance = case.get("tolerance_ft") or case["tolerance_m"]
    assert found == pytest.approx((case[f"easting_{suffix}"], case[f"northing_{suffix}"]), abs=tolerance)
    assert crs.grid(case["epsg"]).unit.code == {"ftus": "ftUS", "m": "m"}[suffix]


@pytest.mark.parametrize(("epsg", "unit"), [(2278, "ftUS"), (2222, "ft"), (2256, "ft"), (32613, "m"), (3734, "ftUS")])
def test_unit_is_read_from_the_axes(epsg, unit):
    assert crs.grid(epsg).unit.code == unit


def test_foot_definitions_as_printed():
    case = CASES["feet"]
    ratio = US_SURVEY_FOOT.metres / FOOT.metres
    assert float(ratio) == pytest.approx(case["ratio"], abs=1e-9)
    assert case["easting_ftus"] * (float(ratio) - 1) == pytest.approx(case["shift_ft"], abs=case["tolerance_ft"])


def test_geodesic_as_printed():
    case = CASES["geodesic"]
    found = distance(case["from_deg"], case["to_deg"], ellipsoid="GRS-80").m
    assert found == pytest.approx(case["distance_m"], abs=case["tolerance_m"])


def test_survey_foot_grid_comes_back_in_metres():
    east, north = 2_300_000 * 1200 / 3937, 600_000 * 1200 / 3937
    longitude, latitude = crs.to_longitude_latitude(3734, easting_m=east, northing_m=north)
    assert crs.grid(3734).holds(longitude_deg=longitude, latitude_deg=latitude)
    assert crs.to_easting_northing(3734, longitude_deg=longitude, latitude_deg=latitude) == pytest.approx(
        (east, north), abs=1e-6
    )


def test_swapped_axes_and_wrong_units_are_told():
    with pytest.raises(crs.OutsideAreaOfUse, match="Are easting and northing swapped"):
        crs.to_longitude_latitude(32613, easting_m=4_400_000.0, northing_m=500_000.0)
    with pytest.raises(crs.OutsideAreaOfUse, match="Check signs and order"):
        crs.to_easting_northing(32613, longitude_deg=40.0, latitude_deg=-105.0)
    with pytest.raises(crs.OutsideAreaOfUse):
        crs.to_longitude_latitude(32613, easting_m=math.inf, northing_m=0.0)


@pytest.mark.parametrize(("epsg", "sentence"), [(4326, "not a map grid"), (999999, "not known here")])
def test_codes_that_are_no_grid(epsg, sentence):
    with pytest.raises(crs.UnknownCoordinateSystem, match=sentence):
        crs.grid(epsg)


def test_threads_have_their_own_transformers():
    case = CASES["transverse_mercator"]
    seen, answers = set(), set()
    together = threading.Barrier(4)

    def work():
        together.wait()
        seen.add(id(crs._transformer(case["epsg"], True)))
        together.wait()
        answers.add(crs.to_longitude_latitude(case["epsg"], easting_m=case["easting_m"], northing_m=case["northing_m"]))

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(seen) == 4
    assert len(answers) == 1
