"""The map in a real browser: painted, counted, filtered, replayed, told in words, and safe from what people write."""

import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.builders import PASSWORD, Site
from tests.maps.busy_site import make_busy_site

sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]
# Whether anything of that colour stands on the upper canvas of the plan.
PAINTED = """(colour) => {
  const canvas = document.querySelectorAll(".plan-canvas")[1];
  const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
  let found = 0;
  for (let at = 0; at < pixels.length; at += 4) {
    const apart = [0, 1, 2].reduce((sum, one) => sum + Math.abs(pixels[at + one] - colour[one]), 0);
    if (apart < 12) found += 1;
  }
  return found;
}"""
# Controls that are lower than a finger needs; the label above the slider is only read.
TOO_SMALL = """() => [...document.querySelectorAll("#map-page :is(button, select, .button, label:has(input))")]
  .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 40)
  .map((one) => one.textContent.trim())"""
GREEN, VERMILLION, ORANGE, PURPLE = [0, 158, 115], [213, 94, 0], [230, 159, 0], [204, 121, 167]


class Watched:
    """A page signed in, with everything noted that it asked for, said and asked."""

    def __init__(self, page: Any, address: str) -> None:
        self.page, self.address = page, address
        self.requests: list[str] = []
        self.problems: list[str] = []
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda error: self.problems.append(str(error)))
        page.on("console", lambda said: self.problems.append(said.text) if said.type == "error" else None)
        page.on("dialog", self._dialog)

    def _dialog(self, dialog: Any) -> None:
        self.problems.append(f"dialog: {dialog.message}")
        dialog.dismiss()

    def sign_in(self, site: Site) -> None:
        self.page.context.add_cookies([{"name": "sessionid", "value": session_of(site), "url": self.address}])

    def map(self, query: str = "") -> Any:
        """Open the map and wait until its layers are drawn; returns the frame."""
        self.page.goto(f"{self.address}/p/kestrel-dike/map{query}")
        self.page.frame_locator("#map-frame").locator("html.plan-ready").wait_for(timeout=20_000)
        sync_api.expect(self.page.locator("#map-said")).to_contain_text("shown")  # wait_for_function needs eval
        return next(frame for frame in self.page.frames if "/map/frame" in frame.url)

    def said(self) -> str:
        return str(self.page.locator("#map-said").inner_text())

    def outside(self) -> list[str]:
        return [url for url in self.requests if not url.startswith((self.address, "data:"))]


def session_of(site: Site, username: str = "m.dale") -> str:
    from django.test import Client

    client = Client()
    assert client.login(username=username, password=PASSWORD)
    return client.cookies["sessionid"].value


@pytest.fixture
def site(transactional_db: None) -> Site:
    return make_busy_site()


@pytest.fixture
def browser(chromium: str) -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def watched(browser: Any, site: Site, live_server: Any) -> Watched:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    found = Watched(page, live_server.url)
    found.sign_in(site)
    return found


def count(page: Any, mark: str) -> int:
    return int(page.locator(f"#count-{mark}").inner_text())


