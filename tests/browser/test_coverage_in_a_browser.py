"""Coverage in a real browser: from a square of the table to its place on the map, told in shapes and in words."""

import uuid
from typing import Any

import pytest

from compaction.actions import locations
from tests.browser.test_map import Watched, browser, sync_api  # noqa: F401  # a fixture by its name
from tests.builders import Site
from tests.maps.covered_site import make_covered_site

PAGES = ("", "coverage", "lifts/core/3", "profile?lift=all", "day-sheet?day=2026-06-02", "map?lift=3")
LOWER = """() => [...document.querySelectorAll("nav a, .matrix td a")]
  .filter((one) => one.getBoundingClientRect().height < 40).length"""
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def covered(transactional_db: None) -> Site:
    site = make_covered_site()
    locations.draw(
        opened=site.opened(),
        client_uuid=uuid.uuid4(),
        body={"area": "core", "lift": 3, "edge_margin": "2 ft", "done_within": "20 ft"},
        now=site.now,
    )
    return site


@pytest.fixture
def watched(browser: Any, covered: Site, live_server: Any) -> Watched:  # noqa: F811
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    found = Watched(page, live_server.url)
    found.sign_in(covered)
    return found


def test_a_square_leads_to_its_place_where_the_hole_is_drawn_and_told(watched: Watched) -> None:
    page = watched.page
    page.goto(f"{watched.address}/p/kestrel-dike/coverage")
    page.get_by_role("link", name="0/1 untested").nth(4).click()  # lift 3, 11+00 to 12+00
    page.frame_locator("#map-frame").locator("html.plan-ready").wait_for(timeout=20_000)
    assert "lift=3" in page.url
    frame = next(one for one in page.frames if "/map/frame" in one.url)
    middle = frame.evaluate("sitePlan.map.getCenter()")
    assert (middle["lng"], middle["lat"]) == (pytest.approx(6096 + 45.7, abs=3), pytest.approx(3048, abs=3))

    sync_api.expect(page.locator("#count-untested")).to_have_text("2")
    sync_api.expect(page.locator("#count-planned")).to_have_text("2")  # of four, two are ticked off
    assert page.locator("#count-lift-short").inner_text() == "1"
    told = page.locator("#map-stands").inner_text()
    assert told == "core lift 3 short 2 pass, 4 required, 2 missing; placed over one not released"
    page.locator("#map-stands a").click()
    assert page.locator("h1").inner_text() == "Lift 3 of core"

    # A planned location tells its story; on an earlier day nothing is said of how the fill stands.
    frame = watched.map("?lift=3")
    spot = frame.evaluate(
        """() => { const spot = sitePlan.plan.ground.locations.find((one) => one.properties.state === "open");
        return sitePlan.map.latLngToContainerPoint([spot.place[1], spot.place[0]]); }"""
    )
    box = page.locator("#map-frame").bounding_box()
    page.mouse.click(box["x"] + spot["x"], box["y"] + spot["y"])
    story = page.frame_locator("#map-frame").locator(".plan-story")
    assert "Planned location, cell" in story.inner_text()
    assert "to do" in story.inner_text()
    page.locator("#map-to").fill("2026-06-02")
    assert frame.evaluate("[sitePlan.plan.spots.length, sitePlan.plan.choice.to]") == [0, "2026-06-02"]
    assert watched.outside() == []
    assert watched.problems == []


def test_no_page_is_wider_than_a_phone(watched: Watched) -> None:
    page = watched.page
    page.set_viewport_size({"width": 390, "height": 844})
    for path in PAGES:
        page.goto(f"{watched.address}/p/kestrel-dike/{path}")
        assert page.evaluate(WIDER) <= 0, path
        assert page.evaluate(LOWER) == 0, path
        assert page.locator("nav a[aria-current=page]").count() <= 1
    assert watched.problems == []
