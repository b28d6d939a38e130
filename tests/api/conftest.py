"""A site, and callers of it: by key and by session."""

import json
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from compaction.queries import set_up
from projects import access
from projects.actions import keys
from projects.models import Scope
from tests import builders
from tests.builders import Site

BOTH = (Scope.SUBMIT, Scope.READ_PROJECT)


def key_for(site: Site, username: str, scopes: tuple[str, ...] = BOTH) -> str:
    """A key that is valid today, whatever day it is."""
    return keys.issue(
        opened=site.opened("a.wood"),
        owner=site.user(username),
        name="phone",
        scopes=list(scopes),
        now=datetime.now(UTC),
    )[1]


@dataclass
class Caller:
    """Somebody who calls the API of one project."""

    project: str
    headers: dict[str, str] = field(default_factory=dict)
    client: Client = field(default_factory=lambda: Client(raise_request_exception=False))

    def call(self, method: str, tail: str, body: Any = None, **headers: str) -> HttpResponse:
        """A request under the project's address; a `str` or `bytes` body is sent as it is."""
        address = tail if tail.startswith("/") else f"/api/v1/projects/{self.project}/{tail}".rstrip("/")
        data = body if isinstance(body, str | bytes) else "" if body is None else json.dumps(body)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.generic(
            method, address, data, content_type="application/json", headers={**self.headers, **named}
        )

    def get(self, tail: str, **headers: str) -> HttpResponse:
        return self.call("GET", tail, **headers)

    def put(self, tail: str, body: Any, **headers: str) -> HttpResponse:
        return self.call("PUT", tail, body, **headers)

    def post(self, tail: str, body: Any, **headers: str) -> HttpResponse:
        return self.call("POST", tail, body, **headers)

    def put_test(self, body: dict[str, Any], id_: uuid.UUID | None = None) -> HttpResponse:
        return self.put(f"tests/{id_ or uuid.uuid4()}", body)


@pytest.fixture
def site(db: None) -> Site:
    set_up.forget()
    access._rosters.clear()  # projects of different tests come and go under the same numbers
    return builders.make_project()


@pytest.fixture
def by_key(site: Site) -> Callable[..., Caller]:
    """A caller with a new key of a person of the cast."""

    def make(username: str = "t.moss", scopes: tuple[str, ...] = BOTH) -> Caller:
        return Caller(site.project.code, {"Authorization": f"Bearer {key_for(site, username, scopes)}"})

    return make


@pytest.fixture
def by_session(site: Site) -> Callable[[str], Caller]:
    """A caller who is signed in at a page (the test client sends no CSRF token and is not asked for one)."""

    def make(username: str) -> Caller:
        caller = Caller(site.project.code)
        caller.client.force_login(site.user(username))
        return caller

    return make


@pytest.fixture
def crew(by_key: Callable[..., Caller]) -> Caller:
    """The technician's device."""
    return by_key("t.moss")


def problem(answer: HttpResponse, status: int, code: str) -> dict[str, Any]:
    """The problem of an answer, checked for its shape."""
    content = json.loads(answer.content)
    assert (answer.status_code, content.get("type")) == (status, f"/api/problems/{code}"), content
    assert answer["Content-Type"] == "application/problem+json"
    assert content["status"] == status
    assert content["instance"] == answer["X-Request-Id"]
    assert content["title"]
    assert content["detail"]
    assert all(set(error) == {"pointer", "code", "detail"} for error in content["errors"])
    return content
