"""The map page and its frame: what starts, what is allowed to run, and texts that must not."""

import re
from datetime import UTC, datetime
from pathlib import Path

from django.test import Client
from django.urls import reverse

from compaction.actions import place
from compaction.models import Test
from compaction.queries import set_up
from projects.geometry.areas import ISSUED_KINDS
from tests.builders import Site, gauge_body, make_project
from tests.maps.busy_site import HOSTILE, at, make_busy_site, position
from tests.maps.test_layers import ALL, layer, signed_in

STATIC = Path(__file__).resolve().parents[2] / "compaction" / "static" / "compaction"
OUTSIDE = re.compile(r"(?:https?:)?//[a-z0-9][a-z0-9.-]*\.[a-z]{2,}", re.IGNORECASE)
SVG_NAMESPACES = {"http://www.w3.org", "//www.w3.org"}


def text_of(client: Client, site: Site, name: str, **query: str) -> str:
    answer = client.get(reverse(name, args=[site.project.code]), query)
    assert answer.status_code == 200, name
    return answer.content.decode()


def test_it_starts_with_the_lift_that_was_begun_last(busy_site: Site) -> None:
    late = gauge_body(label="399", lift=3, performed_at=at(6, 10), position=position("11+00", "5 L"))
    busy_site.post(late)  # a late test further down
    page = text_of(signed_in(busy_site), busy_site, "map")
    assert re.search(r'<option value="4" selected>4 \(33 tests\)', page)
    assert "map/frame?lift=4" in page


def test_an_address_that_was_sent_on_shows_the_same(busy_site: Site) -> None:
    page = text_of(signed_in(busy_site), busy_site, "map", lift="3", hide="pass,voided", **{"from": "2026-06-01"})
    assert '<option value="3" selected>' in page
    assert 'id="map-from" value="2026-06-01"' in page
    assert 'data-mark="pass" data-words="passes">' in page
    assert 'data-mark="fail" data-words="fails" checked>' in page


def test_an_address_that_makes_no_sense_shows_the_newest_lift(busy_site: Site) -> None:
    client = signed_in(busy_site)
    for query in ({"lift": "99"}, {"lift": "<b>"}, {"from": "soon"}, {"hide": "nonsense"}, {"lift": "٣"}):
        page = text_of(client, busy_site, "map", **query)
        assert '<option value="4" selected>' in page
        assert "<b>" not in page


def test_a_project_without_tests_says_what_will_be_here(db: None) -> None:
    set_up.forget()
    site = make_project()
    page = text_of(signed_in(site), site, "map")
    assert "The first test that is posted appears here" in page
    assert '<option value="all" selected>' in page


def test_the_policy_lets_only_our_own_files_run(busy_site: Site) -> None:
    client = signed_in(busy_site)
    for name in ("map", "map-frame"):
        answer = client.get(reverse(name, args=[busy_site.project.code]))
        policy = answer["Content-Security-Policy"]
        assert "script-src 'self';" in policy
        assert "style-src 'self';" in policy
        assert "unsafe" not in policy
        page = answer.content.decode()
        assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []
        assert "<style" not in page
        assert not re.search(r"\son\w+=", page)
        if name == "map-frame":
            assert " style=" not in page


def test_only_the_frame_may_be_framed_and_only_by_us(busy_site: Site) -> None:
    client = signed_in(busy_site)
    framed = client.get(reverse("map-frame", args=[busy_site.project.code]))
    assert framed["X-Frame-Options"] == "SAMEORIGIN"
    assert "frame-ancestors 'self'" in framed["Content-Security-Policy"]
    page = client.get(reverse("map", args=[busy_site.project.code]))
    assert page["X-Frame-Options"] == "DENY"


def test_what_a_person_saw_is_not_kept_by_the_browser(busy_site: Site) -> None:
    client = signed_in(busy_site)
    for name in ALL:
        assert client.get(reverse(name, args=[busy_site.project.code]))["Cache-Control"] == "no-store", name


