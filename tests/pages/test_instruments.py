"""Pages of instruments, counts and certificates: what they show, and the way through their forms."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from compaction.actions import apparatus, sweep
from compaction.models import ApparatusRecord, OperatorCertificate, StandardCount, Test
from tests.actions.test_instruments import GAUGE, PAIR, SAND, certify, count
from tests.pages.conftest import Filled


@pytest.fixture
def kept(filled: Filled) -> Filled:
    site = filled.site
    for serial, body in (("SC-3", PAIR), ("S-7", SAND), ("G-1187", {**GAUGE, "upkeep": [LEAK]})):
        apparatus.register(opened=site.opened("s.hale"), serial=serial, rev=1, body=body, now=site.now)
    count(site, 2874, at="2026-06-02T07:30:00-06:00")
    count(site, 2920)
    certify(site, subject="nuclear_gauge", valid_until="2026-06-01")
    sweep.run_until_idle()
    return filled


LEAK = {"what": "leak_test", "done_on": "2025-11-01", "due_on": "2026-05-01"}
RECORD: dict[str, Any] = {
    "serial": "SC-9",
    "kind": "sand_cone",
    "valid_from": "2026-05-01",
    "quantity": "cone_and_plate_mass",
    "repeats": "1600 1601, 1602",
    "unit": "g",
}


def page(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, path
    return answer.content.decode()


@pytest.mark.parametrize("who", ["t.moss", "e.stone", "c.pike", "o.lake"])
def test_everybody_on_the_project_reads_them(kept: Filled, sign_in: Callable[[str], Client], who: str) -> None:
    client = sign_in(who)
    listed = page(client, kept.root + "apparatus")
    assert "SC-3" in listed
    assert "leak test" in listed
    assert "10 CFR 30.34(i)" in listed
    gauge = page(client, kept.root + "apparatus/G-1187")
    assert "Not accepted." in gauge
    assert "out of date" in gauge, "the leak test is overdue"
    assert "used by 2 tests" in gauge
    cone = page(client, kept.root + "apparatus/SC-3")
    assert "1611 g; 1613 g; 1612 g" in cone
    assert "within" in cone
    assert "10 CFR 30.34(i)" not in cone
    assert "t.moss" in page(client, kept.root + "certificates")
    drawn = client.get(kept.root + "apparatus/G-1187/density.svg")
    assert (drawn.status_code, drawn["Content-Type"]) == (200, "image/svg+xml; charset=utf-8")
    assert b"2920 not accepted" in drawn.content
    assert client.get(kept.root + "apparatus/G-1187/moisture.svg").status_code == 200


def test_what_is_not_there(kept: Filled, sign_in: Callable[[str], Client]) -> None:
    client = sign_in("s.hale")
    for path in ("apparatus/X-1", "apparatus/X-1/record", "apparatus/SC-3/density.svg", "apparatus/G-1187/luck.svg"):
        assert client.get(kept.root + path).status_code == 404, path
    stranger = sign_in("x.outside")
    for path in ("apparatus", "apparatus/SC-3", "certificates", "apparatus-new", "apparatus/G-1187/density.svg"):
        assert stranger.get(kept.root + path).status_code == 404, path
    assert sign_in("t.moss").get(kept.root + "apparatus-new").status_code == 403
    assert sign_in("o.lake").post(kept.root + "apparatus/G-1187/count", {}).status_code == 403


def test_a_record_is_looked_at_first_and_then_saved(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    client = sign_in("s.hale")
    address = filled.root + "apparatus-new"
    looked = client.post(address, {**RECORD, "serial": "G-1187", "kind": "nuclear_gauge", "quantity": "",
                                   "repeats": "", "valid_from": "2026-06-04", "look": "1"})  # fmt: skip
    assert looked.status_code == 200
    assert "2 tests use it; 2 get a finding; 2 lose one; no result changes." in looked.content.decode()
    assert not ApparatusRecord.objects.exists()
    saved = client.post(address, RECORD)
    assert saved.status_code == 302
    row = ApparatusRecord.objects.get()
    assert '"repeats":["1600 g","1601 g","1602 g"]' in row.content
    refused = client.post(address, {**RECORD, "serial": "SC-10", "repeats": "1600 x"})
    assert refused.status_code == 422
    again = client.post(filled.root + "apparatus/SC-9/record", {**RECORD, "repeats": "", "quantity": "",
                                                                  "valid_from": "2026-06-01"})  # fmt: skip
    assert again.status_code == 302
    assert "calibrations" in ApparatusRecord.objects.get(rev=2).content, "what is not asked again is carried on"


def test_a_mould_is_entered_as_weighed_and_its_page_shows_the_working(
    filled: Filled, sign_in: Callable[[str], Client]
) -> None:
    client = sign_in("s.hale")
    mould = {**RECORD, "serial": "M-4", "kind": "mould", "quantity": "mould_volume", "repeats": "", "belongs_to": "",
             "weighings": "4574.3 5514.7 27.8\n4574.3 5514.6 27.8"}  # fmt: skip
    short = client.post(filled.root + "apparatus-new", {**mould, "weighings": "4574.3 5514.7"})
    assert (short.status_code, "Each line has 3 numbers" in short.content.decode()) == (422, True)
    assert client.post(filled.root + "apparatus-new", mould).status_code == 302
    assert '"temperature":"27.8 degC"' in ApparatusRecord.objects.get().content
    shown = client.get(filled.root + "apparatus/M-4").content.decode()
    assert "5514.7 g" in shown
    assert "0.033334 ft³" in shown  # 943.9 cm3, ARIZ 225b
    assert client.get(filled.root + "apparatus/M-4/record").status_code == 200


def test_a_count_from_the_page(kept: Filled, sign_in: Callable[[str], Client]) -> None:
    client = sign_in("t.moss")
    address = kept.root + "apparatus/G-1187/count"
    body = {
        "client_uuid": str(uuid.uuid4()),
        "purpose": "standard",
        "taken_at": "2026-06-03T07:50",
        "density_counts": "2874",
        "moisture_counts": "660",
    }
    looked = client.post(address, {**body, "look": "1"})
    assert "2 tests use it; no result changes" in looked.content.decode().replace("0 get a finding; 2 lose one; ", "")
    assert StandardCount.objects.count() == 2
    saved = client.post(address, body, follow=True)
    assert "Accepted. Density 2874 is +0.00 % from the one accepted before (2874)" in saved.content.decode()
    sweep.run_until_idle()
    assert "standard-count-rejected" not in Test.objects.get(label="101").finding_codes
    off = client.post(address, {**body, "client_uuid": str(uuid.uuid4()), "density_counts": "2 x"})
    assert off.status_code == 422
    assert "is not a whole number" in off.content.decode()
    wrong = client.post(address, {**body, "client_uuid": str(uuid.uuid4()), "taken_at": "noon"})
    assert wrong.status_code == 422


def test_a_certificate_from_the_page(kept: Filled, sign_in: Callable[[str], Client]) -> None:
    client = sign_in("s.hale")
    body = {
        "client_uuid": str(uuid.uuid4()),
        "person": "t.moss",
        "subject": "nuclear_gauge",
        "valid_from": "2026-05-01",
        "valid_until": "2028-05-01",
    }
    looked = client.post(kept.root + "certificates/enter", {**body, "look": "1"})
    assert "2 tests use it; 0 get a finding; 2 lose one; no result changes." in looked.content.decode()
    assert client.post(kept.root + "certificates/enter", body).status_code == 302
    assert OperatorCertificate.objects.count() == 2
    bad = client.post(kept.root + "certificates/enter", {**body, "valid_until": "2020-01-01"})
    assert bad.status_code == 422


def test_pages_have_no_inline_script_and_label_every_field(kept: Filled, sign_in: Callable[[str], Client]) -> None:
    import re

    client = sign_in("s.hale")
    for path in ("apparatus", "apparatus/G-1187", "apparatus-new", "apparatus/SC-3/record", "certificates"):
        shown = page(client, kept.root + path)
        assert re.search(r"\s(?:on[a-z]+|style)\s*=", shown) is None, path
        labelled = set(re.findall(r"<label[^>]*\sfor=\"([^\"]+)\"", shown))
        for field in re.findall(r"<(?:input|select|textarea)\b[^>]*>", shown):
            if 'type="hidden"' not in field:
                found = re.search(r"\sid=\"([^\"]+)\"", field)
                assert found is not None, (path, field)
                assert found.group(1) in labelled, (path, field)
