"""Keys of devices and sessions of people."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from projects.actions import keys
from projects.models import DeviceKey
from tests import builders
from tests.api.conftest import Caller, key_for, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db


def with_key(site: Site, text: str) -> Caller:
    return Caller(site.project.code, {"Authorization": f"Bearer {text}"})


def test_a_true_key_is_told_why_it_no_longer_counts(site: Site) -> None:
    text = key_for(site, "t.moss")
    caller = with_key(site, text)
    assert caller.get("tests").status_code == 200
    DeviceKey.objects.update(expires_at=datetime.now(UTC) - timedelta(seconds=1))
    answer = caller.get("tests")
    problem(answer, 401, "key-expired")
    assert 'error="invalid_token"' in answer["WWW-Authenticate"]
    keys.revoke(opened=site.opened("a.wood"), public_id=text.split("_")[1], reason="tablet lost", now=datetime.now(UTC))
    problem(caller.get("tests"), 401, "key-revoked")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "llk_0123456789abcdef_" + "A" * 43 + "_00000000",
        "llk_x",
        "llk_0123456789abcdef_" + "A" * 43 + "_0000000\x00",
        "a" * 5000,
        "ключ",
        "llk_0123456789abcdef_\u00e9\u00e9_00000000",
    ],
)
def test_a_false_key_is_unknown(site: Site, text: str) -> None:
    problem(with_key(site, text.encode().decode("latin-1")).get("tests"), 401, "key-unknown")


def test_a_key_with_one_letter_changed_is_unknown_even_if_revoked(site: Site) -> None:
    text = key_for(site, "t.moss")
    DeviceKey.objects.update(revoked_at=datetime.now(UTC))
    prefix, public_id, secret, _ = text.split("_")
    other = ("B" if secret[0] != "B" else "C") + secret[1:]
    body = f"{prefix}_{public_id}_{other}"
    problem(with_key(site, f"{body}_{keys._checksum(body)}").get("tests"), 401, "key-unknown")


def test_other_schemes_are_not_taken(site: Site) -> None:
    caller = Caller(site.project.code, {"Authorization": "Basic dDptb3Nz"})
    problem(caller.get("tests"), 401, "key-unknown")


@pytest.mark.parametrize("name", ["token", "api_key", "key", "access_token", "Token"])
def test_a_key_in_the_address_is_refused_before_anything_else(site: Site, name: str) -> None:
    text = key_for(site, "t.moss")
    refused = problem(with_key(site, text).get(f"tests?{name}={text}"), 400, "key-in-address")
    assert text not in str(refused)
    problem(Caller(site.project.code).get(f"tests?{name}={text}"), 400, "key-in-address")


def test_the_secret_is_nowhere_in_the_database(site: Site) -> None:
    secret = key_for(site, "t.moss").split("_")[2]
    stored = DeviceKey.objects.values().get()
    assert secret not in str(stored)


def test_a_session_needs_the_pages_token_for_whatever_changes(site: Site) -> None:
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.force_login(site.user("t.moss"))
    caller = Caller(site.project.code, client=client)
    assert caller.get("tests").status_code == 200
    problem(caller.post("tests:preview", builders.gauge_body()), 403, "csrf-failed")
    token = "a" * 32
    client.cookies["csrftoken"] = token
    assert caller.post("tests:preview", builders.gauge_body(), X_CSRFToken=token).status_code == 200


def test_a_key_needs_no_token(site: Site) -> None:
    client = Client(enforce_csrf_checks=True)
    caller = Caller(site.project.code, {"Authorization": f"Bearer {key_for(site, 't.moss')}"}, client)
    assert caller.post("tests:preview", builders.gauge_body()).status_code == 200


def test_a_form_of_another_site_is_not_looked_into(site: Site) -> None:
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.force_login(site.user("t.moss"))
    answer = client.post("/api/v1/projects/kestrel-dike/tests:preview", {"csrfmiddlewaretoken": "x"})
    problem(answer, 415, "not-json")


def test_projects_of_the_caller(site: Site, by_key: Callable[..., Caller], by_session: Callable[[str], Caller]) -> None:
    builders.make_project(code="heron-levee")

    def by_code(caller: Caller) -> list[str]:
        return [item["code"] for item in caller.get("/api/v1/projects").json()["items"]]

    assert by_code(by_key("t.moss")) == ["kestrel-dike"]
    assert by_code(by_session("t.moss")) == ["heron-levee", "kestrel-dike"]
    assert by_code(by_session("x.outside")) == []
    problem(Caller("").get("/api/v1/projects"), 401, "not-signed-in")
    shown = by_session("l.finch").get("").json()
    assert shown["roles"] == ["laboratory"]
    assert "enter-reference" in shown["may"]
    assert "approve" not in shown["may"]
