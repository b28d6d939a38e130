"""Where to test next: drawing, substituting, taking along and ticking off through the pages."""

import json
import re
import uuid
from collections.abc import Callable
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from django.test import Client

from compaction.actions import place, placements, sweep
from compaction.models import LocationDraw, LocationSubstitution
from compaction.queries.locations import group_plan
from projects.models import Project
from tests.builders import gauge_body
from tests.pages.conftest import Filled
from tests.pages.hidden_fields import hidden_of

PLACED = {
    "area": "core", "lift": 4, "placed_at": "2026-06-03T08:00:00-06:00", "alignment": "main",
    "station_from": "11+00", "station_to": "20+00", "offset_from": "20 L", "offset_to": "20 R",
    "elevation_top": "5101.5 ft",
}  # fmt: skip
GROUP = "?area=core&lift=4"


@pytest.fixture
def placed(filled: Filled) -> Filled:
    """With fill on lift 4, in which two of the three tests lie."""
    site = filled.site
    placements.record(opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body=PLACED, now=site.now)
    sweep.run_until_idle()
    return filled


def drawn(filled: Filled, client: Client, **changes: str) -> str:
    """The page after three locations were drawn."""
    page = client.get(f"{filled.root}locations{GROUP}").content.decode()
    form = {
        **hidden_of(page, f"{filled.root}locations/draw"), "tests": "3", "edge_margin": "2", "edge_margin_unit": "ft",
        "done_within": "10", "done_within_unit": "ft",
    }  # fmt: skip
    answer = client.post(f"{filled.root}locations/draw", {**form, **changes})
    assert answer.status_code == 302, answer.content.decode()
    return client.get(answer["Location"]).content.decode()


