"""Forms do what they say, say what is wrong at the place where it is wrong, and do a thing once."""

import json
import re
import uuid
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client

from compaction.calculations.methods import METHODS
from compaction.models import (
    Test,
)
from compaction.observation.choices import PRINTED_FIGURES
from compaction.observation.description import FIELDS
from projects.models import User
from tests.builders import failing_body, gauge_body
from tests.pages.conftest import PASSING, Filled

SignIn = Callable[[str], Client]


# ---- a test --------------------------------------------------------------------------------------
#: what the form leaves to other clients: figures of another sheet, what a receiver or a plan supplies, the gauge, which
#: is named among its readings
NOT_ON_THE_FORM = {
    "/apparatus/gauge", "/location", "/position/gps/fixed_at", "/position/rtk/ellipsoid_height",
    *(f"/printed/{name}" for name in PRINTED_FIGURES if name != "percent_compaction"),
}  # fmt: skip


def test_the_entry_form_has_every_other_member_of_a_test(filled: Filled, sign_in: SignIn) -> None:
    page = sign_in("e.stone").get(f"{filled.root}tests/new").content.decode()
    there = set(re.findall(r'data-(?:other-)?pointer="([^"]+)"', page))
    assert {field.pointer for field in FIELDS} - there <= NOT_ON_THE_FORM


def test_an_oven_value_becomes_a_new_version_with_its_cause(filled: Filled, sign_in: SignIn) -> None:
    lab = sign_in("l.finch")
    sent = {"client_uuid": str(uuid.uuid4()), "replaces": 1, "value_": ".", "fraction": "total", "reason": "oven"}
    address = f"{filled.root}tests/{PASSING}/oven"
    wrong = lab.post(address, {**sent, "value": "abc", "value_unit": "%"})
    assert wrong.status_code == 422
    assert "abc" in wrong.content.decode()
    sent["value"], sent["value_unit"] = "14.2", "%"
    done = lab.post(address, sent, follow=True)
    assert done.status_code == 200
    page = done.content.decode()
    assert "version 2" in page
    assert "the oven value has come" in page
    assert Test.objects.get(client_uuid=PASSING).water_content_pct == Decimal("14.2")
    lab.post(address, sent)  # the same form once more
    assert Test.objects.get(client_uuid=PASSING).current_version == 2


def test_an_oven_value_may_come_as_the_masses_of_a_can(filled: Filled, sign_in: SignIn) -> None:
    """16.0 g of water in 100.0 g of dry soil."""
    lab = sign_in("l.finch")
    address = f"{filled.root}tests/{PASSING}/oven"
    sent = {
        "client_uuid": str(uuid.uuid4()),
        "replaces": 1,
        "fraction": "total",
        "reason": "oven",
        "standard": "d2216_b",
    }
    neither = lab.post(address, sent)
    assert neither.status_code == 422
    assert "the three masses of the can" in neither.content.decode()
    masses = {"wet_and_can": "150.0", "wet_and_can_unit": "g", "dry_and_can": "134.0", "dry_and_can_unit": "g"}
    part = lab.post(address, {**sent, **masses})
    assert part.status_code == 422
    assert "The can needs all three masses." in part.content.decode()
    sent |= {**masses, "can_mass": "34.0", "can_mass_unit": "g", "can": "A7"}
    both = lab.post(address, {**sent, "value": "16.0", "value_unit": "%"})
    assert both.status_code == 422
    assert lab.post(address, sent, follow=True).status_code == 200
    test = Test.objects.get(client_uuid=PASSING)
    assert test.water_content_pct == Decimal(16)
    kept = json.loads(test.versions.get(version=2).content)["water_contents"][-1]
    assert kept == {
        "method": "oven", "fraction": "total", "standard": "d2216_b",
        "cans": [{"can": "A7", "wet_and_can": "150.0 g", "dry_and_can": "134.0 g", "can_mass": "34.0 g"}],
    }  # fmt: skip


def test_a_hold_is_released_by_another_person_with_a_reason(filled: Filled, sign_in: SignIn) -> None:
    held = uuid.uuid4()
    body = gauge_body(label="301")
    body["readings"] = {**body["readings"], "wet_density": "142.0 pcf"}
    filled.site.post(body, id_=held)
    engineer = sign_in("e.stone")
    address = f"{filled.root}tests/{held}"
    page = engineer.get(address)
    holds = re.findall(r'name="hold" value="([^"]+)"', page.content.decode())
    assert holds
    sent = {"client_uuid": str(uuid.uuid4()), "hold": holds[0], "reason": " "}
    assert engineer.post(f"{address}/release", sent).status_code == 422
    sent["reason"] = "rock in the hole, seen by two"
    assert engineer.post(f"{address}/release", sent).status_code == 302
    assert holds[0] not in Test.objects.get(client_uuid=held).open_holds.split()
    assert sign_in("t.moss").post(f"{address}/release", sent).status_code == 403


