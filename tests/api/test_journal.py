"""The journal over HTTP: in order, page by page, and whether it holds."""

import hashlib
import json

import pytest
from django.db import connection

from projects import append_only
from projects.journal import HASHED_FIELDS, event_hash
from projects.models import JournalEvent
from tests import builders
from tests.api.conftest import Caller, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db


def test_pages_in_order_without_a_gap(crew: Caller) -> None:
    for number in range(5):
        crew.put_test(builders.gauge_body(label=str(number)))
    seen: list[int] = []
    address: str | None = "journal?limit=7"
    while address:
        content = crew.get(address).json()
        seen += [event["seq"] for event in content["items"]]
        address = content["next"]
    assert seen == list(range(1, JournalEvent.objects.count() + 1))
    assert [event["seq"] for event in crew.get("journal?after=20&limit=2").json()["items"]] == [21, 22]
    problem(crew.get("journal?after=-1"), 400, "query-parameter")


def test_a_client_can_check_the_chain_by_itself(site: Site, crew: Caller) -> None:
    crew.put_test(builders.gauge_body())
    previous = "0" * 64
    for event in crew.get("journal?limit=200").json()["items"]:
        assert hashlib.sha256(event["body"].encode()).hexdigest() == event["body_sha256"]
        fields = {name: event.get(name) for name in HASHED_FIELDS if name != "project"}
        assert event["prev_hash"] == previous
        assert event_hash({**fields, "project": str(site.project.uuid)}) == event["hash"]
        previous = event["hash"]
        json.loads(event["body"])


def test_verification_finds_an_altered_event(site: Site, crew: Caller) -> None:
    assert crew.get("journal/verify").json() == {"holds": True, "breaks": []}
    append_only.remove(connection)
    JournalEvent.objects.filter(seq=3).update(reason="touched")
    append_only.install(connection)
    content = crew.get("journal/verify").json()
    assert content["holds"] is False
    assert content["breaks"][0] == {"seq": 3, "what": "the hash does not follow from the fields"}