def test_lifts_are_listed_and_a_draw_is_made(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("t.moss")
    listed = crew.get(f"{placed.root}locations").content.decode()
    assert f"{placed.root}locations?area=core&amp;lift=4" in listed
    assert "none drawn" in listed
    before = crew.get(f"{placed.root}locations{GROUP}").content.decode()
    assert "No locations are drawn here yet." in before
    page = drawn(placed, crew)
    row = LocationDraw.objects.get()
    assert f"seed <code>{row.seed}</code>" in page
    places = json.loads(row.drawn)["locations"]
    assert all(one["u1"] in page and one["u2"] in page for one in places)
    # Cells 1 and 2 have their tests; that at 14+00 lies on the line between them and belongs to the one ahead.
    assert "Next untested: cell 3" in page
    assert set(re.findall(r"\?location=([0-9a-f-]+)", page)) == {places[2]["id"]}
    assert "5101.5 ft" in page
    assert re.search(r"\son[a-z]+\s*=|\sstyle\s*=|(?:src|href)=\"(?:https?:)?//", page) is None
    assert "3 drawn" in crew.get(f"{placed.root}locations").content.decode()


def test_readers_read_and_strangers_see_nothing(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    drawn(placed, sign_in("m.dale"))
    owner = sign_in("o.lake")
    page = owner.get(f"{placed.root}locations{GROUP}").content.decode()
    assert "Draw again" not in page
    assert "Enter the test there" not in page
    assert owner.post(f"{placed.root}locations/draw", {"area": "core", "lift": "4"}).status_code == 403
    assert sign_in("x.outside").get(f"{placed.root}locations{GROUP}").status_code == 404
    for wrong in ("?area=core&lift=9", "?area=core&lift=x", "?area=shell&lift=4", "?area=core"):
        assert owner.get(f"{placed.root}locations{wrong}").status_code == 404


def test_a_draw_is_made_again_only_with_a_reason(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("s.hale")
    page = drawn(placed, crew)
    form = {
        **hidden_of(page, f"{placed.root}locations/draw"), "tests": "4", "edge_margin": "2", "edge_margin_unit": "ft",
        "done_within": "10", "done_within_unit": "ft",
    }  # fmt: skip
    refused = crew.post(f"{placed.root}locations/draw", form)
    assert refused.status_code == 422
    assert LocationDraw.objects.count() == 1
    again = drawn(placed, crew, tests="4", reason_code="number_changed", reason="The engineer asks for four.")
    assert "The engineer asks for four." in again
    assert LocationDraw.objects.count() == 2


def test_fill_given_by_corners_is_drawn_and_shown(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    site = filled.site
    corners = [(20_300, 10_090), (20_380, 10_090), (20_340, 10_160)]
    body = {
        **{name: PLACED[name] for name in ("lift", "placed_at")}, "area": "Pad / east",
        "outline": [{"easting": f"{east} ft", "northing": f"{north} ft"} for east, north in corners],
    }  # fmt: skip
    placements.record(opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body=body, now=site.now)
    sweep.run_until_idle()
    client = sign_in("m.dale")
    group = "?area=Pad%20/%20east&lift=4"
    page = client.get(f"{filled.root}locations{group}").content.decode()
    form = {
        **hidden_of(page, f"{filled.root}locations/draw"), "tests": "2", "edge_margin": "1", "edge_margin_unit": "ft",
        "done_within": "10", "done_within_unit": "ft",
    }  # fmt: skip
    answer = client.post(f"{filled.root}locations/draw", form)
    assert answer.status_code == 302, answer.content.decode()
    page = client.get(answer["Location"]).content.decode()
    assert page.count("It can&#x27;t be tested there") + page.count("It can't be tested there") == 2
    assert client.get(f"{filled.root}lifts/Pad%20/%20east/4").status_code == 200
    plan = group_plan(site.opened(), "Pad / east", 4)
    assert plan is not None
    assert [(one.alignment, len(plan.cells)) for one in plan.locations] == [("", 2), ("", 2)]


def test_a_location_is_substituted(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("t.moss")
    page = drawn(placed, crew)
    address = f"{placed.root}locations/substitute"
    form = {**hidden_of(page, address, -1), "reason_code": "stones"}
    refused = crew.post(address, {**form, "reason": ""})
    assert refused.status_code == 422
    assert "<details open>" in refused.content.decode()
    answer = crew.post(address, {**form, "reason": "Cobbles all over."})
    assert answer.status_code == 302
    assert (
        "stones too large for the method: Cobbles all over. Before: " in crew.get(answer["Location"]).content.decode()
    )
    assert LocationSubstitution.objects.get().author == "t.moss"


def test_the_entry_form_has_the_place_filled_in(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("t.moss")
    drawn(placed, crew)
    plan = group_plan(placed.site.opened(), "core", 4)
    assert plan is not None
    line = plan.locations[1]
    page = crew.get(f"{placed.root}tests/new?location={line.uuid}").content.decode()
    assert f'data-pointer="/location" data-kind="text" value="{line.uuid}"' in page
    assert "Planned location: cell 2" in page
    station = re.search(
        r'data-pointer="/position/station"[^>]*?value="([^"]*)"|value="([^"]*)"[^>]*?data-pointer="/position/station"',
        page,
    )
    assert station is not None
    written = next(filter(None, station.groups()))
    feet = float(written.replace("+", ""))
    assert feet == pytest.approx(line.station_m / 0.3048, abs=0.51)
    for other in ("", "?location=x", f"?location={uuid.uuid4()}"):
        assert "Planned location" not in crew.get(f"{placed.root}tests/new{other}").content.decode()


def test_drawing_and_layers(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    crew = sign_in("t.moss")
    drawn(placed, crew)
    svg = crew.get(f"{placed.root}locations/plan.svg{GROUP}")
    assert svg["Content-Type"] == "image/svg+xml; charset=utf-8"
    assert "3 cells of equal area; untested: 3; tested: 2; failing: 1." in ElementTree.fromstring(svg.content).findtext(
        "{http://www.w3.org/2000/svg}desc", ""
    )
    cells = json.loads(crew.get(f"{placed.root}map/cells.geojson?lift=4").content)
    states = [one["properties"]["state"] for one in cells["features"]]
    assert states == ["failing", "tested", "untested"]
    [[ring]] = cells["features"][0]["geometry"]["coordinates"]
    assert ring[0] == ring[-1]
    assert sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring)) > 0  # against the clock
    points = json.loads(crew.get(f"{placed.root}map/locations.geojson?lift=4").content)["features"]
    assert [one["properties"]["cell"] for one in points] == [1, 2, 3]
    assert json.loads(crew.get(f"{placed.root}map/locations.geojson?lift=9").content)["features"] == []
    assert crew.get(f"{placed.root}locations/to-do.gpx{GROUP}").status_code == 404  # no map grid


def test_files_hold_what_is_still_to_do(placed: Filled, sign_in: Callable[[str], Client]) -> None:
    site = placed.site
    Project.objects.filter(pk=site.project.pk).update(epsg_code=26913)
    line = {
        "kind": "baseline", "unit": "m", "coordinate_unit": "m", "start_station": "1000",
        "points": [["500000", "4400000"], ["501000", "4400000"]],
    }  # fmt: skip
    place.issue_alignment(opened=site.opened(), code="grid", rev=1, name="Ramp", content=line, now=site.now)
    body = {**PLACED, "alignment": "grid", "area": "ramp", "lift": 6}
    placements.record(opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body=body, now=site.now)
    crew = sign_in("t.moss")
    group = "?area=ramp&lift=6"
    page = crew.get(f"{placed.root}locations{group}").content.decode()
    crew.post(
        f"{placed.root}locations/draw",
        {**hidden_of(page, f"{placed.root}locations/draw"), "tests": "2", "edge_margin": "1", "edge_margin_unit": "m",
         "done_within": "3", "done_within_unit": "m"},
    )  # fmt: skip
    answer = crew.get(f"{placed.root}locations/to-do.gpx{group}")
    assert answer["Content-Disposition"] == 'attachment; filename="kestrel-dike-lift-6.gpx"'
    assert len(ElementTree.fromstring(answer.content).findall("{http://www.topografix.com/GPX/1/1}wpt")) == 2
    plan = group_plan(site.opened(), "ramp", 6)
    assert plan is not None
    site.post(gauge_body(location=plan.locations[0].uuid, lift=6, position={
        "alignment": "grid", "station": "11+50", "offset": "0",
    }))  # fmt: skip
    left = json.loads(crew.get(f"{placed.root}locations/to-do.geojson{group}").content)["features"]
    assert [one["properties"]["cell"] for one in left] == [2]
