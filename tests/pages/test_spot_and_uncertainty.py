"""What was seen at the spot and how sure the figures are, on pages; in a browser from the boxes to the record."""

import json
import uuid

import pytest
from playwright.sync_api import Page, expect

from compaction.models import Test
from compaction.views import water_fields
from tests.builders import sand_cone_body
from tests.pages.conftest import Filled
from tests.pages.test_entry_in_a_browser import phone  # noqa: F401  (a fixture)

SEEN = uuid.UUID(int=77)
SPOT = ["soil_lost", {"what": "wall_squeezed_in", "note": "pumping under the <boot>"}]


@pytest.fixture
def seen(filled: Filled) -> str:
    filled.site.post(sand_cone_body(label="300", spot=SPOT), id_=SEEN)
    return f"{filled.root}tests/{SEEN}"


def test_the_page_tells_the_direction_in_words_and_keeps_the_verdict(filled: Filled, seen: str, sign_in) -> None:
    page = sign_in("m.dale").get(seen).content.decode()
    assert "Seen at the spot" in page
    assert "↑ reads too high" in page
    assert "↓ reads too low" in page
    assert "pumping under the &lt;boot&gt;" in page
    assert page.index("Wall squeezed in") < page.index("Soil from the hole lost")  # the unsafe direction first
    without, with_it = Test.objects.get(client_uuid=filled.cone), Test.objects.get(client_uuid=SEEN)
    assert (without.result, without.percent_compaction) == (with_it.result, with_it.percent_compaction)
    assert {"spot-soil-lost", "spot-wall-squeezed-in"} <= set(with_it.finding_codes.split())


def test_uncertainty_shows_only_where_it_is_asked_for(filled: Filled, seen: str, sign_in) -> None:
    client = sign_in("m.dale")
    plain = client.get(seen).content.decode()
    assert "How sure the figures are" not in plain
    assert "?uncertainty=1" in plain
    asked = client.get(seen + "?uncertainty=1").content.decode()
    assert "How sure the figures are" in asked
    assert "sand_bulk_density_kgm3" in asked
    assert "Probability of meeting the limit" in asked
    assert client.get(seen + "/uncertainty.svg")["Content-Type"].startswith("image/svg+xml")


def test_own_uncertainties_are_taken_and_wrong_ones_are_told(filled: Filled, seen: str, sign_in) -> None:
    client = sign_in("m.dale")
    own = client.get(seen, {"uncertainty": "1", "stated": "sand_bulk_density_kgm3=0.5 pcf"}).content.decode()
    assert "Stated by whoever asks" in own
    assert "0.500 pcf" in own
    for wrong in ("sand_bulk_density_kgm3=0.5", "sand=1 g", "mass_before_kg=-1 g", "mass_before_kg"):
        page = client.get(seen, {"uncertainty": "1", "stated": wrong})
        assert page.status_code == 200
        assert "The usual uncertainties are shown." in page.content.decode()


def test_every_test_of_the_site_has_a_page_with_uncertainty(filled: Filled, sign_in) -> None:
    client = sign_in("m.dale")
    for test in (filled.passing, filled.failing, filled.cone):
        assert client.get(f"{filled.root}tests/{test}?uncertainty=1").status_code == 200
        assert b"Shares of the variance" in client.get(f"{filled.root}tests/{test}/uncertainty.svg").content


