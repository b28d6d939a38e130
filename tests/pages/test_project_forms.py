"""Placements, places, people, keys and projects at the pages."""

import json
import re
import uuid
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client

from compaction.actions import sweep
from compaction.models import (
    Failure,
    PlacementVersion,
)
from projects.models import AlignmentRevision, AreaRevision, DeviceKey, Membership, Project, User
from tests.builders import NOW
from tests.pages.conftest import Filled

SignIn = Callable[[str], Client]


def test_a_placement_is_recorded_with_its_limits(filled: Filled, sign_in: SignIn) -> None:
    sent = {
        "client_uuid": str(uuid.uuid4()), "area": "core", "lift": "5", "placed_at": "2026-06-04T07:00",
        "alignment": "main",
        "station_from": "10+00", "station_to": "20+00", "offset_from": "30 L", "offset_to": "30 R", "thickness": "8",
        "thickness_unit": "in",
    }  # fmt: skip
    foreman = sign_in("c.pike")
    wrong = foreman.post(f"{filled.root}placements", {**sent, "station_to": "far away"})
    assert wrong.status_code == 422
    assert not PlacementVersion.objects.exists()
    assert foreman.post(f"{filled.root}placements", sent).status_code == 302
    sweep.run_until_idle()
    assert Failure.objects.get().buried
    assert "1 of them buried" in sign_in("m.dale").get(f"{filled.root}failures").content.decode()
    assert sign_in("o.lake").post(f"{filled.root}placements", sent).status_code == 403


def test_a_placement_says_all_that_the_record_takes(filled: Filled, sign_in: SignIn) -> None:
    foreman, address = sign_in("c.pike"), f"{filled.root}placements"
    sent = {
        "client_uuid": str(uuid.uuid4()), "area": "West toe", "lift": "1", "placed_at": "2026-06-04T07:00",
        "loads": "14", "load_volume": "12.5", "load_volume_unit": "yd3", "material": "P-1", "side": "left",
        "lot": "L-1", "reason_code": "rock", "reason": "boulders all over",
        "outline": "20000 10000\n20100, 10000\n20100 10050", "outline_unit": "ft",
    }  # fmt: skip
    for changes, field, told in (
        ({"load_volume": ""}, "load_volume", "Say how much one load holds."),
        ({"reason": ""}, "reason", "Say why, in words"),
        ({"outline": "20000 10000\n20100"}, "outline", "Line 2 is not two numbers"),
        ({"outline": "1 2\n3 4"}, "outline", "3 to 200 corners"),
        ({"station_from": "10+00"}, "outline", "not both"),
        ({"outline": ""}, "station_from", "or the limits by corners"),
    ):
        wrong = foreman.post(address, {**sent, "alignment": "main", **changes})
        assert (wrong.status_code, PlacementVersion.objects.count()) == (422, 0)
        assert told in str(wrong.context["form"].errors[field]), (field, wrong.context["form"].errors)
    assert foreman.post(address, {**sent, "alignment": "main"}).status_code == 302
    row = PlacementVersion.objects.get()
    assert row.quantity_m3 == pytest.approx(Decimal("133.798"), abs=Decimal("0.001"))  # 14 loads of 12.5 yd3
    body = json.loads(row.content)
    assert body["not_tested"] == {"reason_code": "rock", "reason": "boulders all over"}
    assert body["outline"][1] == {"easting": "20100 ft", "northing": "10000 ft"}
    assert {"alignment", "station_from"}.isdisjoint(body)
    page = foreman.get(address).content.decode()
    assert "<strong>not tested:</strong> too much rock for a test in place (boulders all over)" in page
    assert '<option value="West toe">' in page


