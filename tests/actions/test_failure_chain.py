"""From a failing test to its closing, through the same actions as pages and API."""

import random
import uuid
from datetime import datetime, timedelta

import pytest

from compaction.actions import amendments, failures, placements, reassessment, sweep, voids
from compaction.actions.refusals import NeedsAnother, NotCurrent, Refused
from compaction.models import Failure, Test
from compaction.queries import set_up
from projects import canonical, journal
from tests.builders import failing_body, gauge_body, make_project

FIRST = uuid.UUID("0190f5f0-0000-7000-8000-000000000001")
SECOND = uuid.UUID("0190f5f0-0000-7000-8000-000000000002")


def rework(site, failure, as_="c.pike"):
    return failures.report_rework(
        opened=site.opened(as_),
        failure_uuid=failure.uuid,
        client_uuid=uuid.uuid4(),
        body={"performed_at": "2026-06-03T10:30:00-06:00", "method": "rerolled"},
        now=site.now,
    )


def close(site, failure, meaning="closed", as_="e.stone", **extra):
    return failures.close(
        opened=site.opened(as_),
        failure_uuid=failure.uuid,
        client_uuid=uuid.uuid4(),
        body={"meaning": meaning, "reason": "retest seen", **extra},
        now=site.now,
    )


def retest(**changes):
    return gauge_body(
        **{"performed_at": "2026-06-03T11:00:00-06:00", "label": "101A", "retest_of": str(FIRST), **changes}
    )


def test_fail_rework_retest_close(site):
    site.post(failing_body(), id_=FIRST)
    failure = Failure.objects.get()
    rework(site, failure)
    failure.refresh_from_db()
    assert failure.state == "reworked"
    with pytest.raises(Refused, match="after a passing retest"):
        close(site, failure)
    site.post(retest(), id_=SECOND)
    sweep.run_until_idle()
    failure.refresh_from_db()
    assert (failure.state, failure.attempts) == ("passed_on_retest", 1)
    close(site, failure, basis_digest=failure.chain_digest)
    failure.refresh_from_db()
    assert (failure.state, failure.closed_at) == ("closed", site.now)
    assert journal.verify(site.project) == []


def test_a_retest_may_arrive_before_its_parent(site):
    early = site.post(retest(), id_=SECOND)
    assert early.chain == "pending-parent"
    sweep.run_until_idle()
    site.post(failing_body(), id_=FIRST)
    sweep.run_until_idle()
    assert Failure.objects.get().state == "passed_on_retest"


def test_closing_on_figures_that_moved_is_refused(site):
    site.post(failing_body(), id_=FIRST)
    site.post(retest(), id_=SECOND)
    sweep.run_until_idle()
    failure = Failure.objects.get()
    with pytest.raises(NotCurrent, match="look again"):
        close(site, failure, basis_digest="0" * 64)


def test_a_placement_over_an_open_failure_buries_it(site):
    site.post(failing_body(), id_=FIRST)
    placements.record(
        opened=site.opened("c.pike"),
        client_uuid=uuid.uuid4(),
        body={
            "area": "core",
            "lift": 5,
            "placed_at": "2026-06-03T14:00:00-06:00",
            "alignment": "main",
            "station_from": "12+00",
            "station_to": "14+00",
            "offset_from": "30 L",
            "offset_to": "30 R",
        },
        now=site.now,
    )
    sweep.run_until_idle()
    failure = Failure.objects.get()
    assert failure.buried
    assert failure.buried_by.startswith("lift 5 placed 2026-06-03")


def test_voiding_the_failing_test_withdraws_the_failure(site):
    site.post(failing_body(), id_=FIRST)
    body = {"reason_code": "wrong-location", "reason": "the stake was misread"}
    asked = voids.ask(opened=site.opened("t.moss"), test_uuid=FIRST, client_uuid=uuid.uuid4(), body=body, now=site.now)
    assert asked.decision.meaning == "void_asked"
    assert not Test.objects.get().voided
    voids.confirm(
        opened=site.opened("s.hale"),
        test_uuid=FIRST,
        client_uuid=uuid.uuid4(),
        body={"reason": "checked"},
        now=site.now,
    )
    sweep.run_until_idle()
    assert Failure.objects.get().state == "withdrawn"


