"""The entry form in a real browser: the result as one types, sending, and a phone without a network."""

import json
from collections.abc import Iterator

import pytest
from django.test import Client
from playwright.sync_api import Page, expect, sync_playwright

from compaction.models import Failure, Test
from tests.pages.conftest import Filled

pytestmark = [pytest.mark.browser]


@pytest.fixture
def phone(chromium: str, transactional_db: None, filled: Filled, live_server, sign_in) -> Iterator[Page]:
    """A small screen on which the technician t.moss has signed in; script errors fail the test."""
    client: Client = sign_in("t.moss")
    with sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        context = browser.new_context(viewport={"width": 390, "height": 844}, timezone_id="Asia/Tokyo")
        cookie = client.cookies["sessionid"]
        context.add_cookies([{"name": "sessionid", "value": cookie.value, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(8000)
        problems: list[str] = []
        page.on("pageerror", lambda error: problems.append(str(error)))
        page.on("console", lambda line: problems.append(line.text) if "Content Security" in line.text else None)
        page.goto(f"{live_server.url}{filled.root}tests/new")
        yield page
        browser.close()
        assert problems == []


def fill(page: Page, *, wet: str = "121.9", station: str = "12+50") -> None:
    page.check("[name=method][value=nuclear_gauge]", force=True)
    page.fill("#f-position-station", station)
    page.fill("#f-position-offset", "15")
    page.fill("#f-position-elevation", "5100.5")
    page.fill("#f-lift", "4")
    page.select_option("#f-reference", "P-1")
    page.fill("#f-readings-depth", "6")
    page.fill("#f-readings-wet_density", wet)
    page.fill("#f-readings-water", "15")
    page.fill("#f-readings-density_standard_count", "2874")
    page.fill("#f-readings-moisture_standard_count", "660")


def test_ten_fields_give_a_result_before_and_after_sending(phone: Page) -> None:
    fill(phone, wet="115.0")
    expect(phone.locator("#headline")).to_contain_text("Fails")
    assert "90.9 of 95, 4.1 short" in phone.inner_text("#headline")
    assert "Tell the foreman now" in phone.inner_text("#result-more")
    before = Test.objects.count()
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    assert "fails" in phone.inner_text("#done-title")
    assert Test.objects.count() == before + 1
    stored = Test.objects.latest("id")
    assert (stored.station_text, stored.offset_text, stored.technician) == ("12+50.00", "15.00 ft L", "t.moss")
    content = stored.versions.get().content
    assert '"wet_density":"115.0 pcf"' in content
    assert '"water_content":"15 %"' in content
    # the phone's clock stands in Tokyo; the project's offset is written
    assert '-06:00"' in content or '-07:00"' in content


def test_half_a_number_and_a_missing_field_are_told_in_words(phone: Page) -> None:
    phone.check("[name=method][value=nuclear_gauge]", force=True)
    phone.fill("#f-readings-wet_density", ".5x")
    phone.wait_for_selector("[data-field='/readings/wet_density'].has-error")
    assert "number" in phone.inner_text("[data-field='/readings/wet_density'] .error")
    phone.fill("#f-readings-wet_density", "")
    expect(phone.locator("#headline")).to_contain_text("Still to fill in")
    assert phone.evaluate("Record.tidy('.5') + ' ' + Record.tidy('007.') + ' ' + Record.tidy('1,5')") == "0.5 7 1,5"


def test_without_a_network_the_test_is_kept_and_sent_later_once(phone: Page) -> None:
    fill(phone)
    phone.context.set_offline(True)
    before = Test.objects.count()
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    assert phone.inner_text("#done-title") == "Kept on this device"
    assert "1 test waits" in phone.inner_text("#queue-text")
    assert Test.objects.count() == before
    phone.context.set_offline(False)
    phone.wait_for_selector("#queue", state="hidden")
    assert Test.objects.count() == before + 1
    phone.evaluate("Queue.flush()")
    assert Test.objects.count() == before + 1


def test_the_last_values_stand_in_the_next_form(phone: Page) -> None:
    fill(phone)
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    phone.click("#next")
    assert phone.input_value("#f-position-station") == ""
    assert phone.input_value("#f-readings-wet_density") == ""
    assert phone.input_value("#f-readings-density_standard_count") == "2874"
    phone.reload()
    assert phone.input_value("#f-reference") == "P-1"
    assert phone.input_value("#f-lift") == "4"


def test_a_retest_brings_the_spot_of_its_failure(phone: Page, filled: Filled) -> None:
    failure = Failure.objects.get()
    phone.select_option("#retest", str(failure.root_test))
    assert phone.input_value("#f-position-station") == "12+50.00"
    assert phone.input_value("#f-position-offset") == "15.00"
    assert phone.input_value("#f-lift") == "4"


def test_an_amendment_changes_what_was_touched_and_nothing_else(phone: Page, filled: Filled, live_server) -> None:
    phone.goto(f"{live_server.url}{filled.root}tests/{filled.passing}/amend")
    phone.fill("#f-readings-wet_density", "122.4")
    phone.select_option("#id_reason_code", "own-slip")
    phone.fill("#id_reason", "misread the display")
    phone.click("#send")
    phone.wait_for_url(f"**/tests/{filled.passing}")
    versions = Test.objects.get(client_uuid=filled.passing).versions.order_by("version")
    first, second = (json.loads(row.content) for row in versions)
    assert second["readings"].pop("wet_density") == "122.4 pcf"
    first["readings"].pop("wet_density")
    assert first == second
    assert "122.4 pcf" in phone.inner_text("#content")


def test_coordinates_or_a_receiver_stand_instead_of_a_station(phone: Page) -> None:
    fill(phone)
    phone.fill("#f-position-station", "")
    phone.fill("#f-position-offset", "")
    phone.click("text=Alignment, survey receiver")
    phone.select_option("#f-position-alignment", "main")
    phone.fill("#f-position-easting", "20250")
    phone.fill("#f-position-northing", "10015")
    assert phone.input_value("#f-position-easting-unit") == "ft"  # the unit of the alignment's coordinates
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    stored = Test.objects.latest("id")
    assert (stored.station_text, stored.offset_text, stored.alignment) == ("12+50.00", "15.00 ft L", "main")
    phone.click("#next")
    fill(phone)
    phone.fill("#f-position-station", "")
    phone.fill("#f-position-offset", "")
    phone.fill("#f-position-easting", "")
    phone.fill("#f-position-northing", "")
    phone.fill("#f-position-rtk-latitude", "41.123456789")
    phone.fill("#f-position-rtk-longitude", "-81.123456789")
    phone.fill("#f-position-rtk-accuracy", "0.06")
    phone.click("#send")
    phone.wait_for_selector("#done:not([hidden])")
    content = json.loads(Test.objects.latest("id").versions.get().content)
    assert content["position"]["rtk"] == {
        "latitude": "41.123456789", "longitude": "-81.123456789", "accuracy": "0.06 ft"
    }  # fmt: skip
    assert "station" not in content["position"]
