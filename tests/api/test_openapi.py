"""The document says what the service does: kept in fixtures, valid, complete, and true for every call."""

import json
import re
import uuid
from collections.abc import Callable
from email.message import EmailMessage
from typing import Any
from xml.etree import ElementTree

import pytest
from django.http import HttpResponse
from django.test import Client
from drf_spectacular.validation import validate_schema
from jsonschema import Draft202012Validator
from jsonschema.validators import validator_for

from api import pages, problems
from api.examples.bodies import EXAMPLES
from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller
from tests.api.openapi_file import FILE
from tests.api.operations_table import CALLS, ID, Call
from tests.api.test_access_matrix import routes
from tests.builders import Site

DOCUMENT = json.loads(pages.document())


def validator(schema: dict[str, Any]) -> Draft202012Validator:
    """A validator that finds the document's schemas."""
    return Draft202012Validator(
        {**schema, "components": DOCUMENT["components"]}, format_checker=Draft202012Validator.FORMAT_CHECKER
    )


def test_the_file_in_fixtures_is_the_document() -> None:
    assert FILE.read_text(encoding="utf-8") == pages.document(), (
        "changed: python -m tests.api.openapi_file, and look at the difference"
    )


def test_it_is_valid_openapi_3_1() -> None:
    assert DOCUMENT["openapi"] == "3.1.0"
    validate_schema(DOCUMENT)
    for schema in DOCUMENT["components"]["schemas"].values():
        assert validator_for(schema, default=Draft202012Validator) is Draft202012Validator
        Draft202012Validator.check_schema(schema)


