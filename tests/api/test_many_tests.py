"""Batches, previews, and what of a queue has arrived."""

import json
import uuid

import pytest

from compaction.actions import field_tests
from compaction.models import Test, TestVersion
from projects import journal
from projects.models import JournalEvent, StaleWork
from tests import builders
from tests.api.conftest import Caller, problem
from tests.builders import Site

pytestmark = pytest.mark.django_db


def item(body: object, id_: uuid.UUID | None = None) -> dict[str, object]:
    return {"id": str(id_ or uuid.uuid4()), "test": body}


def test_each_item_has_its_own_result(crew: Caller, site: Site) -> None:
    known = uuid.uuid4()
    crew.put(f"tests/{known}", builders.gauge_body(label="known"))
    items = [
        item(builders.gauge_body(label="a")),
        item(builders.gauge_body(label="known"), known),
        item(builders.gauge_body(label="changed"), known),
        item(builders.gauge_body(lift="four")),
        item(builders.failing_body(label="b")),
        {"id": "not-a-uuid", "test": builders.gauge_body()},
        {"id": str(uuid.uuid4())},
        {"id": str(uuid.uuid4()), "test": builders.gauge_body(), "more": 1},
        item([1]),
        "text",
    ]
    answer = crew.post("tests:batch", {"items": items})
    assert answer.status_code == 200
    content = answer.json()
    assert [result["status"] for result in content["results"]] == [201, 200, 409, 422, 201, 422, 422, 422, 422, 422]
    assert [result["index"] for result in content["results"]] == list(range(10))
    assert content["summary"] == {"items": 10, "recorded": 2, "repeated": 1, "refused": 7}
    assert content["results"][3]["problem"]["errors"][0]["pointer"] == "/lift"
    assert content["results"][4]["current"]["result"] == "fail"
    assert sorted(Test.objects.values_list("label", flat=True)) == ["a", "b", "known"]
    assert journal.verify(site.project) == []


def test_inner_duplicates(crew: Caller) -> None:
    twice = uuid.uuid4()
    body = builders.gauge_body()
    items = [item(body, twice), item(dict(reversed(body.items())), twice), item(builders.gauge_body(label="x"), twice)]
    results = crew.post("tests:batch", {"items": items}).json()["results"]
    assert [result["status"] for result in results] == [201, 200, 409]
    assert results[0]["receipt"] == results[1]["receipt"]


def test_a_batch_and_single_puts_give_the_same_rows(crew: Caller) -> None:
    one, two = uuid.uuid4(), uuid.uuid4()
    crew.put(f"tests/{one}", builders.failing_body())
    crew.post("tests:batch", {"items": [item(builders.failing_body(), two)]})
    first, second = (TestVersion.objects.get(test__client_uuid=id_) for id_ in (one, two))
    assert first.content_sha256 == second.content_sha256
    assert json.loads(second.raw_body) == builders.failing_body()
    assert first.test.outcome_digest == second.test.outcome_digest


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"items": []}, 422, "content-unreadable"),
        ({}, 422, "content-unreadable"),
        ({"items": {}}, 422, "content-unreadable"),
        ({"items": [1], "more": 1}, 422, "content-unreadable"),
        ({"items": [None] * 501}, 400, "too-many-items"),
    ],
)
def test_an_envelope_that_cannot_be_read_takes_nothing(crew: Caller, body: object, status: int, code: str) -> None:
    problem(crew.post("tests:batch", body), status, code)


def test_a_fault_of_ours_in_one_item_stays_there(crew: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    real = field_tests.derive

    def derive(body: dict[str, object], **more: object) -> object:
        if body.get("label") == "bad":
            raise RuntimeError("secret")
        return real(body, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(field_tests, "derive", derive)
    items = [item(builders.gauge_body(label=label)) for label in ("a", "bad", "c")]
    answer = crew.post("tests:batch", {"items": items})
    assert [result["status"] for result in answer.json()["results"]] == [201, 500, 201]
    assert b"secret" not in answer.content
    assert sorted(Test.objects.values_list("label", flat=True)) == ["a", "c"]


def test_500_items_in_one_batch(crew: Caller) -> None:
    ids = [uuid.uuid4() for _ in range(50)]
    items = [item(builders.gauge_body(), id_) for id_ in ids * 10]
    content = crew.post("tests:batch", {"items": items}).json()
    assert content["summary"] == {"items": 500, "recorded": 50, "repeated": 450, "refused": 0}


def test_a_preview_gives_the_result_and_leaves_no_trace(crew: Caller) -> None:
    before = JournalEvent.objects.count(), StaleWork.objects.count()
    content = crew.post("tests:preview", builders.failing_body()).json()
    assert content["current"]["result"] == "fail"
    assert content["current"]["would_open_failures"] == ["density"]
    assert content["worksheet"]
    assert content["position"]["zone"] == "core"
    recorded = crew.put_test(builders.failing_body()).json()["current"]
    assert {name: recorded[name] for name in ("criteria", "figures", "findings", "margin")} == {
        name: content["current"][name] for name in ("criteria", "figures", "findings", "margin")
    }
    assert Test.objects.count() == 1
    assert (JournalEvent.objects.count(), StaleWork.objects.count()) != before


def test_a_preview_of_what_cannot_be_read_is_refused_alike(crew: Caller) -> None:
    body = builders.gauge_body(colour="red")
    posted, previewed = crew.put_test(body).json(), crew.post("tests:preview", body).json()
    assert posted["errors"] == previewed["errors"]


def test_have(crew: Caller) -> None:
    here, changed, missing = uuid.uuid4(), uuid.uuid4(), uuid.uuid4()
    for id_ in (here, changed):
        crew.put(f"tests/{id_}", builders.gauge_body())
    digest = TestVersion.objects.get(test__client_uuid=here).content_sha256
    asked = [
        {"id": str(here), "sha256": digest},
        {"id": str(changed), "sha256": "0" * 64},
        {"id": str(missing), "sha256": digest},
    ]
    assert crew.post("tests:have", {"items": asked}).json() == {
        "have": [str(here)],
        "different": [str(changed)],
        "missing": [str(missing)],
    }
    assert crew.post("tests:have", {"items": [{"id": str(changed)}]}).json()["have"] == [str(changed)]
    assert crew.post("tests:have", {"items": []}).json() == {"have": [], "different": [], "missing": []}


@pytest.mark.parametrize(
    "entry",
    [
        1,
        {},
        {"id": "x"},
        {"id": str(uuid.UUID(int=2**127 - 1)).upper(), "sha256": "0" * 64},
        {"id": str(uuid.UUID(int=1)), "sha256": "0"},
        {"id": str(uuid.UUID(int=1)), "sha256": 5},
        {"id": None},
    ],
)
def test_have_refuses_what_it_cannot_read(crew: Caller, entry: object) -> None:
    problem(crew.post("tests:have", {"items": [entry]}), 422, "content-unreadable")
