"""The rule of retests on a project: who may close, and failures that move when the rule comes into force."""

import uuid

import pytest

from compaction.actions import failures, specifications, sweep
from compaction.actions.refusals import Refused
from compaction.models import Failure
from projects.access import NotAllowed
from tests.builders import SPECIFICATION, Site, failing_body, gauge_body

pytestmark = pytest.mark.django_db
RETEST = {"performed_at": "2026-06-03T11:15:00-06:00", "label": "102"}


def under(site: Site, **rule: object) -> None:
    body = {**SPECIFICATION, "retest": rule}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "agreed"}, now=site.now
    )
    sweep.run_until_idle()


def failed_and_retested(site: Site) -> Failure:
    root = uuid.uuid4()
    site.post(failing_body(), id_=root)
    site.post(gauge_body(retest_of=str(root), **RETEST))
    sweep.run_until_idle()
    return Failure.objects.get()


def close(site: Site, failure: Failure, username: str, meaning: str = "closed") -> None:
    failures.close(
        opened=site.opened(username),
        failure_uuid=failure.uuid,
        client_uuid=uuid.uuid4(),
        body={"meaning": meaning, "reason": "retest seen"},
        now=site.now,
    )


def test_a_supervisor_closes_only_where_the_specification_says_so(site: Site) -> None:
    failure = failed_and_retested(site)
    with pytest.raises(NotAllowed):
        close(site, failure, "s.hale")
    under(site, closed_by="supervisor")
    failure.refresh_from_db()
    assert failure.next_action == "supervisor or engineer: close"
    with pytest.raises(NotAllowed):
        close(site, failure, "s.hale", "accepted_as_is")
    with pytest.raises(NotAllowed):
        close(site, failure, "t.moss")
    close(site, failure, "s.hale")
    failure.refresh_from_db()
    assert failure.state == "closed"


def test_a_rule_that_wants_two_moves_failures_whose_tests_stay_as_they_are(site: Site) -> None:
    failure = failed_and_retested(site)
    assert failure.state == "passed_on_retest"
    under(site, passing_retests=2)
    failure.refresh_from_db()
    assert (failure.state, failure.next_action) == ("open", "technician: 1 more passing")
    with pytest.raises(Refused):
        close(site, failure, "e.stone")
