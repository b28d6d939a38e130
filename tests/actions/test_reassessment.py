"""A revised reference ripples through every test that it reaches, and through no other."""

import uuid
from datetime import timedelta

import pytest

from compaction.actions import previews, reassessment, references, specifications, sweep
from compaction.actions.refusals import NeedsAnother
from compaction.models import Failure, Test, TestOutcome
from compaction.queries import set_up_lists
from projects import journal, stale
from projects.models import JournalEvent, StaleWork
from tests.builders import NOW, PROCTOR, SPECIFICATION, failing_body, gauge_body

pytestmark = pytest.mark.both_databases


def revise(site, rev, maximum, **changes):
    body = {**PROCTOR, "maximum_dry_density": maximum, "reason": "verification by another laboratory", **changes}
    references.issue(opened=site.opened("l.finch"), code="P-1", rev=rev, body=body, now=site.now)


def approve(site, rev, as_="e.stone"):
    references.approve(
        opened=site.opened(as_),
        code="P-1",
        rev=rev,
        client_uuid=uuid.uuid4(),
        body={"reason": "points and plot seen"},
        now=site.now,
    )


def test_a_higher_maximum_turns_a_pass_into_a_fail_and_names_its_cause(site):
    uid = uuid.uuid4()
    site.post(gauge_body(), id_=uid)
    sweep.run_until_idle()
    revise(site, 2, "112.5 pcf")
    assert Test.objects.get().result == "pass", "issuing alone changes nothing"
    preview = previews.preview_reference(site.opened(), "P-1", 2, now=site.now)
    assert (preview.total, preview.changed, preview.pass_to_fail, preview.fail_to_pass) == (1, 1, 1, 0)
    assert Test.objects.get().result == "pass", "looking changes nothing"
    approve(site, 2)
    sweep.run_until_idle()
    test = Test.objects.get()
    assert (test.result, str(test.percent_compaction_judged)) == ("fail", "94.200")
    assert [row.result for row in TestOutcome.objects.order_by("id")] == ["pass", "fail"]
    assert TestOutcome.objects.order_by("id").last().cause == "reference P-1 rev 2 approved"
    event = JournalEvent.objects.get(kind="test.reassessed", subject=str(uid))
    assert event.reason == "reference P-1 rev 2 approved"
    assert Failure.objects.get().state == "open"
    assert reassessment.rebuild_check(site.project) == []
    assert journal.verify(site.project) == []


def test_a_lower_maximum_turns_a_fail_into_a_pass_that_a_person_has_to_close(site):
    site.post(failing_body())
    sweep.run_until_idle()
    revise(site, 2, "104.0 pcf")
    approve(site, 2)
    sweep.run_until_idle()
    assert Test.objects.get().result == "pass"
    failure = Failure.objects.get()
    assert (failure.state, failure.next_action) == ("passed_on_reassessment", "engineer: close")


def test_a_revision_of_remarks_changes_nothing_and_writes_nothing(site):
    site.post(gauge_body())
    sweep.run_until_idle()
    revise(site, 2, "110.0 pcf", remarks="sample from the north pit")
    approve(site, 2)
    before = JournalEvent.objects.count()
    sweep.run_until_idle()
    assert TestOutcome.objects.count() == 1
    assert JournalEvent.objects.count() == before


def test_a_prospective_revision_leaves_earlier_tests_alone(site):
    site.post(gauge_body())
    site.now = NOW + timedelta(days=1)
    revise(site, 2, "112.5 pcf", reach="prospective")
    approve(site, 2)
    sweep.run_until_idle()
    assert Test.objects.get().result == "pass"
    site.now = NOW + timedelta(days=2)
    later = site.post(gauge_body(performed_at="2026-06-05T09:15:00-06:00", label="102"))
    assert later.test.result == "fail"


def test_a_revision_from_a_date_on_reaches_tests_of_that_day(site):
    site.post(gauge_body(performed_at="2026-06-01T09:15:00-06:00"))
    site.post(gauge_body(performed_at="2026-06-02T09:15:00-06:00", label="102"))
    revise(site, 2, "112.5 pcf", reach="from_date", effective_from="2026-06-02")
    approve(site, 2)
    sweep.run_until_idle()
    assert list(Test.objects.order_by("performed_at").values_list("result", flat=True)) == ["pass", "fail"]