def test_no_response_names_an_outside_host(hostile_site: Site) -> None:
    client = signed_in(hostile_site)
    for name in ALL:
        found = set(OUTSIDE.findall(text_of(client, hostile_site, name)))
        assert found <= SVG_NAMESPACES, name


def test_the_tile_host_of_the_setting_is_the_only_one_let_in(settings, db: None) -> None:
    settings.TILE_URL = "https://tiles.example.test/{z}/{x}/{y}.png"
    site = make_busy_site(epsg_code=32613)
    client = signed_in(site)
    script = text_of(client, site, "map-frame-script")
    assert set(OUTSIDE.findall(script)) == {"https://tiles.example.test"}
    policy = client.get(reverse("map-frame", args=[site.project.code]))["Content-Security-Policy"]
    assert "img-src 'self' data: https://tiles.example.test" in policy
    assert policy.count("https://") == 1


def test_hostile_texts_are_in_no_page_and_no_script(hostile_site: Site) -> None:
    """They travel as JSON by address only; the area's name, the labels and the remarks are payloads here."""
    client = signed_in(hostile_site)
    for name in ("map", "map-frame", "map-frame-script", "map-frame-style"):
        page = text_of(client, hostile_site, name)
        assert "window.ran" not in page, name
    tests = text_of(client, hostile_site, "layer-tests", lift="4")
    assert sum(payload[:40] in tests.encode().decode("unicode_escape") for payload in HOSTILE) >= 6


def test_our_scripts_set_text_and_never_markup() -> None:
    for file in ("map.js", "map_plan.js", "map_marks.js"):
        text = (STATIC / file).read_text(encoding="utf-8")
        assert "fillText" in text or "textContent" in text or file == "map_marks.js"
        for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function"):
            assert word not in text, f"{file}: {word}"


def test_drawings_answer_for_a_test_a_reference_and_the_run(hostile_site: Site) -> None:
    client = signed_in(hostile_site)
    code = hostile_site.project.code
    test = Test.objects.get(project=hostile_site.project, label="452")
    for address in (
        reverse("test-curve-plot", args=[code, test.client_uuid]),
        reverse("curve-plot", args=[code, "P-1", 1]),
        reverse("run-chart", args=[code]) + "?lift=4&zone=core",
    ):
        answer = client.get(address)
        assert answer.status_code == 200
        assert answer["Content-Type"].startswith("image/svg+xml")
        assert "default-src 'none'" in answer["Content-Security-Policy"]
        assert answer.content.count(b"<script") == 0
        assert len(answer.content) < 100_000
    assert client.get(reverse("curve-plot", args=[code, "P-1", 9])).status_code == 404
    assert client.get(reverse("curve-plot", args=[code, "none", 1])).status_code == 404
    outsider = signed_in(hostile_site, "x.outside")
    assert outsider.get(reverse("test-curve-plot", args=[code, test.client_uuid])).status_code == 404


def test_declared_work_has_a_legend_of_its_own_and_is_never_called_a_zone(busy_site: Site) -> None:
    client = signed_in(busy_site)
    assert "surcharge, taken off later" not in text_of(client, busy_site, "map")
    limits = {"alignment": "main", "station_from_m": "304.8", "station_to_m": "335.28", "offset_from_m": "-9",
              "offset_to_m": "9"}  # fmt: skip
    place.issue_area(
        opened=busy_site.opened("e.stone"), code="extra", rev=1, name="Extra fill", kind="surcharge", content=limits,
        now=datetime(2026, 6, 9, tzinfo=UTC),
    )  # fmt: skip
    assert "surcharge, taken off later" in text_of(client, busy_site, "map")
    kinds = {feature["properties"]["kind"] for feature in layer(client, busy_site, "layer-areas")["features"]}
    assert "surcharge" in kinds
    script = (STATIC / "map_plan.js").read_text(encoding="utf-8")
    for kind in ISSUED_KINDS:
        assert re.search(rf'^    {kind}: {{ word: "', script, re.MULTILINE), kind
