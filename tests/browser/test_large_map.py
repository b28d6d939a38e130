"""Twenty thousand tests in a real browser: the first view is small, all lifts at once stay below a megabyte.

Sizes are asserted as they go over the wire; times are printed, because they depend on the machine and its load.
"""

import time
from typing import Any

import pytest

from tests.browser.test_map import Watched, browser, sync_api  # noqa: F401  # a fixture by its name
from tests.builders import Site, make_project
from tests.maps.many_tests import make_many

MEGABYTE = 1_000_000


@pytest.fixture
def large_site(transactional_db: None) -> Site:
    site = make_project()
    make_many(site, lifts=20, tests=20_000)
    return site


@pytest.mark.long
def test_twenty_thousand_tests_stay_small_on_the_wire(
    browser: Any,  # noqa: F811
    large_site: Site,
    live_server: Any,
) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    watched = Watched(page, live_server.url)
    watched.sign_in(large_site)
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    sent: list[float] = []
    session.on("Network.loadingFinished", lambda event: sent.append(event["encodedDataLength"]))
    for name, query in (("newest lift, server cold", ""), ("newest lift", ""), ("all lifts", "?lift=all")):
        sent.clear()
        started = time.perf_counter()
        frame = watched.map(query)
        seconds = time.perf_counter() - started
        shown = frame.evaluate("sitePlan.plan.shown.length")
        print(f"{name}: {shown} tests drawn after {seconds:.2f} s, {sum(sent) / 1000:.0f} kB on the wire")
        assert sum(sent) < MEGABYTE
    assert frame.evaluate("sitePlan.plan.shown.length") == 20_001
    started = time.perf_counter()
    frame.evaluate("() => { for (let round = 0; round < 10; round += 1) sitePlan.plan.draw(); }")
    print(f"drawn once more in {(time.perf_counter() - started) * 100:.0f} ms")
    assert watched.outside() == []
    assert watched.problems == []
    page.wait_for_load_state("networkidle")  # the profile comes last; nothing is under way when the database goes