def test_an_unapproved_first_revision_gives_provisional_results(site):
    references.issue(opened=site.opened("l.finch"), code="P-2", rev=1, body=PROCTOR, now=site.now)
    recorded = site.post(gauge_body(reference="P-2"))
    assert (recorded.test.result, recorded.test.basis) == ("pass", "provisional")


def test_whoever_entered_a_reference_cannot_approve_it(site):
    references.issue(opened=site.opened("e.stone"), code="P-3", rev=1, body=PROCTOR, now=site.now)
    with pytest.raises(NeedsAnother, match="another engineer"):
        references.approve(
            opened=site.opened("e.stone"),
            code="P-3",
            rev=1,
            client_uuid=uuid.uuid4(),
            body={"reason": "x"},
            now=site.now,
        )


def test_a_stricter_specification_is_previewed_and_ripples(site):
    site.post(gauge_body())
    sweep.run_until_idle()
    criteria = [{**SPECIFICATION["criteria"][0], "minimum": "98 %"}, SPECIFICATION["criteria"][1]]
    specifications.issue(
        opened=site.opened("m.dale"), code="S-1", rev=2, body={**SPECIFICATION, "criteria": criteria}, now=site.now
    )
    assert previews.preview_specification(site.opened(), "S-1", 2, now=site.now).pass_to_fail == 1
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "addendum"}, now=site.now
    )
    sweep.run_until_idle()
    assert Test.objects.get().result == "fail"


def test_a_closed_failure_reopens_when_its_retest_no_longer_passes(site):
    from tests.actions.test_failure_chain import FIRST, close, retest

    site.post(failing_body(), id_=FIRST)
    site.post(retest())
    sweep.run_until_idle()
    close(site, Failure.objects.get())
    revise(site, 2, "112.5 pcf")
    approve(site, 2)
    sweep.run_until_idle()
    failure = Failure.objects.get()
    assert (failure.state, failure.reopened, failure.closed_at) == ("open", True, None)


def test_work_that_keeps_failing_is_parked_and_shown(site):
    stale.mark(project=site.project, marks=[stale.Mark("test", "not-a-uuid", "broken on purpose")])
    swept = sweep.run_until_idle()
    assert swept.failed == stale.MAX_ATTEMPTS
    [parked] = stale.parked()
    assert parked.cause == "broken on purpose"
    assert "not-a-uuid" in parked.error


def test_a_mark_made_while_the_work_runs_stays_due(site):
    stale.mark(project=site.project, marks=[stale.Mark("chain", "a", "first")])
    [row] = StaleWork.objects.filter(key="a")
    [claimed] = stale.claim(ids=[row.pk], now=site.now)
    stale.mark(project=site.project, marks=[stale.Mark("chain", "a", "second")])
    stale.done([claimed])
    assert [item.cause for item in stale.due(now=site.now)] == ["second"]


def test_two_claims_never_hold_the_same_row(site):
    stale.mark(project=site.project, marks=[stale.Mark("chain", "a", "x"), stale.Mark("chain", "b", "x")])
    ids = list(StaleWork.objects.filter(cause="x").values_list("pk", flat=True))
    assert len(stale.claim(ids=ids, now=site.now)) == 2
    assert stale.claim(ids=ids, now=site.now) == []
    assert len(stale.claim(ids=ids, now=site.now + stale.LEASE + timedelta(seconds=1))) == 2


def test_a_reference_says_what_its_own_figures_say_against_each_other(site):
    """PR-07 of the worked examples: the highest point was taken as the maximum. PR-12: blows of the larger mould."""
    points = zip(("8.4", "10.2", "11.7", "12.7", "14.0"), ("122.2", "126.3", "127.4", "127.5", "125.0"), strict=True)
    body = {
        "method": "D1557-A",
        "maximum_dry_density": "127.5 pcf",
        "optimum_water_content": "12.7 %",
        "points": [{"water_content": f"{water} %", "dry_density": f"{dry} pcf"} for water, dry in points],
        "mould_diameter": "4 in",
        "layers": 5,
        "blows": 56,
    }
    references.issue(opened=site.opened("l.finch"), code="P-7", rev=1, body=body, now=site.now)
    [line] = set_up_lists.reference_list(site.opened())["P-7"]
    codes = {finding.code for finding in line.findings}
    assert {"highest-point-taken-as-maximum", "blows-do-not-fit-mould"} <= codes
