"""One shape for whatever goes wrong, wherever it goes wrong."""

import json

import pytest
from django.test import Client

from api import problems
from compaction.actions import field_tests
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "address",
    [
        "/api/",
        "/api/v1",
        "/api/v1/",
        "/api/v2/projects",
        "/api/nothing",
        "/api/v1/projects/",
        "/api/v1/projects/a/b",
        "/api/v1/projects/kestrel-dike/tests/3F0C0A52-6A3E-4D5B-9A55-1F6F4F8F7A10",
        "/api/v1/projects/kestrel-dike/tests/3f0c0a526a3e4d5b9a551f6f4f8f7a10",
        "/api/v1/projects/kestrel-dike/tests/1",
        "/api/v1/projects/kestrel-dike/tests/%D9%A1",
        "/api/v1/projects/kestrel-dike/tests/3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10%0a",
        "/api/v1/projects/%00/tests",
        "/api/v1/projects/../admin",
        "/api/v1/projects/kestrel-dike/references/P-1/revisions/01",
        "/api/v1/projects/kestrel-dike/references/P-1/revisions/0",
        "/api/problems/no-such-problem",
        "/api/v1/projects/kestrel-dike/references/P-1/revisions/99999999999999999999",
    ],
)
def test_unknown_addresses(crew: Caller, address: str) -> None:
    problem(crew.get(address), 404, "not-found")


def test_method_not_allowed(crew: Caller) -> None:
    for method in ("POST", "DELETE", "PATCH", "PUT", "TRACE", "BREW"):
        answer = crew.call(method, "tests")
        problem(answer, 405, "method-not-allowed")
        assert answer["Allow"] == "GET, HEAD, OPTIONS"


def test_head_and_options(crew: Caller) -> None:
    head = crew.call("HEAD", "tests")
    assert (head.status_code, head.content) == (200, b"")
    options = crew.call("OPTIONS", "tests:batch")
    assert (options.status_code, options["Allow"]) == (204, "POST, OPTIONS")


def test_not_acceptable(crew: Caller) -> None:
    problem(crew.get("tests", Accept="text/html"), 406, "not-acceptable")
    assert crew.get("tests", Accept="text/html, */*;q=0.1").status_code == 200


@pytest.mark.parametrize(
    "content_type",
    [
        "application/json; charset=utf-7",
        "application/json;charset=latin-1",
        "text/plain",
        "application/xml",
        "multipart/form-data; boundary=x",
        "application/x-www-form-urlencoded",
    ],
)
def test_unsupported_media(crew: Caller, content_type: str) -> None:
    answer = crew.client.put(
        "/api/v1/projects/kestrel-dike/tests/3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10",
        "{}",
        content_type=content_type,
        headers=crew.headers,
    )
    problem(answer, 415, "not-json")


def test_compressed_bodies_are_not_read(crew: Caller) -> None:
    problem(crew.post("tests:preview", builders.gauge_body(), Content_Encoding="gzip"), 415, "not-json")


def test_bodies_that_are_too_large(crew: Caller) -> None:
    large = json.dumps(builders.gauge_body(remarks="x" * 2_600_000))
    problem(crew.post("tests:preview", large), 413, "body-too-large")
    batch = json.dumps({"items": [{"id": "x", "test": {"remarks": "y" * 2_100_000}}]})
    problem(crew.post("tests:batch", batch), 413, "body-too-large")


def test_a_body_is_wanted(crew: Caller) -> None:
    problem(crew.call("POST", "tests:preview"), 400, "body-missing")


def test_bytes_that_are_not_utf_8(crew: Caller) -> None:
    problem(crew.post("tests:preview", b'{"label": "\xff"}'), 400, "body-not-json")
    problem(crew.post("tests:preview", '{"label": "x"}'.encode("utf-16")), 400, "body-not-json")


@pytest.mark.parametrize("body", ["[]", "1", '"text"', "null", "true"])
def test_json_that_is_no_record(crew: Caller, body: str) -> None:
    for address in ("tests:preview", "tests:batch", "tests:have"):
        problem(crew.post(address, body), 422, "content-unreadable")
    for address in (
        "tests/{}",
        "placements/{}",
        "references/{}/revisions/1",
        "alignments/{}/revisions/1",
        "apparatus/{}/records/1",
    ):
        answer = crew.put(address.format("3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"), body)
        assert answer.status_code in (422, 403), answer.content


def test_a_host_that_is_not_served() -> None:
    answer = Client(raise_request_exception=False).get("/api/v1/projects", headers={"Host": "evil.example"})
    problem(answer, 400, "bad-host")


def test_a_fault_of_ours_says_nothing_about_itself(crew: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(**_: object) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(field_tests, "record", fail)
    answer = crew.put_test(builders.gauge_body())
    problem(answer, 500, "internal")
    assert b"secret" not in answer.content
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_a_busy_database_is_told_to_come_back(crew: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    from django.db import OperationalError

    def fail(**_: object) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr(field_tests, "record", fail)
    answer = crew.put_test(builders.gauge_body())
    problem(answer, 503, "try-again")
    assert answer["Retry-After"] == "5"


def test_every_problem_has_its_page(client: Client) -> None:
    listing = client.get("/api/problems/").content.decode()
    for code, kind in problems.KINDS.items():
        assert code in listing
        page = client.get(problems.type_of(code))
        assert page.status_code == 200
        assert kind.title.replace("'", "&#x27;") in page.content.decode()


def test_every_code_of_a_refusal_becomes_a_known_kind() -> None:
    assert set(problems.REFUSALS.values()) <= set(problems.KINDS)
    assert set(problems.BY_STATUS.values()) <= set(problems.KINDS)
