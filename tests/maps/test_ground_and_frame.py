"""Coordinates of the map, and a folium frame that asks nobody but us."""

import re
from decimal import Decimal

import folium
import pytest

from compaction.maps import frame
from compaction.maps.ground import Ground
from projects.geometry import crs

LAYERS = frame.LayerAddresses("/tests", "/placements", "/areas", "/alignment", "/test")
FILES = frame.Files(("/static/leaflet.js", "/static/plan.js"), ("/static/leaflet.css",))
BOUNDS = [[3048.0, 6096.0], [3100.0, 7315.2]]
OUTSIDE = re.compile(r"(?:https?:)?//[a-z0-9]", re.IGNORECASE)


def drawn(**changes: object) -> frame.Frame:
    values: dict[str, object] = {"layers": LAYERS, "files": FILES, "bounds": BOUNDS, "simple": True}
    values.update(changes)
    return frame.draw(**values)  # type: ignore[arg-type]


def whole(found: frame.Frame) -> str:
    return "\n".join([found.head, found.body, found.script, found.style])


def test_without_a_grid_coordinates_stay_metres() -> None:
    assert Ground(None).position(6096.00004, 3048.0) == [6096.0, 3048.0]
    assert Ground(None).simple


def test_with_a_grid_they_become_degrees_and_agree_with_the_grid() -> None:
    place = Ground(32613).position(500_000.0, 4_427_757.0)
    assert place is not None
    easting, northing = crs.to_easting_northing(32613, longitude_deg=place[0], latitude_deg=place[1])
    assert easting == pytest.approx(500_000.0, abs=0.002)
    assert northing == pytest.approx(4_427_757.0, abs=0.002)
    assert place[0] == pytest.approx(-105.0, abs=1e-8)  # the middle meridian of zone 13


def test_what_lies_off_the_grid_is_left_out_of_a_line() -> None:
    inside = (500_000.0, 4_427_757.0)
    assert len(Ground(32613).line([inside, (1e12, 1e12), inside])) == 2
    assert Ground(32613).position(1e12, 1e12) is None


def test_a_test_without_coordinates_has_no_place() -> None:
    half = {"easting_m": Decimal(1), "northing_m": Decimal(2), "longitude": None, "latitude": None}
    assert Ground(32613).of_test(**half) is None
    assert Ground(None).of_test(**half) == [1.0, 2.0]


def test_the_frame_names_no_host() -> None:
    for simple in (True, False):
        assert OUTSIDE.findall(whole(drawn(simple=simple))) == []


def test_script_and_style_are_taken_out_of_the_page() -> None:
    found = drawn()
    assert "<style" not in found.head + found.body
    assert re.findall(r"<script[^>]*>", found.head + found.body) == [
        '<script src="/static/leaflet.js">',
        '<script src="/static/plan.js">',
    ]
    assert "style=" not in found.body
    assert "L.map(" in found.script
    assert "#map_site" in found.style


def test_a_site_without_a_grid_is_drawn_in_plain_metres() -> None:
    assert "crs: L.CRS.Simple" in drawn().script
    assert "crs: L.CRS.EPSG3857" in drawn(simple=False).script


def test_the_same_site_gives_the_same_frame_in_each_of_the_three_responses() -> None:
    assert drawn() == drawn()


def test_other_maps_of_the_process_are_left_alone() -> None:
    before = list(folium.Map.default_js)
    drawn()
    assert folium.Map.default_js == before
    assert any("leaflet" in address for _, address in before)


def test_tiles_come_only_from_the_operator_and_only_onto_a_real_grid() -> None:
    tiles = frame.Tiles("https://tiles.example.test/{z}/{x}/{y}.png", "survey office<script>`${1}`</script>")
    on_grid = drawn(simple=False, tiles=tiles).script
    assert "https://tiles.example.test/{z}/{x}/{y}.png" in on_grid
    assert "survey officescript1/script" in on_grid
    assert "tiles.example.test" not in drawn(tiles=tiles).script
    assert "tileLayer" not in drawn(simple=False).script