def test_it_paints_counts_filters_replays_and_tells(watched: Watched) -> None:
    page = watched.page
    frame = watched.map()

    # painted, in the colours of the marks, and counted
    for colour in (GREEN, VERMILLION, ORANGE, PURPLE):
        assert frame.evaluate(PAINTED, colour) > 30
    assert (count(page, "fail"), count(page, "pass"), count(page, "voided")) == (3, 23, 1)
    assert watched.said().startswith("Lift 4: 33 of 33 tests shown: 3 fails")

    # a mark that is left out is gone from the map but still counted
    page.locator('[data-mark="fail"]').uncheck()
    assert frame.evaluate(PAINTED, VERMILLION) == 0
    assert count(page, "fail") == 3
    assert watched.said().startswith("Lift 4: 30 of 33 tests shown")
    assert "hide=fail" in page.url
    page.locator('[data-mark="fail"]').check()

    # the replay: before the retest of 452 passed, 452 fails; before the hold, nothing is on hold
    slider = page.locator("#map-day")
    slider.focus()
    slider.press("Home")
    assert page.locator("#map-day-text").inner_text() == "up to 2026-06-03"
    assert (count(page, "pass"), count(page, "fail")) == (12, 0)
    slider.press("ArrowRight")
    assert page.locator("#map-day-text").inner_text() == "up to 2026-06-04"
    assert (count(page, "fail"), count(page, "passed_on_retest"), count(page, "on_hold")) == (4, 0, 0)
    slider.press("End")
    assert (count(page, "fail"), count(page, "passed_on_retest"), count(page, "on_hold")) == (3, 1, 1)

    # the same as a table, from which the keyboard reaches each test's story
    page.locator(".map-table summary").press("Enter")
    assert page.locator("#map-rows tr").count() == 33
    page.get_by_role("button", name="Show 453", exact=True).press("Enter")
    story = page.frame_locator("#map-frame").locator(".plan-story").inner_text()
    assert "Test 453: fails" in story
    assert re.search(r"90\.9 % of 95 % required", story)
    assert "Retested by\ntest 453A" in story
    href = page.frame_locator("#map-frame").locator(".plan-story a").get_attribute("href")
    assert re.fullmatch(r"/p/kestrel-dike/tests/[0-9a-f-]{36}", str(href))

    # another lift, and the list with the same choice
    page.select_option("#map-lift", "3")
    sync_api.expect(page.locator("#map-said")).to_contain_text("Lift 3: 25 of 25 tests shown")
    assert count(page, "buried_failure") == 1
    assert page.locator("#map-list").get_attribute("href").endswith("/tests?lift=3")

    assert watched.outside() == []
    assert watched.problems == []


def test_a_click_on_a_mark_opens_its_story_and_two_at_one_spot_are_both_told(watched: Watched) -> None:
    frame = watched.map()
    spot = frame.evaluate(
        """() => { const test = sitePlan.plan.shown.find((one) => one.properties.label === "453");
        return sitePlan.map.latLngToContainerPoint([test.place[1], test.place[0]]); }"""
    )
    box = watched.page.locator("#map-frame").bounding_box()
    watched.page.mouse.click(box["x"] + spot["x"], box["y"] + spot["y"])
    heads = watched.page.frame_locator("#map-frame").locator(".plan-story h2").all_inner_texts()
    assert heads == ["Test 453: fails", "Test 453A: fails"]


def test_it_fits_a_phone_and_one_sheet(watched: Watched) -> None:
    page = watched.page
    page.set_viewport_size({"width": 390, "height": 844})
    watched.map()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.evaluate(TOO_SMALL) == []
    paper = page.pdf(prefer_css_page_size=True, print_background=True)
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 1


@pytest.mark.parametrize("epsg_code", [None, 32613])
def test_what_people_write_never_runs(
    browser: Any, live_server: Any, transactional_db: None, epsg_code: int | None
) -> None:
    site = make_busy_site(epsg_code=epsg_code, hostile=True)
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    watched = Watched(page, live_server.url)
    watched.sign_in(site)
    frame = watched.map("?lift=all")
    page.locator(".map-table summary").click()
    uuids = frame.evaluate("sitePlan.plan.shown.map((test) => test.properties.uuid)")
    assert len(uuids) == 58
    for uuid in uuids:  # every story opened, so that every text was set somewhere
        frame.evaluate("(uuid) => sitePlan.show(uuid)", uuid)
    stories = " ".join(frame.evaluate("sitePlan.plan.tests.map((test) => sitePlan.plan.story(test).textContent)"))
    assert "${window.ran=3}" in stories
    assert "<img src=x onerror=window.ran=1>" in stories
    page.wait_for_timeout(300)
    for place in (page.main_frame, frame):
        assert place.evaluate("typeof window.ran") == "undefined"
        assert place.evaluate("document.querySelectorAll('img[src=x], svg[onload]').length") == 0
    assert watched.outside() == []
    assert watched.problems == []
