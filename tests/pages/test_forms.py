"""Forms do what they say, say what is wrong at the place where it is wrong, and do a thing once."""

import json
import re
import uuid
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client

from compaction.actions import sweep
from compaction.calculations.methods import METHODS
from compaction.models import (
    Decision,
    Failure,
    PlacementVersion,
    ReferenceRevision,
    Rework,
    SpecificationRevision,
    Test,
)
from compaction.observation.choices import PRINTED_FIGURES
from compaction.observation.description import FIELDS
from projects.models import AlignmentRevision, AreaRevision, DeviceKey, Membership, Project, User
from tests.builders import NOW, failing_body, gauge_body
from tests.pages.conftest import FAILING, PASSING, Filled

SignIn = Callable[[str], Client]


def hidden(page: bytes, name: str) -> str:
    """The value of a hidden field, as the browser would send it."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page.decode())
    assert found is not None, name
    return found.group(1)


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


# ---- failures ------------------------------------------------------------------------------------
def test_rework_retest_and_closing_make_one_story(filled: Filled, sign_in: SignIn) -> None:
    failure = Failure.objects.get()
    page = f"{filled.root}failures/{failure.uuid}"
    contractor, engineer = sign_in("c.pike"), sign_in("e.stone")
    sent = {"client_uuid": str(uuid.uuid4()), "method": "rerolled", "performed_at": "no time", "passes": "6"}
    wrong = contractor.post(f"{page}/rework", sent)
    assert wrong.status_code == 422
    assert "is no time" in wrong.content.decode()
    sent["performed_at"] = "2026-06-03T10:00"
    assert contractor.post(f"{page}/rework", sent).status_code == 302
    assert json.loads(Rework.objects.get().content)["performed_at"] == "2026-06-03T10:00:00-06:00"
    retest = gauge_body(label="102-R1", retest_of=str(FAILING), performed_at="2026-06-03T10:30:00-06:00")
    filled.site.post(retest)
    sweep.run_until_idle()
    shown = engineer.get(page)
    text = shown.content.decode()
    assert text.index("Failing test") < text.index("Rework: rerolled") < text.index("Retest 1")
    closing = {
        "client_uuid": str(uuid.uuid4()),
        "basis_digest": "0" * 64,
        "meaning": "closed",
        "reason": "retest passes",
    }
    stale = engineer.post(f"{page}/close", closing)
    assert stale.status_code == 422
    assert "moved since you looked" in stale.content.decode()
    closing["basis_digest"] = hidden(shown.content, "basis_digest")
    assert engineer.post(f"{page}/close", closing).status_code == 302
    assert Failure.objects.get().state == "closed"
    assert contractor.post(f"{page}/close", closing).status_code == 403


def test_several_failures_are_closed_in_one_sitting_each_with_its_reason(filled: Filled, sign_in: SignIn) -> None:
    for number in range(2):
        filled.site.post(
            failing_body(
                label=f"50{number}", position={"alignment": "main", "station": f"2{number}+00", "offset": "5 L"}
            )
        )
    sweep.run_until_idle()
    engineer = sign_in("e.stone")
    page = engineer.get(f"{filled.root}failures").content.decode()
    sent: dict[str, str] = {}
    for name, value in re.findall(r'name="([0-9a-f-]{36}-(?:client_uuid|basis_digest))" value="([^"]*)"', page):
        sent[name] = value
    first, second, third = (str(row.uuid) for row in Failure.objects.order_by("opened_at", "uuid"))
    sent |= {f"{first}-meaning": "accepted_as_is", f"{first}-reason": "below the pipe zone"}
    sent |= {f"{second}-meaning": "removed_and_replaced", f"{second}-reason": "dug out to lift 3"}
    sent |= {f"{third}-meaning": "closed", f"{third}-reason": "too early"}
    answer = engineer.post(f"{filled.root}failures", sent)
    assert answer.status_code == 422
    assert "after a passing retest" in answer.content.decode()
    reasons = dict(Decision.objects.filter(subject_kind="failure").values_list("subject", "reason"))
    assert reasons == {first: "below the pipe zone", second: "dug out to lift 3"}


# ---- laboratory and specification ----------------------------------------------------------------
def reference_form(**changes: str) -> dict[str, str]:
    return {
        "code": "P-2", "soil": "silty sand", "method": "D698-A", "control_sieve": "no4", "oversize_rule": "none",
        "reach": "all", "maximum_dry_density_": "", "maximum_dry_density": "118.2", "maximum_dry_density_unit": "pcf",
        "optimum_water_content": "12.1", "optimum_water_content_unit": "%", "specific_gravity": "2.68",
        "point-TOTAL_FORMS": "2", "point-INITIAL_FORMS": "0", "point-0-water_content": "10",
        "point-0-water_content_unit": "%",
        "point-0-dry_density": "115.1", "point-0-dry_density_unit": "pcf", "reason": "new borrow", **changes,
    }  # fmt: skip


def test_a_reference_is_entered_and_approved_by_another(filled: Filled, sign_in: SignIn) -> None:
    lab, engineer = sign_in("l.finch"), sign_in("e.stone")
    assert lab.post(f"{filled.root}references-new", reference_form()).status_code == 302
    row = ReferenceRevision.objects.get(code="P-2")
    assert json.loads(row.content)["points"] == [{"dry_density": "115.1 pcf", "water_content": "10 %"}]
    seen = engineer.get(f"{filled.root}references/P-2/1/approval")
    assert "Of 0 tests looked at" in seen.content.decode()
    sent = {"client_uuid": str(uuid.uuid4()), "reason": "points lie on a curve"}
    assert lab.post(f"{filled.root}references/P-2/1/approve", sent).status_code == 403
    assert engineer.post(f"{filled.root}references/P-2/1/approve", sent).status_code == 302
    assert "approved" in engineer.get(f"{filled.root}references/P-2").content.decode()


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"maximum_dry_density": "9"}, "between 500 and 4000"),
        ({"maximum_dry_density": ""}, "Give a number here"),
        ({"point-0-dry_density": ""}, "needs its water content and its dry density"),
        ({"specific_gravity": "x"}, "number"),
        ({"oversize_rule": "correct_maximum"}, "bulk specific gravity"),
        ({"reach": "from_date"}, "effective_from"),
    ],
)
def test_a_bad_reference_is_told_at_the_form(
    filled: Filled, sign_in: SignIn, changes: dict[str, str], told: str
) -> None:
    answer = sign_in("l.finch").post(f"{filled.root}references-new", reference_form(**changes))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not ReferenceRevision.objects.filter(code="P-2").exists()


def test_approving_says_before_what_it_changes(filled: Filled, sign_in: SignIn) -> None:
    lab, engineer = sign_in("l.finch"), sign_in("e.stone")
    revised = reference_form(code="", maximum_dry_density="113.0", optimum_water_content="15")
    assert lab.post(f"{filled.root}references/P-1/revise", revised).status_code == 302
    text = engineer.get(f"{filled.root}references/P-1/2/approval").content.decode()
    assert re.search(r"Of 3 tests looked at, 3 change: [12] pass to fail", text)
    assert Test.objects.get(client_uuid=PASSING).result == "pass"
    engineer.post(f"{filled.root}references/P-1/2/approve", {"client_uuid": str(uuid.uuid4()), "reason": "ok"})
    sweep.run_until_idle()
    page = engineer.get(f"{filled.root}tests/{PASSING}").content.decode()
    assert "Fails" in page
    assert "reference P-1 rev 2 approved" in page


def test_a_specification_reads_back_as_its_clauses(filled: Filled, sign_in: SignIn) -> None:
    sent = {
        "code": "S-2", "title": "Trench backfill", "reach": "all", "criterion-TOTAL_FORMS": "2",
        "criterion-INITIAL_FORMS": "0", "criterion-0-quantity": "percent_compaction", "criterion-0-minimum": "90",
        "criterion-0-minimum_unit": "%", "criterion-0-contractual": "on", "criterion-0-zone": "core",
        "criterion-0-clause": "Ninety percent.", "step-TOTAL_FORMS": "1", "step-INITIAL_FORMS": "0",
        "step-0-quantity": "percent_compaction", "step-0-increment": "1", "step-0-unit": "%", "step-0-method": "round",
        "step-0-tie": "half_up",
    }  # fmt: skip
    manager = sign_in("m.dale")
    answer = manager.post(f"{filled.root}specifications-new", sent)
    assert answer.status_code == 302
    page = manager.get(f"{filled.root}specifications/S-2").content.decode()
    for words in ("Percent compaction: at least 90 %", "In core", "rounded to 1 %; a tie goes up", "Ninety percent."):
        assert words in page
    none = manager.post(f"{filled.root}specifications-new", {**sent, "code": "S-3", "criterion-0-quantity": ""})
    assert none.status_code == 422
    assert "at least one criterion" in none.content.decode()
    assert not SpecificationRevision.objects.filter(code="S-3").exists()


# ---- place, people, keys, projects ---------------------------------------------------------------
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
    assert (AlignmentRevision.objects.count(), AreaRevision.objects.count()) == (1, 1)
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


def test_every_method_has_its_readings_on_the_form(filled: Filled, sign_in: SignIn) -> None:
    page = sign_in("e.stone").get(f"{filled.root}tests/new").content.decode()
    for code, method in METHODS.items():
        assert f'value="{code}" data-pointer="/method"' in page
        required = [field.name for field in method.fields if field.required and field.kind != "group"]
        for name in required:
            assert f'data-pointer="/readings/{name}"' in page, (code, name)
