"""Locations over HTTP: drawn, read, taken along as files, substituted, ticked off."""

import json
import uuid
from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from compaction.actions import place, sweep
from compaction.queries import set_up
from projects import access
from tests import builders
from tests.api.conftest import Caller, key_for, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db
PLACED = {
    "area": "core", "lift": 4, "placed_at": "2026-06-03T08:00:00-06:00", "alignment": "main",
    "station_from": "11+00", "station_to": "20+00", "offset_from": "20 L", "offset_to": "20 R",
    "elevation_top": "5101.5 ft",
}  # fmt: skip
DRAW = {"area": "core", "lift": 4, "tests": 3, "edge_margin": "2 ft", "done_within": "5 ft"}
GROUP = "area=core&lift=4"


@pytest.fixture
def placed(crew: Caller) -> Caller:
    """The technician's device, with fill on lift 4."""
    assert crew.put(f"placements/{uuid.uuid4()}", PLACED).status_code == 201
    return crew


def test_locations_are_drawn_read_and_ticked_off(placed: Caller) -> None:
    address = f"draws/{uuid.uuid4()}"
    first = placed.put(address, DRAW)
    assert first.status_code == 201, first.content
    assert first.json()["receipt"]["seq"] > 0
    again = placed.put(address, DRAW)
    assert (again.status_code, again["Idempotent-Replay"], again.json()["seed"]) == (200, "true", first.json()["seed"])
    problem(placed.put(address, {**DRAW, "tests": 4}), 409, "content-conflict")
    problem(placed.put(f"draws/{uuid.uuid4()}", DRAW), 412, "not-current")
    assert placed.get(address).json()["drawn"] == first.json()["drawn"]
    plan = placed.get(f"locations?{GROUP}").json()
    assert ([cell["state"] for cell in plan["cells"]], plan["draw"]) == (["untested"] * 3, first.json()["id"])
    wanted = plan["locations"][1]
    position = {
        "alignment": "main",
        "station": wanted["station_text"],
        "offset": wanted["offset_text"].replace(" ft", ""),
    }
    assert placed.put_test(builders.gauge_body(position=position, location=wanted["id"])).status_code == 201
    plan = placed.get(f"locations?{GROUP}").json()
    assert [one["state"] for one in plan["locations"]] == ["open", "done", "open"]
    assert (plan["locations"][1]["test_label"], plan["locations"][1]["named_by_test"]) == ("101", True)


def test_a_location_is_substituted(placed: Caller, by_session: Callable[[str], Caller]) -> None:
    draw = placed.put(f"draws/{uuid.uuid4()}", DRAW).json()
    location = draw["drawn"]["locations"][0]["id"]
    address = f"draws/{draw['id']}/locations/{location}/substitutions/{uuid.uuid4()}"
    body = {"reason_code": "stones", "reason": "Cobbles."}
    problem(by_session("c.pike").put(address, body), 403, "not-allowed")
    problem(placed.put(address, {"reason_code": "luck", "reason": "Cobbles."}), 422, "content-unreadable")
    done = placed.put(address, body)
    assert (done.status_code, done.json()["attempt"]) == (201, 1)
    assert placed.put(address, body).status_code == 200
    [moved, *_] = placed.get(f"locations?{GROUP}").json()["locations"]
    assert (moved["id"], moved["attempt"], moved["reason"]) == (location, 1, "Cobbles.")
    assert moved["instead_of"][0]["station_m"] == draw["drawn"]["locations"][0]["station_m"] != moved["station_m"]
    problem(
        placed.put(f"draws/{uuid.uuid4()}/locations/{location}/substitutions/{uuid.uuid4()}", body), 404, "not-found"
    )


CORNERS = [(20_300, 10_090), (20_380, 10_090), (20_380, 10_130), (20_340, 10_160), (20_300, 10_130)]  # beside the core
PLATFORM = {
    **{name: PLACED[name] for name in ("lift", "placed_at", "elevation_top")}, "area": "platform", "thickness": "1 ft",
    "outline": [{"easting": f"{east} ft", "northing": f"{north} ft"} for east, north in CORNERS],
}  # fmt: skip