def test_a_void_takes_two_people(filled: Filled, sign_in: SignIn) -> None:
    address = f"{filled.root}tests/{PASSING}"
    asked = {"client_uuid": str(uuid.uuid4()), "reason_code": "wrong-location", "reason": "made off the fill"}
    assert sign_in("t.moss").post(f"{address}/void", asked).status_code == 302
    assert not Test.objects.get(client_uuid=PASSING).voided
    supervisor = sign_in("s.hale")
    assert "Confirm the void" in supervisor.get(address).content.decode()
    confirmed = {"client_uuid": str(uuid.uuid4()), "reason": "saw the stakes"}
    assert supervisor.post(f"{address}/void/confirm", confirmed).status_code == 302
    assert Test.objects.get(client_uuid=PASSING).voided
    assert "Voided" in supervisor.get(address).content.decode()


def test_every_method_has_its_readings_on_the_form(filled: Filled, sign_in: SignIn) -> None:
    page = sign_in("e.stone").get(f"{filled.root}tests/new").content.decode()
    for code, method in METHODS.items():
        assert f'value="{code}" data-pointer="/method"' in page
        required = [field.name for field in method.fields if field.required and field.kind != "group"]
        for name in required:
            assert f'data-pointer="/readings/{name}"' in page, (code, name)


# ---- sending, previewing -------------------------------------------------------------------------
def test_a_preview_stores_nothing_and_tells_errors_by_place(filled: Filled, sign_in: SignIn) -> None:
    phone, before = sign_in("t.moss"), Test.objects.count()
    address = f"{filled.root}tests/preview"
    told = phone.post(address, json.dumps(failing_body()), content_type="application/json").json()
    assert told["mark"] == "fail"
    assert told["headline"] == "Fails: 90.9 of 95, 4.1 short"
    assert any("short" in sentence for sentence in told["advice"])
    bad = phone.post(address, json.dumps(gauge_body(lift="x")), content_type="application/json")
    assert bad.status_code == 422
    assert bad.json()["errors"][0][0] == "/lift"
    assert Test.objects.count() == before


@pytest.mark.parametrize("raw", ["", "[1]", "{", '{"lift": 1.5}', '{"a": NaN}', '{"a": 1, "a": 2}', b"\xed\xa0\x80",
                                 '{"label": "\\u0000"}', "[" * 5000])  # fmt: skip
def test_what_is_no_record_is_refused_in_words(filled: Filled, sign_in: SignIn, raw: str | bytes) -> None:
    phone, before = sign_in("t.moss"), Test.objects.count()
    for address in ("tests/preview", f"tests/send/{uuid.uuid4()}", f"tests/{PASSING}/amend/send"):
        answer = phone.post(filled.root + address, raw, content_type="application/json")
        assert answer.status_code in (400, 422), address
        assert answer.json()["errors"][0][2]
    assert Test.objects.count() == before


def test_sending_twice_gives_the_same_receipt_and_other_content_is_refused(filled: Filled, sign_in: SignIn) -> None:
    phone = sign_in("t.moss")
    address = f"{filled.root}tests/send/{uuid.uuid4()}"
    first = phone.post(address, json.dumps(gauge_body(label="401")), content_type="application/json")
    again = phone.post(address, json.dumps(gauge_body(label="401")), content_type="application/json")
    other = phone.post(address, json.dumps(gauge_body(label="402")), content_type="application/json")
    assert (first.status_code, again.status_code, other.status_code) == (201, 200, 409)
    assert first.json()["receipt"] == again.json()["receipt"]


def test_who_may_not_send_is_told_in_json(filled: Filled, sign_in: SignIn) -> None:
    body = json.dumps(gauge_body())
    address = f"{filled.root}tests/send/{uuid.uuid4()}"
    answers = {
        who: sign_in(who).post(address, body, content_type="application/json").status_code
        for who in ("o.lake", "c.pike", "x.outside")
    }
    assert answers == {"o.lake": 403, "c.pike": 403, "x.outside": 404}
    assert Client().post(address, body, content_type="application/json").status_code == 401


def test_a_form_without_its_token_changes_nothing(filled: Filled) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(User.objects.get(username="t.moss"))
    address = f"{filled.root}tests/send/{uuid.uuid4()}"
    assert strict.post(address, json.dumps(gauge_body()), content_type="application/json").status_code == 403
