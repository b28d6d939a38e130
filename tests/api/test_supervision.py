"""Findings for the supervisor over HTTP: dismissed under the digest that was read, kinds switched, each on record."""

import uuid
from collections.abc import Callable

import pytest

from compaction.models import Decision, TestOutcome
from tests.api.conftest import Caller, problem
from tests.builders import Site, gauge_body

pytestmark = pytest.mark.django_db


def test_a_finding_is_dismissed_on_the_figures_that_were_read(site: Site, by_session: Callable[[str], Caller]) -> None:
    site.post(gauge_body())
    reader, outcomes = by_session("s.hale"), TestOutcome.objects.count()
    day = reader.get("supervision").json()
    found = next(one for one in day["items"] if one["kind"] == "no-count")
    address = f"supervision/{day['day']}/findings/{found['id']}/dismissals/"
    body = {"basis_digest": found["figures_digest"], "reason": "The count stands in the gauge's own book."}
    problem(reader.put(address + str(uuid.uuid4()), body | {"basis_digest": "0" * 64}), 409, "conflict")
    problem(reader.put(address + str(uuid.uuid4()), {"reason": "seen"}), 422, "content-unreadable")
    address += str(uuid.uuid4())
    done, again = reader.put(address, body), reader.put(address, body)
    assert (done.status_code, again.status_code, again["Idempotent-Replay"]) == (201, 200, "true")
    assert done.json()["decision"]["meaning"] == "finding_seen"
    problem(reader.put(address, body | {"reason": "other words"}), 409, "content-conflict")
    seen = next(one for one in reader.get("supervision").json()["items"] if one["id"] == found["id"])["seen"]
    assert (seen["person"], seen["reason"]) == ("s.hale", body["reason"])
    assert TestOutcome.objects.count() == outcomes
    elsewhere = f"supervision/2026-01-01/findings/{found['id']}/dismissals/{uuid.uuid4()}"
    problem(reader.put(elsewhere, body), 404, "not-found")
    problem(reader.put(elsewhere.replace("2026-01-01", "2026-02-30"), body), 404, "not-found")


def test_a_kind_is_switched_by_an_engineer(site: Site, by_session: Callable[[str], Caller]) -> None:
    site.post(gauge_body())
    engineer = by_session("e.stone")
    address = "supervision/switches/no-count/decisions/"
    off = {"on": False, "reason": "Counts are kept on paper."}
    problem(engineer.put(address + str(uuid.uuid4()), off | {"on": "no"}), 409, "conflict")
    problem(engineer.put(address.replace("no-count", "weather") + str(uuid.uuid4()), off), 404, "not-found")
    assert engineer.put(address + str(uuid.uuid4()), off).json()["decision"]["meaning"] == "switched_off"
    read = engineer.get("supervision").json()
    assert (read["switches"]["no-count"], [one for one in read["items"] if one["kind"] == "no-count"]) == (False, [])
    assert engineer.put(address + str(uuid.uuid4()), off | {"on": True}).status_code == 201
    assert engineer.get("supervision").json()["switches"]["no-count"] is True
    assert Decision.objects.filter(subject_kind="supervision").count() == 2