def test_who_asked_for_a_void_cannot_confirm_it(site):
    site.post(failing_body(), id_=FIRST)
    body = {"reason_code": "wrong-depth", "reason": "rod at the wrong notch"}
    voids.ask(opened=site.opened("s.hale"), test_uuid=FIRST, client_uuid=uuid.uuid4(), body=body, now=site.now)
    with pytest.raises(NeedsAnother, match="third pair of eyes"):
        voids.confirm(
            opened=site.opened("s.hale"), test_uuid=FIRST, client_uuid=uuid.uuid4(), body={"reason": "x"}, now=site.now
        )


def test_a_low_value_is_no_reason_to_void(site):
    site.post(failing_body(), id_=FIRST)
    with pytest.raises(Refused, match="A low value is no reason"):
        voids.ask(
            opened=site.opened("t.moss"),
            test_uuid=FIRST,
            client_uuid=uuid.uuid4(),
            body={"reason_code": "low-value", "reason": "too low"},
            now=site.now,
        )


def test_an_amendment_replaces_the_version_it_names_and_no_other(site):
    site.post(failing_body(), id_=FIRST)

    def amend(replaces):
        return amendments.amend(
            opened=site.opened("t.moss"),
            test_uuid=FIRST,
            client_uuid=uuid.uuid4(),
            replaces=replaces,
            content=gauge_body(),
            reason_code="own-slip",
            reason="wet density misread",
            raw="",
            now=site.now,
        )

    amend(1)
    with pytest.raises(NotCurrent, match="current version is 2"):
        amend(1)
    sweep.run_until_idle()
    assert Test.objects.get().result == "pass"
    assert Failure.objects.get().state == "passed_on_reassessment"
    assert reassessment.rebuild_check(site.project) == []


def digest_of(project) -> str:
    """Everything derived, without row numbers and clocks of arrival."""
    return canonical.digest(
        {
            "tests": [
                [str(t.client_uuid), t.current_version, t.outcome_digest, t.result, t.basis, t.open_holds, t.voided]
                for t in Test.objects.filter(project=project).order_by("client_uuid")
            ],
            "failures": [
                [
                    str(f.root_test),
                    f.kind,
                    f.state,
                    f.attempts,
                    f.buried,
                    f.buried_by,
                    f.chain_digest,
                    [[str(link.test_uuid), link.attempt, link.result, link.counts] for link in f.test_links.all()],
                ]
                for f in Failure.objects.filter(project=project).order_by("root_test", "kind")
            ],
        }
    )


def a_history(count: int) -> list[tuple[uuid.UUID, dict]]:
    """A made-up week: one in six fails, each failure is retested once or twice."""
    made, draw = [], random.Random(7)
    moment = datetime.fromisoformat("2026-06-01T08:00:00-06:00")
    for number in range(count):
        uid = uuid.UUID(int=(0x0190F5F000007000 << 64) | 0x8000000000000000 | number + 1)
        moment += timedelta(minutes=17)
        changes = {
            "performed_at": moment.isoformat(),
            "label": str(number + 1),
            "lift": 1 + number // 40,
            "position": {
                "alignment": "main",
                "station": f"{12 + number % 30}+{draw.randrange(100):02d}",
                "offset": f"{draw.randrange(1, 60)} {'LR'[number % 2]}",
                "elevation": "5100.5 ft",
                "elevation_from": "level",
            },
        }
        previous = made[-1] if made else None
        if previous and previous[2] == "fail":
            changes["retest_of"], changes["position"], changes["lift"] = (
                str(previous[0]),
                previous[1]["position"],
                previous[1]["lift"],
            )
        fails = draw.random() < 1 / 6
        made.append((uid, (failing_body if fails else gauge_body)(**changes), "fail" if fails else "pass"))
    return [(uid, body) for uid, body, _ in made]


def digests_over(orders: int, history: list[tuple[uuid.UUID, dict]]) -> set[str]:
    """Post the history in so many random orders, with repeats, sweeping now and then or only at the end."""
    draw = random.Random(20)
    digests = set()
    for order in range(orders):
        set_up.forget()
        site = make_project(code=f"order-{order}")
        sent = history + draw.sample(history, len(history) // 6)
        draw.shuffle(sent)
        for place, (uid, body) in enumerate(sent):
            site.post(body, id_=uid)
            if order % 2 and place % 61 == 0:
                sweep.run_until_idle()
        sweep.run_until_idle()
        digests.add(digest_of(site.project))
        assert reassessment.rebuild_check(site.project) == []
    return digests


@pytest.mark.both_databases
def test_any_order_of_arrival_gives_one_digest(db):
    assert len(digests_over(4, a_history(60))) == 1


@pytest.mark.long
def test_two_hundred_tests_in_twenty_orders_give_one_digest(db):
    assert len(digests_over(20, a_history(200))) == 1
