"""Who may do what: every address and method, by role, by key, from outside, and in a project that is not there."""

import json
import re
from collections.abc import Callable

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from api.permissions import SIGNED_IN
from api.resource import Resource
from projects.access import KEY_SCOPES, MAY
from projects.models import Role
from tests import builders
from tests.api.conftest import Caller, key_for, problem
from tests.api.operations_table import CALLS, Call
from tests.builders import CAST, Site

BY_ROLE = {role: next(name for name, held in CAST.items() if held == role) for role in Role.values}
BY_ROLE[Role.ADMINISTRATOR] = "a.wood"  # who is engineer as well, having opened the project


def routes() -> list[tuple[str, type]]:
    """Every address under /api/v1/ and its view."""
    found: list[tuple[str, type]] = []

    def walk(patterns: list[URLPattern | URLResolver], prefix: str) -> None:
        for item in patterns:
            address = prefix + str(item.pattern)
            if isinstance(item, URLResolver):
                walk(item.url_patterns, address)
            elif address.startswith("api/v1/"):
                found.append((address, item.callback.view_class))

    walk(get_resolver().url_patterns, "")
    return found


def test_every_method_of_every_route_declares_its_right() -> None:
    found = routes()
    assert len(found) > 25
    for address, view in found:
        assert issubclass(view, Resource), address
        written = {name.upper() for name in ("get", "put", "post", "patch", "delete") if hasattr(view, name)}
        assert written == set(view.operations), address
        for method, operation in view.operations.items():
            assert operation.needs in MAY or operation.needs == SIGNED_IN, f"{method} {address}"


def test_the_table_of_calls_has_every_route() -> None:
    declared = set()
    for address, view in routes():
        for method in view.operations:
            if "<code:project>" in address:
                tail = address.removeprefix("api/v1/projects/<code:project>").lstrip("/")
                declared.add((method, re.sub(r"<[^>]+>", "*", tail)))
    tabled = set()
    for call in CALLS:
        tail = re.sub(r"\{(id|new)\}", "*", call.tail.partition("?")[0])
        tail = re.sub(
            r"^(references|samples|specifications|alignments|areas|apparatus|lots)/[^/]+/(revisions|records)/1",
            r"\1/*/\2/*",
            tail,
        )
        tail = tail.replace("/differences/1", "/differences/*")
        tail = re.sub(r"^lots/[^/]+", "lots/*", tail)
        tail = re.sub(r"^supervision/2026-06-03/findings/0+", "supervision/*/findings/*", tail)
        tail = tail.replace("switches/no-count", "switches/*")
        tail = re.sub(r"^lifts/[^/]+/[^/]+", "lifts/*/*", tail)
        tabled.add((call.method, tail))
    assert tabled == declared


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_a_person_may_what_the_role_may(site: Site, by_session: Callable[[str], Caller], role: str) -> None:
    caller = by_session(BY_ROLE[role])
    held = {Role.ADMINISTRATOR, Role.ENGINEER} if role == Role.ADMINISTRATOR else {role}
    for call in CALLS:
        answer = caller.call(call.method, call.fresh_tail, call.body)
        if held & MAY[call.needs]:
            assert answer.status_code in (200, 201, 403, 404, 409), (call, answer.content)
            if answer.status_code == 403:  # allowed to the role, but not to this person: one's own revision
                problem(answer, 403, "second-person-needed")
        else:
            refused = problem(answer, 403, "not-allowed")
            assert call.needs in refused["detail"], call


@pytest.mark.django_db
@pytest.mark.parametrize("scopes", [("submit",), ("read-own",), ("read-project",)])
def test_a_key_may_what_its_scopes_say(site: Site, by_key: Callable[..., Caller], scopes: tuple[str, ...]) -> None:
    caller = by_key("e.stone", scopes)  # an engineer's, so that only the scopes limit it
    for call in CALLS:
        answer = caller.call(call.method, call.fresh_tail, call.body)
        wanted = KEY_SCOPES.get(call.needs)
        allowed = wanted in scopes or (call.needs == "read" and "read-own" in scopes and not call.whole_project)
        assert (answer.status_code != 403) == allowed, (call, answer.content)


def bodies(caller: Caller, code: str, call: Call) -> tuple[int, dict[str, object]]:
    here = Caller(code, caller.headers, caller.client)
    answer = here.call(call.method, call.fresh_tail, call.body)
    content = json.loads(answer.content)
    assert content.pop("instance") == answer["X-Request-Id"]
    return answer.status_code, content


@pytest.mark.django_db
def test_what_belongs_to_others_looks_like_what_is_absent(site: Site, by_session: Callable[[str], Caller]) -> None:
    builders.make_project(code="heron-levee")
    outsider = Caller("heron-levee")
    outsider.client.force_login(site.user("x.outside"))
    keyed = Caller("x", {"Authorization": f"Bearer {key_for(site, 'e.stone')}"})
    for call in CALLS:
        for caller in (outsider, keyed):
            other, absent = bodies(caller, "heron-levee", call), bodies(caller, "no-such-project", call)
            assert other == absent, call
            assert other[0] == 404, call


@pytest.mark.django_db
def test_nobody_gets_401_with_a_challenge(site: Site) -> None:
    for call in CALLS:
        answer = Caller(site.project.code).call(call.method, call.fresh_tail, call.body)
        problem(answer, 401, "not-signed-in")
        assert answer["WWW-Authenticate"] == 'Bearer realm="api"'


@pytest.mark.django_db
def test_a_role_that_ended_counts_no_more(site: Site, crew: Caller) -> None:
    from datetime import UTC, date, datetime

    from projects.actions import people

    assert crew.get("tests").status_code == 200
    people.end_membership(
        opened=site.opened("a.wood"),
        user=site.user("t.moss"),
        role="technician",
        last_day=date(2026, 6, 4),
        now=datetime.now(UTC),
    )
    problem(crew.get("tests"), 403, "not-allowed")


@pytest.mark.django_db
def test_members_that_a_client_may_not_set_are_refused(crew: Caller) -> None:
    for name in ("result", "status", "project", "version", "received_at", "signed_by", "voided"):
        problem(crew.put_test(builders.gauge_body(**{name: "pass"})), 422, "content-unreadable")


@pytest.mark.django_db
def test_reading_changes_nothing(site: Site, by_session: Callable[[str], Caller]) -> None:
    from projects.models import JournalEvent, StaleWork

    caller = by_session("e.stone")
    before = JournalEvent.objects.count(), StaleWork.objects.count()
    for call in CALLS:
        if call.method == "GET":
            caller.call("GET", call.fresh_tail)
            caller.call("HEAD", call.fresh_tail)
            caller.call("OPTIONS", call.fresh_tail)
    assert (JournalEvent.objects.count(), StaleWork.objects.count()) == before
