"""One test, put under the id that its client made."""

import json
import uuid
from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from compaction.actions import sweep
from compaction.models import Failure, Test, TestVersion
from projects.models import JournalEvent
from tests import builders
from tests.api.conftest import Caller, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db
MOST_STATEMENTS = 10


def test_a_new_test_is_answered_with_receipt_and_result(crew: Caller) -> None:
    answer = crew.put_test(builders.gauge_body())
    assert answer.status_code == 201
    assert answer["ETag"] == '"1"'
    content = answer.json()
    current = content["current"]
    assert current["result"] == "pass"
    assert current["basis"] == "final"
    assert current["display"]["dry_density"] == {"value": "106.0", "unit": "pcf"}
    # 106.0 / 110.0 = 96.3636 %
    assert current["figures"]["percent_compaction"].startswith("96.3636")
    assert current["criteria"][0]["judged"] == "96.400000000"
    assert current["stale"] is False
    event = JournalEvent.objects.get(subject=content["id"])
    assert content["receipt"] == {
        "project": "kestrel-dike",
        "seq": event.seq,
        "hash": event.hash,
        "version": 1,
        "received_at": event.received_at,
    }
    assert answer["Location"] == content["links"]["self"]


def test_the_record_is_kept_byte_for_byte(crew: Caller) -> None:
    id_ = uuid.uuid4()
    text = json.dumps(builders.gauge_body(remarks="two\nlines, ΔH"), indent=3, ensure_ascii=False)
    assert crew.put(f"tests/{id_}", text.encode()).status_code == 201
    assert TestVersion.objects.get(test__client_uuid=id_).raw_body == text


def test_the_same_again_gets_the_first_receipt(crew: Caller) -> None:
    id_, body = uuid.uuid4(), builders.failing_body()
    first = crew.put(f"tests/{id_}", body)
    events = JournalEvent.objects.count()
    spaced = json.dumps(dict(reversed(body.items())), indent=2)
    again = crew.put(f"tests/{id_}", spaced)
    assert again.status_code == 200
    assert again["Idempotent-Replay"] == "true"
    assert again.json()["receipt"] == first.json()["receipt"]
    assert again.json()["current"]["result"] == "fail"
    assert set(again.json()) == set(first.json())
    assert set(again.json()["current"]) == set(first.json()["current"])
    assert JournalEvent.objects.count() == events


def test_a_repeat_after_an_amendment_gets_the_first_receipt_and_what_holds_now(crew: Caller) -> None:
    id_, body = uuid.uuid4(), builders.gauge_body()
    first = crew.put(f"tests/{id_}", body).json()
    amended = {"replaces": 1, "reason_code": "own-slip", "reason": "misread", "test": builders.failing_body()}
    assert crew.put(f"tests/{id_}/amendments/{uuid.uuid4()}", amended).status_code == 201
    again = crew.put(f"tests/{id_}", body)
    assert again.json()["receipt"] == first["receipt"]
    assert again.json()["current"]["version"] == 2
    assert again.json()["current"]["result"] == "fail"
    assert again["ETag"] == '"2"'


def test_other_content_under_the_same_id_is_a_conflict_with_both_digests(crew: Caller) -> None:
    id_ = uuid.uuid4()
    crew.put(f"tests/{id_}", builders.gauge_body())
    rows = Test.objects.count(), TestVersion.objects.count(), JournalEvent.objects.count()
    refused = problem(crew.put(f"tests/{id_}", builders.gauge_body(label="102")), 409, "content-conflict")
    assert refused["stored_sha256"] == TestVersion.objects.get(test__client_uuid=id_).content_sha256
    assert refused["sent_sha256"] != refused["stored_sha256"]
    assert (Test.objects.count(), TestVersion.objects.count(), JournalEvent.objects.count()) == rows


def test_the_same_id_in_another_project_is_new(site: Site, crew: Caller) -> None:
    id_ = uuid.uuid4()
    assert crew.put(f"tests/{id_}", builders.gauge_body()).status_code == 201
    other = builders.make_project(code="heron-levee")
    from tests.api.conftest import key_for

    elsewhere = Caller("heron-levee", {"Authorization": f"Bearer {key_for(other, 't.moss')}"})
    assert elsewhere.put(f"tests/{id_}", builders.gauge_body(label="other")).status_code == 201


