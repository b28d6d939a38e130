"""Map grids and geodesics against print."""

import math
import threading

import pytest

from compaction.examples.check import DEVIATES, Check
from compaction.examples.figures import degrees
from compaction.examples.geometry_heights_and_grids import run_grids
from projects.geometry import crs
from tests.geometry.examples import examples

CASES = examples("grids")


@pytest.mark.parametrize("name", ["J1", "J3", "J4", "J4-PROJECTION", "GR-1", "U1", "G1"])
def test_as_printed(name):
    """On the grid's own datum, so no shift to WGS 84 may come in."""
    check = Check(CASES[name])
    run_grids(CASES[name], check)
    checked = check.finish()
    assert checked.verdict != DEVIATES
    assert len(checked.lines) >= 2


def test_transverse_mercator_there_and_back():
    case, place = CASES["J4"], CASES["J4"]["printed"]
    longitude, latitude = degrees(case["longitude"], ""), degrees(case["latitude"], "")
    found = crs.to_easting_northing(case["epsg"], longitude_deg=longitude, latitude_deg=latitude)
    assert found == pytest.approx((place["easting_m"], place["northing_m"]), abs=case["tolerance"]["m"])
    back = crs.to_longitude_latitude(case["epsg"], easting_m=found[0], northing_m=found[1])
    assert back == pytest.approx((longitude, latitude), abs=1e-10)


@pytest.mark.parametrize(("epsg", "unit"), [(2278, "ftUS"), (2222, "ft"), (2256, "ft"), (32613, "m"), (3734, "ftUS")])
def test_unit_is_read_from_the_axes(epsg, unit):
    assert crs.grid(epsg).unit.code == unit


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
    case, printed = CASES["J4"], CASES["J4"]["printed"]
    seen, answers = set(), set()
    together = threading.Barrier(4)

    def work():
        together.wait()
        seen.add(id(crs.transformer(case["epsg"], True)))
        together.wait()
        answers.add(
            crs.to_longitude_latitude(case["epsg"], easting_m=printed["easting_m"], northing_m=printed["northing_m"])
        )

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(seen) == 4
    assert len(answers) == 1