def test_fill_given_by_corners_is_covered_drawn_and_ticked_off(placed: Caller) -> None:
    assert placed.put(f"placements/{uuid.uuid4()}", PLATFORM).status_code == 201
    sweep.run_until_idle()
    shown = placed.get("lifts/platform/4").json()
    # 80 ft by 40 ft and a gable of 80 ft by 30 ft / 2: 4,400 ft2, a foot thick
    assert float(shown["area_m2"]) == pytest.approx(4_400 * 0.09290304, abs=0.02)
    assert float(shown["volume_m3"]) == pytest.approx(4_400 * 0.028316846592, abs=0.01)
    drawn = placed.put(f"draws/{uuid.uuid4()}", {**DRAW, "area": "platform"})
    assert drawn.status_code == 201, drawn.content
    plan = placed.get("locations?area=platform&lift=4").json()
    assert [cell["state"] for cell in plan["cells"]] == ["untested"] * 3
    wanted = plan["locations"][0]
    east, north = (float(wanted[f"{name}_m"]) / 0.3048 for name in ("easting", "northing"))
    assert 20_300 <= east <= 20_380
    assert 10_090 <= north <= 10_160
    substituted = placed.put(
        f"draws/{plan['draw']}/locations/{wanted['id']}/substitutions/{uuid.uuid4()}",
        {"reason_code": "structure", "reason": "a pipe"},
    )
    assert substituted.status_code == 201, substituted.content
    wanted = placed.get("locations?area=platform&lift=4").json()["locations"][0]
    position = {name: f"{wanted[f'{name}_m']} m" for name in ("easting", "northing")}
    assert placed.put_test(builders.gauge_body(position=position)).status_code == 201
    sweep.run_until_idle()
    plan = placed.get("locations?area=platform&lift=4").json()
    assert [one["state"] for one in plan["locations"]] == ["done", "open", "open"]
    assert [cell["state"] for cell in plan["cells"]] == ["tested", "untested", "untested"]
    assert placed.get("lifts/platform/4").json()["made"] == 1


def test_what_is_not_there_or_not_said_is_told(placed: Caller) -> None:
    problem(placed.get("locations?area=core"), 400, "query-parameter")
    problem(placed.get("locations?area=core&lift=9"), 404, "not-found")
    problem(placed.get(f"draws/{uuid.uuid4()}"), 404, "not-found")
    problem(placed.put(f"draws/{uuid.uuid4()}", {**DRAW, "edge_margin": "25 ft"}), 422, "content-unreadable")
    problem(placed.put(f"draws/{uuid.uuid4()}", {**DRAW, "seed": "mine"}), 422, "content-unreadable")
    placed.put(f"draws/{uuid.uuid4()}", DRAW)
    refused = problem(placed.get(f"locations.gpx?{GROUP}"), 409, "conflict")
    assert "names no map grid" in refused["detail"]


def test_files_on_a_grid_say_the_same_places(db: None) -> None:
    set_up.forget()
    access._rosters.clear()
    site: Site = builders.make_project(code="gridded", epsg_code=26913)
    caller = Caller(site.project.code, {"Authorization": f"Bearer {key_for(site, 't.moss')}"})
    line = {
        "kind": "baseline", "unit": "m", "coordinate_unit": "m", "start_station": "1000",
        "points": [["500000", "4400000"], ["501000", "4400000"]],
    }  # fmt: skip
    place.issue_alignment(opened=site.opened(), code="grid", rev=1, name="Ramp", content=line, now=site.now)
    caller.put(f"placements/{uuid.uuid4()}", {**PLACED, "alignment": "grid"})
    caller.put(f"draws/{uuid.uuid4()}", DRAW)
    listed = caller.get(f"locations?{GROUP}").json()["locations"]
    wanted = [(round(float(one["longitude"]), 7), round(float(one["latitude"]), 7)) for one in listed]
    assert len(wanted) == 3
    answer = caller.get(f"locations.geojson?{GROUP}", Accept="application/geo+json")
    assert answer["Content-Type"] == "application/geo+json; charset=utf-8"
    read = json.loads(answer.content)["features"]
    assert [tuple(one["geometry"]["coordinates"]) for one in read] == wanted
    assert read[0]["properties"]["elevation_m"] == 1554.9372
    gpx = ElementTree.fromstring(caller.get(f"locations.gpx?{GROUP}", Accept="application/gpx+xml").content)
    points = gpx.findall("{http://www.topografix.com/GPX/1/1}wpt")
    assert [(float(one.attrib["lon"]), float(one.attrib["lat"])) for one in points] == wanted
    kml = ElementTree.fromstring(caller.get(f"locations.kml?{GROUP}&state=open").content)
    texts = [one.text or "" for one in kml.iter("{http://www.opengis.net/kml/2.2}coordinates")]
    assert [tuple(map(float, text.split(",")[:2])) for text in texts] == wanted
    assert caller.get(f"locations.gpx?{GROUP}", Accept="text/html").status_code == 406