@pytest.mark.browser
def test_boxes_and_weighings_go_into_the_record(phone: Page) -> None:  # noqa: F811
    phone.click(".other-methods summary") if phone.locator(".other-methods:not([open])").count() else None
    phone.check("[name=method][value=sand_cone]", force=True)
    for field, value in {
        "#f-position-station": "12+60", "#f-position-offset": "10", "#f-position-elevation": "5100.5", "#f-lift": "4",
        "#f-readings-mass_before": "6842", "#f-readings-mass_after": "2871", "#f-readings-cone_and_plate_mass": "1612",
        "#f-readings-soil_wet_mass": "3290",
    }.items():  # fmt: skip
        phone.fill(field, value)
    phone.select_option("#f-reference", "P-1")
    phone.fill("#f-readings-sand_bulk_density", "88.15")
    phone.check("[name=water_as_0][value=weighings]", force=True)
    for number, grams in enumerate(("272.5", "261.3", "261.1")):
        phone.fill(f"#f-water_contents-0-weighings-{number}", grams)
    phone.fill("#f-water_contents-0-specimen_mass", "300.3")
    phone.select_option("#f-water_contents-0-method", "microwave")
    phone.select_option("#f-water_contents-0-standard", "d4643")
    phone.click("details.second > summary")
    phone.check("[name=water_as_1][value=can]", force=True)
    phone.click("details.second [data-choice] summary")
    for can, grams in enumerate(((230.0, 208.1, 30.0), (231.0, 209.2, 30.5))):
        for name, mass in zip(("wet_and_can", "dry_and_can", "can_mass"), grams, strict=True):
            phone.fill(f"#f-water_contents-1-cans-{can}-{name}", f"{mass:.1f}")
    phone.click(".spot summary")
    assert phone.locator("#spot-gap_under_gauge").is_hidden()  # not with this method
    phone.check("#spot-vibration")
    phone.fill(".seen:has(#spot-vibration) [data-note]", "roller beside")
    phone.check("#spot-soil_lost")
    expect(phone.locator("#result-more")).to_contain_text("Seen at the spot: soil from the hole lost")
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    stored = json.loads(Test.objects.latest("id").versions.get().content)
    assert sorted(stored["spot"], key=str) == ["soil_lost", {"note": "roller beside", "what": "vibration"}]
    assert stored["water_contents"] == [
        {
            "fraction": "total",
            "method": "microwave",
            "specimen_mass": "300.3 g",
            "standard": "d4643",
            "weighings": ["272.5 g", "261.3 g", "261.1 g"],
        },
        {
            "fraction": "total",
            "method": "oven",
            "cans": [
                {"wet_and_can": "230.0 g", "dry_and_can": "208.1 g", "can_mass": "30.0 g"},
                {"wet_and_can": "231.0 g", "dry_and_can": "209.2 g", "can_mass": "30.5 g"},
            ],
        },
    ]
    href = phone.get_attribute("#done-link", "href")
    phone.click("#next")
    assert phone.locator("[data-list]:checked").count() == 0
    phone.goto(phone.url.partition("/p/")[0] + href + "/amend")  # two ways beside each other, each as it was written
    phone.fill("#f-water_contents-1-cans-1-dry_and_can", "209.3")
    phone.select_option("#id_reason_code", "own-slip")
    phone.fill("#id_reason", "misread the balance")
    phone.click("#send")
    phone.wait_for_url(f"**{href}")
    stored["water_contents"][1]["cans"][1]["dry_and_can"] = "209.3 g"
    assert json.loads(Test.objects.latest("id").versions.latest("version").content) == stored


@pytest.mark.browser
def test_an_amendment_keeps_what_was_seen_unless_it_is_touched(phone: Page, seen: str, live_server) -> None:  # noqa: F811
    phone.goto(f"{live_server.url}{seen}/amend")
    assert phone.is_checked("#spot-soil_lost")
    phone.uncheck("#spot-soil_lost")
    phone.select_option("#id_reason_code", "own-slip")
    phone.fill("#id_reason", "nothing was lost after all")
    phone.click("#send")
    phone.wait_for_url(f"**{seen}")
    first, second = (json.loads(row.content) for row in Test.objects.get(client_uuid=SEEN).versions.order_by("version"))
    assert second.pop("spot") == [{"note": "pumping under the <boot>", "what": "wall_squeezed_in"}]
    assert first.pop("spot") == SPOT
    assert first == second


def test_the_entry_form_takes_an_amendment_only_where_it_shows_all_of_it() -> None:
    can = {"wet_and_can": "230 g", "dry_and_can": "210 g", "can_mass": "30 g"}
    two = [{"method": "oven", "fraction": "total", "cans": [can] * 4}, {"method": "carbide", "dial": "9 %"}]
    assert water_fields.fits({"water_contents": two})
    assert water_fields.fits({})
    for more in (two * 2, [two[0] | {"cans": [can] * 5}], [two[0] | {"weighings": ["210 g", "209 g"]}]):
        assert not water_fields.fits({"water_contents": more})
