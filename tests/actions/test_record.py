"""Recording a test: one transaction, a receipt, and the same answer for ever."""

import uuid
from datetime import timedelta

import pytest

from compaction.actions import amendments
from compaction.actions.refusals import ContentConflict
from compaction.models import Failure, Test, TestOutcome, TestVersion
from compaction.observation import ContentError
from projects import journal
from projects.access import NotAllowed
from projects.models import JournalEvent
from tests.builders import failing_body, gauge_body

ID = uuid.UUID("0190f5f0-0000-7000-8000-000000000001")


def test_a_passing_test_gets_its_result_and_a_receipt(site):
    recorded = site.post(gauge_body(), id_=ID)
    assert recorded.created
    assert (recorded.test.result, recorded.test.basis) == ("pass", "final")
    assert str(recorded.test.percent_compaction_judged) == "96.400"
    event = JournalEvent.objects.get(seq=recorded.receipt.seq, project=site.project)
    assert (event.kind, event.subject, event.hash) == ("test.recorded", str(ID), recorded.receipt.hash)


def test_the_same_again_gives_the_same_receipt_and_no_new_row(site):
    first = site.post(gauge_body(), id_=ID)
    events = JournalEvent.objects.count()
    again = site.post(dict(reversed(gauge_body().items())), id_=ID)
    assert (again.created, again.receipt) == (False, first.receipt)
    assert (Test.objects.count(), TestVersion.objects.count(), JournalEvent.objects.count()) == (1, 1, events)


def test_other_content_under_the_same_id_is_refused_and_writes_nothing(site):
    site.post(gauge_body(), id_=ID)
    events = JournalEvent.objects.count()
    with pytest.raises(ContentConflict, match="send an amendment"):
        site.post(gauge_body(label="102"), id_=ID)
    assert (Test.objects.count(), JournalEvent.objects.count()) == (1, events)


def test_a_failing_test_opens_its_failure_in_the_same_transaction(site):
    recorded = site.post(failing_body(), id_=ID)
    failure = Failure.objects.get()
    assert recorded.test.result == "fail"
    assert (failure.kind, failure.state, str(failure.root_test)) == ("density", "open", str(ID))
    assert failure.uuid == uuid.uuid5(site.project.uuid, f"failure:{ID}:density")


def test_what_cannot_be_read_is_refused_whole_with_every_problem(site):
    body = gauge_body(lift="four", surprise=1)
    with pytest.raises(ContentError) as caught:
        site.post(body)
    assert {pointer for pointer, _, _ in caught.value.errors} >= {"/lift", "/surprise"}
    assert not Test.objects.exists()


def test_a_test_of_an_unknown_reference_is_kept_and_says_so(site):
    recorded = site.post(gauge_body(reference="P-99"))
    assert recorded.test.result != "pass"
    assert "reference" in recorded.test.finding_codes


def test_a_future_time_is_held_for_a_person(site):
    recorded = site.post(gauge_body(performed_at="2026-06-03T18:00:00-06:00"))
    assert "made-in-the-future" in recorded.test.open_holds.split()


def test_the_owner_may_not_post(site):
    with pytest.raises(NotAllowed, match="submit-test"):
        site.post(gauge_body(), as_="o.lake")


def test_the_journal_holds_and_the_outcome_is_on_record(site):
    site.post(gauge_body())
    site.post(failing_body(label="102"))
    assert journal.verify(site.project) == []
    assert TestOutcome.objects.count() == 2


def test_an_amendment_weeks_later_does_not_make_it_a_late_entry(site):
    site.post(gauge_body(), id_=ID)
    site.now += timedelta(days=20)
    amended = amendments.amend(
        opened=site.opened("l.finch"),
        test_uuid=ID,
        client_uuid=uuid.uuid4(),
        replaces=1,
        content=gauge_body(water_contents=[{"method": "oven", "fraction": "total", "value": "14.8 %"}]),
        reason_code="oven-water-content",
        reason="the oven value has come",
        raw="",
        now=site.now,
    )
    assert "entered-late" not in amended.test.finding_codes
    late = site.post(gauge_body(label="102"))
    assert "entered-late" in late.test.finding_codes