def test_a_failing_test_names_the_failure_that_it_opened(crew: Caller) -> None:
    current = crew.put_test(builders.failing_body()).json()["current"]
    assert current["result"] == "fail"
    [failure] = current["chain"]["failures"]
    assert failure["kind"] == "density"
    assert str(Failure.objects.get().uuid) == failure["uuid"]


def test_a_retest_says_whether_its_parent_is_known(crew: Caller) -> None:
    parent = uuid.uuid4()
    early = crew.put_test(builders.gauge_body(retest_of=str(parent))).json()
    assert early["current"]["chain"]["link"] == "pending-parent"
    crew.put(f"tests/{parent}", builders.failing_body())
    late = crew.put_test(builders.gauge_body(label="103", retest_of=str(parent))).json()
    assert late["current"]["chain"]["link"] == "linked"


def test_every_problem_of_a_record_is_told_with_its_pointer(crew: Caller) -> None:
    body = builders.gauge_body(lift="four", colour="red", performed_at="2026-06-03T09:15:00")
    body["readings"]["wet_density"] = "121.9"
    refused = problem(crew.put_test(body), 422, "content-unreadable")
    assert [error["pointer"] for error in refused["errors"]] == [
        "/colour",
        "/lift",
        "/performed_at",
        "/readings/wet_density",
    ]
    assert Test.objects.count() == 0


def test_read_it_back(crew: Caller) -> None:
    id_, body = uuid.uuid4(), builders.gauge_body()
    put = crew.put(f"tests/{id_}", body).json()
    sweep.run_until_idle()
    content = crew.get(f"tests/{id_}").json()
    assert content["content"] == body
    assert content["receipt"] == put["receipt"]
    assert content["current"]["criteria"] == put["current"]["criteria"]
    assert content["current"]["chain"] == {"link": "none", "settled": True, "failures": []}
    assert [step["id"] for step in content["worksheet"]]
    assert [version["version"] for version in content["versions"]] == [1]


def test_a_key_that_reads_its_own_sees_no_other(by_key: Callable[..., Caller], crew: Caller) -> None:
    id_ = uuid.uuid4()
    crew.put(f"tests/{id_}", builders.gauge_body())
    own = by_key("t.reed", ("submit", "read-own"))
    problem(own.get(f"tests/{id_}"), 404, "not-found")
    mine = uuid.uuid4()
    own.put(f"tests/{mine}", builders.gauge_body(label="7"))
    assert own.get(f"tests/{mine}").status_code == 200
    assert [item["label"] for item in own.get("tests").json()["items"]] == ["7"]


def statements(caller: Caller, body: dict[str, object]) -> list[str]:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        answer = caller.put_test(body)  # type: ignore[arg-type]
    assert answer.status_code == 201, answer.content
    framing = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE", "ROLLBACK")
    return [query["sql"] for query in captured.captured_queries if not query["sql"].startswith(framing)]


@pytest.mark.both_databases
@pytest.mark.parametrize("kind", ["pass", "fail", "sand_cone", "retest", "retest-fails", "retest-first"])
def test_a_posted_test_costs_at_most_ten_statements(crew: Caller, kind: str) -> None:
    """Authentication included; the set-up is in the process and the key was used within five minutes."""
    parent = uuid.uuid4()
    assert crew.put(f"tests/{parent}", builders.failing_body(label="100")).status_code == 201
    bodies = {
        "pass": builders.gauge_body(),
        "fail": builders.failing_body(),
        "sand_cone": builders.sand_cone_body(),
        "retest": builders.gauge_body(retest_of=str(parent)),
        "retest-fails": builders.failing_body(retest_of=str(parent)),
        "retest-first": builders.failing_body(retest_of=str(uuid.uuid4())),
    }
    made = statements(crew, bodies[kind])
    assert len(made) <= MOST_STATEMENTS, "\n".join(sql[:150] for sql in made)
