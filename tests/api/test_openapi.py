"""The document says what the service does: kept in fixtures, valid, complete, and true for every call."""

import json
import re
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from drf_spectacular.validation import validate_schema
from jsonschema import Draft202012Validator
from jsonschema.validators import validator_for

from api import pages, problems
from api.examples import EXAMPLES
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
    for name, schema in DOCUMENT["components"]["schemas"].items():
        assert validator_for(schema, default=Draft202012Validator) is Draft202012Validator
        Draft202012Validator.check_schema(schema), name


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
    seen = set()
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
            (media,) = described["content"].items()
            assert answer["Content-Type"].partition(";")[0] == media[0].partition(";")[0], call
            if "json" not in media[0]:
                continue
            problems_found = [
                str(error.message)[:300]
                for error in validator(media[1]["schema"]).iter_errors(json.loads(answer.content))
            ]
            assert problems_found == [], (call, answer.status_code)
            seen.add(answer.status_code)
    assert {200, 201, 403, 404, 409} <= seen


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