def test_a_new_project_is_told_what_is_missing_until_nothing_is(db: None, sign_in: SignIn) -> None:
    User.objects.create_superuser("r.root", password="a-long-enough-phrase-7")
    root = sign_in("r.root")
    sent = {"code": "wren-road", "name": "Wren Road", "units": "kg/m3", "words": "si", "station_format": "1000",
            "time_zone": "Europe/Oslo", "failure_radius_m": "5"}  # fmt: skip
    assert root.post("/new", {**sent, "time_zone": "Mars"}).status_code == 422
    assert root.post("/new", sent).status_code == 302
    page = "/p/wren-road/set-up"
    text = root.get(page).content.decode()
    assert text.count(">missing<") == 4
    assert "Compaction curves" in text
    line = {
        "code": "main",
        "name": "Line",
        "unit": "m",
        "coordinate_unit": "m",
        "start_station": "1+000",
        "points": "0 0\n500",
    }
    wrong = root.post("/p/wren-road/set-up/baseline", line)
    assert wrong.status_code == 422
    assert "Line 2 is not two numbers" in wrong.content.decode()
    assert root.post("/p/wren-road/set-up/baseline", {**line, "points": "0 0\n500 0"}).status_code == 302
    area = {"code": "fill", "name": "Fill", "kind": "zone", "alignment": "main", "station_from": "1+100",
            "station_to": "1+300",
            "offset_from": "10 L", "offset_to": "10 R"}  # fmt: skip
    assert root.post("/p/wren-road/set-up/area", area).status_code == 302
    assert root.post("/p/wren-road/set-up/area", {**area, "kind": "exempt", "code": "pond"}).status_code == 422
    drawn = {"code": "pad", "name": "Pad", "kind": "zone", "alignment": "main", "shape": "station",
             "corners": "1+100 10 L\n1+200 10 L\n\n1+2000 10 R", "depth_to": "1.5"}  # fmt: skip
    refused = root.post("/p/wren-road/set-up/area", drawn)
    assert refused.status_code == 422
    assert "Line 4, “1+2000 10 R”" in refused.content.decode()
    drawn["corners"] = "1+100 10 L\n1+200 10 L\n1+200 10 R\n1+100 10 R\n1+100 10 L"
    look = root.post("/p/wren-road/set-up/area", {**drawn, "look": "1"})
    assert look.status_code == 200
    assert "data:image/svg+xml;base64," in look.content.decode()
    assert (AlignmentRevision.objects.count(), AreaRevision.objects.count()) == (1, 1)
    assert root.post("/p/wren-road/set-up/area", drawn).status_code == 302
    stored = json.loads(AreaRevision.objects.get(code="pad").content)
    assert stored["polygon_m"] == [["100", "10"], ["200", "10"], ["200", "-10"], ["100", "-10"]]
    assert (stored["depth_to_m"], stored["elevation_to_m"]) == ("1.5", None)
    square = {**drawn, "code": "pond", "shape": "northing-easting", "coordinate_unit": "m",
              "corners": "10 100\n10 200\n-10 200\n10 100.0000", "depth_to": "shallow"}  # fmt: skip
    said = root.post("/p/wren-road/set-up/area", square).content.decode()
    assert "“shallow” is not a number" in said
    crossed = {**square, "depth_to": "", "corners": "10 100\n-10 200\n10 200\n-10 100"}
    assert "of the outline cross" in root.post("/p/wren-road/set-up/area", crossed).content.decode()
    assert root.get(page).content.decode().count(">missing<") == 3
    assert Project.objects.get().name == "Wren Road"


def test_a_key_is_shown_once_and_can_be_revoked(filled: Filled, sign_in: SignIn) -> None:
    administrator = sign_in("a.wood")
    address = f"{filled.root}keys"
    assert (
        administrator.post(address, {"owner": "t.moss", "name": "", "scopes": ["submit"], "days": 10}).status_code
        == 422
    )
    made = administrator.post(
        address, {"owner": "t.moss", "name": "phone 4", "scopes": ["submit"], "days": 10}
    ).content.decode()
    secret = re.search(r"llk_[^<]+", made)
    assert secret is not None
    again = administrator.get(address).content.decode()
    assert secret.group() not in again
    key = DeviceKey.objects.get()
    assert key.secret_sha256 not in again
    administrator.post(f"{address}/{key.public_id}/revoke", {"reason": ""})
    assert DeviceKey.objects.get().revoked_at is None
    administrator.post(f"{address}/{key.public_id}/revoke", {"reason": "lost"})
    assert DeviceKey.objects.get().revoked_at is not None
    assert sign_in("t.moss").post(address, {}).status_code == 403


def test_people_are_added_and_their_roles_end(filled: Filled, sign_in: SignIn) -> None:
    administrator = sign_in("a.wood")
    address = f"{filled.root}people"
    unknown = administrator.post(address, {"username": "n.new", "role": "technician"})
    assert unknown.status_code == 422
    weak = administrator.post(address, {"username": "n.new", "role": "technician", "password": "short"})
    assert weak.status_code == 422
    assert not User.objects.filter(username="n.new").exists()
    given = {"username": "n.new", "full_name": "Nia New", "role": "technician", "password": "gravel-and-clay-19"}
    assert administrator.post(address, given).status_code == 302
    administrator.post(f"{address}/end", {"username": "n.new", "role": "technician", "last_day": "2026-06-30"})
    assert str(Membership.objects.get(user__username="n.new").valid_until) == "2026-06-30"
    assert sign_in("e.stone").post(address, given).status_code == 403


def test_signing_in_and_out(filled: Filled) -> None:
    browser = Client()
    page = browser.get("/sign-in").content.decode()
    assert "licence" in page
    assert "engineer of record decides" in page
    wrong = browser.post("/sign-in", {"username": "t.moss", "password": "no"}).content.decode()
    unknown = browser.post("/sign-in", {"username": "nobody", "password": "no"}).content.decode()
    assert "do not go together" in wrong
    assert "do not go together" in unknown
    done = browser.post("/sign-in", {"username": "t.moss", "password": "a-long-enough-phrase-7"})
    assert done["Location"] == "/"
    assert browser.get("/")["Location"] == "/p/kestrel-dike/", "whoever has one project is taken there"
    assert "Kestrel Dike" in browser.get("/?all").content.decode()
    assert browser.get("/sign-out").status_code == 405
    assert browser.post("/sign-out").status_code == 302
    assert browser.get("/")["Location"].startswith("/sign-in")
    assert filled.site.now == NOW