def test_every_route_and_method_is_in_it_and_nothing_else() -> None:
    described = {(path, method.upper()) for path, item in DOCUMENT["paths"].items() for method in item}
    served = {
        ("/" + re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", address), method)
        for address, view in routes()
        for method in view.operations
    }
    assert described == served
    ids = [operation["operationId"] for item in DOCUMENT["paths"].values() for operation in item.values()]
    assert len(ids) == len(set(ids))


def test_every_reference_leads_somewhere() -> None:
    named = set(re.findall(r'"#/components/schemas/(\w+)"', json.dumps(DOCUMENT)))
    assert named == set(DOCUMENT["components"]["schemas"])


def test_every_operation_tells_its_problems() -> None:
    for path, item in DOCUMENT["paths"].items():
        for method, operation in item.items():
            assert {"400", "401", "404", "406", "500", "503"} <= set(operation["responses"]), f"{method} {path}"
            if method != "get":
                assert {"413", "415"} <= set(operation["responses"]), f"{method} {path}"
    assert set(problems.KINDS) == {
        name.rpartition("/")[2] for name in DOCUMENT["components"]["schemas"]["Problem"]["properties"]["type"]["enum"]
    }


@pytest.mark.parametrize("name", list(EXAMPLES))
def test_the_examples_fit_their_schemas(name: str) -> None:
    for example in EXAMPLES[name].values():
        validator({"$ref": f"#/components/schemas/{name}"}).validate(example)


def operation_of(call: Call, answer_path: str) -> dict[str, Any]:
    for path, item in DOCUMENT["paths"].items():
        pattern = re.sub(r"\{\w+\}", "[^/]+", path)
        if re.fullmatch(pattern, answer_path) and call.method.lower() in item and ":" in path == (":" in answer_path):
            return item[call.method.lower()]
    for path, item in DOCUMENT["paths"].items():
        if re.fullmatch(re.sub(r"\{\w+\}", "[^/:]+", path), answer_path) and call.method.lower() in item:
            return item[call.method.lower()]
    raise AssertionError(answer_path)


def media_type(written: str) -> tuple[str, dict[str, str]]:
    """A media type in lower case, and its parameters."""
    message = EmailMessage()
    message["Content-Type"] = written
    return message.get_content_type(), {name: str(value) for name, value in message["Content-Type"].params.items()}


def unlike(answer: HttpResponse, content: dict[str, Any]) -> list[str]:
    """How an answer differs from the contents that are described for its status: media type, charset, schema."""
    kind, parameters = media_type(answer["Content-Type"])
    charset = parameters.pop("charset", None)
    schemas = [item["schema"] for name, item in content.items() if media_type(name) == (kind, parameters)]
    if len(schemas) != 1:
        return [f"{answer['Content-Type']} is not described; {', '.join(content)} is."]
    is_json = kind.endswith(("/json", "+json"))
    if charset != "utf-8" and not (is_json and charset is None):  # RFC 8259 gives JSON no charset, it is UTF-8
        return [f"{answer['Content-Type']} does not say charset=utf-8."]
    text = answer.content.decode("utf-8")
    if kind.endswith("+xml"):
        ElementTree.fromstring(text.encode("utf-8"))  # well-formed, or it raises
    return [
        str(error.message)[:300] for error in validator(schemas[0]).iter_errors(json.loads(text) if is_json else text)
    ]


@pytest.mark.parametrize(
    ("written", "wrong"),
    [
        ("application/gpx+xml; charset=utf-8", ""),
        ("application/gpx+xml", "charset"),
        ("application/gpx+xml; charset=latin-1", "charset"),
        ("application/gpx+xml; charset=utf-8; version=2", "not described"),
        ("application/xml; charset=utf-8", "not described"),
        ("application/json", "not described"),
    ],
)
def test_another_media_type_or_charset_is_told(written: str, wrong: str) -> None:
    content = {"application/gpx+xml": {"schema": {"type": "string"}}}
    found = unlike(HttpResponse("<gpx/>", content_type=written), content)
    assert wrong in "".join(found)
    assert bool(found) is bool(wrong)


def test_every_content_has_a_schema_that_says_a_type() -> None:
    for path, item in DOCUMENT["paths"].items():
        for method, operation in item.items():
            for status, answer in operation["responses"].items():
                for media, content in answer["content"].items():
                    name = content["schema"]["$ref"].rpartition("/")[2]
                    kind = DOCUMENT["components"]["schemas"][name]["type"]
                    is_json = media.endswith(("/json", "+json"))
                    assert kind == ("object" if is_json else "string"), (method, path, status, media, name)


@pytest.mark.django_db
def test_every_answer_is_as_described(site: Site, by_session: Callable[[str], Caller]) -> None:
    """Each call once with records behind its ids and once without; the answer fits the schema of its status."""
    technician, engineer = by_session("t.moss"), by_session("e.stone")
    technician.put(f"tests/{ID}", builders.failing_body())
    assert (
        technician.put_test(builders.gauge_body(retest_of=ID, performed_at="2026-06-03T12:15:00-06:00")).status_code
        == 201
    )
    technician.put(f"placements/{ID}", next(iter(EXAMPLES["PlacementBody"].values())))
    sweep.run_until_idle()
    failure = engineer.get("failures").json()["items"][0]["uuid"]
    seen, kinds = set(), set()
    for call in CALLS:
        with_record = call.fresh_tail.replace(f"failures/{ID}", f"failures/{failure}")
        without = call.fresh_tail.replace(ID, str(uuid.uuid4())).replace("P-1", "P-77").replace("S-1", "S-77")
        for caller, tail, body in (
            (engineer, with_record, call.body),
            (engineer, without, call.body),
            (technician, with_record, call.body),
        ):
            answer = caller.call(call.method, tail, body)
            operation = operation_of(call, answer.wsgi_request.path)  # type: ignore[attr-defined]
            described = operation["responses"].get(str(answer.status_code))
            assert described, (call, answer.status_code, answer.content[:300])
            assert unlike(answer, described["content"]) == [], (call, answer.status_code)
            seen.add(answer.status_code)
            kinds.add(media_type(answer["Content-Type"])[0])
    assert {200, 201, 403, 404, 409} <= seen
    assert kinds == {
        media
        for item in DOCUMENT["paths"].values()
        for operation in item.values()
        for answer in operation["responses"].values()
        for media in answer["content"]
    }


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/api/docs/", "/api/problems/", "/api/problems/content-conflict"])
def test_the_pages_need_no_other_host_and_no_inline_script(client: Client, address: str) -> None:
    answer = client.get(address)
    html = answer.content.decode()
    assert answer.status_code == 200
    assert "unsafe" not in answer["Content-Security-Policy"]
    assert not re.search(r"(src|href)=\"(https?:)?//", html)
    assert not re.search(r"<script(?![^>]*\bsrc=)", html)
    assert not re.search(r"<style|\sstyle=|\son\w+=", html)


def test_the_document_is_served(client: Client) -> None:
    answer = client.get("/api/openapi.json")
    assert answer["Content-Type"].startswith("application/vnd.oai.openapi+json")
    assert json.loads(answer.content) == DOCUMENT
