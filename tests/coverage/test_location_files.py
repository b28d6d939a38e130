"""Locations as files: read back by a parser they say the same, whatever people wrote."""

import json
from dataclasses import replace
from decimal import Decimal
from xml.etree import ElementTree

import pytest

from compaction.coverage.location_files import MEDIA, Stake, write

GPX = "{http://www.topografix.com/GPX/1/1}"
KML = "{http://www.opengis.net/kml/2.2}"
HOSTILE = 'Fill <b>&amp; "east" \x07 ]]> ñ 土'
STAKE = Stake(
    id="3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10", name="L4-3", area="core", lift=4, cell=3, state="open",
    state_words="to do", alignment="main", station="12+34.56", offset="15.00 ft L", elevation_m=Decimal("1554.9372"),
    elevation="5101.5 ft", vertical_datum="NAVD 88", longitude=-105.0123456789, latitude=39.9876543211,
)  # fmt: skip


def test_gpx_read_back() -> None:
    root = ElementTree.fromstring(write("gpx", [STAKE, replace(STAKE, name=HOSTILE, remark=HOSTILE)], title=HOSTILE))
    assert root.tag == f"{GPX}gpx"
    assert root.attrib["version"] == "1.1"
    assert root.findtext(f"{GPX}metadata/{GPX}name") == HOSTILE.replace("\x07", " ")
    first, second = root.findall(f"{GPX}wpt")
    assert (first.attrib["lat"], first.attrib["lon"]) == ("39.9876543", "-105.0123457")
    assert [child.tag.removeprefix(GPX) for child in first] == ["name", "desc", "type"]  # the order of the schema
    assert first.findtext(f"{GPX}desc") == "Sta. 12+34.56, 15.00 ft L; elevation 5101.5 ft (NAVD 88); to do"
    assert second.findtext(f"{GPX}name") == HOSTILE.replace("\x07", " ")
    assert root.find(f".//{GPX}ele") is None


def test_kml_read_back() -> None:
    root = ElementTree.fromstring(write("kml", [replace(STAKE, area=HOSTILE)], title="Lift 4"))
    [mark] = root.findall(f"{KML}Document/{KML}Placemark")
    assert mark.findtext(f"{KML}Point/{KML}coordinates") == "-105.0123457,39.9876543,0"
    assert mark.findtext(f"{KML}Point/{KML}altitudeMode") == "clampToGround"
    data = {one.attrib["name"]: one.findtext(f"{KML}value") for one in mark.iter(f"{KML}Data")}
    assert data["elevation_m"] == "1554.9372"
    assert data["area"] == HOSTILE.replace("\x07", " ")


def test_geojson_has_longitude_first_and_no_height_in_its_coordinates() -> None:
    read = json.loads(write("geojson", [STAKE, replace(STAKE, elevation_m=None, elevation="")], title=""))
    assert set(read) == {"type", "features"}
    first, second = read["features"]
    assert first["geometry"] == {"type": "Point", "coordinates": [-105.0123457, 39.9876543]}
    assert (first["id"], first["properties"]["elevation_m"]) == (STAKE.id, 1554.9372)
    assert second["properties"]["elevation_m"] is None


@pytest.mark.parametrize("kind", sorted(MEDIA))
def test_no_locations_is_still_a_file(kind: str) -> None:
    text = write(kind, [], title="Lift 4")
    assert json.loads(text)["features"] == [] if kind == "geojson" else ElementTree.fromstring(text) is not None
