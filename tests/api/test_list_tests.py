"""The list of tests: filters, pages, cursors."""

import uuid

import pytest
from django.core import signing
from django.db import connection
from django.test.utils import CaptureQueriesContext

from api.pagination import SALT
from compaction.actions import sweep
from tests import builders
from tests.api.conftest import Caller, problem

pytestmark = pytest.mark.django_db


def labels(caller: Caller, query: str = "") -> list[str]:
    answer = caller.get(f"tests{query}")
    assert answer.status_code == 200, answer.content
    return [item["label"] for item in answer.json()["items"]]


@pytest.fixture
def three(crew: Caller) -> Caller:
    crew.put_test(builders.gauge_body(label="1", lift=1, performed_at="2026-06-01T09:00:00-06:00"))
    crew.put_test(builders.failing_body(label="2", lift=2, performed_at="2026-06-02T23:30:00-06:00"))
    crew.put_test(
        builders.gauge_body(
            label="3", lift=2, technician="t.reed", reference="P-7", performed_at="2026-06-03T09:00:00-06:00"
        )
    )
    return crew


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["3", "2", "1"]),
        ("?lift=2", ["3", "2"]),
        ("?result=fail", ["2"]),
        ("?failures_only=true", ["2"]),
        ("?failures_only=false", ["3", "2", "1"]),
        ("?technician=t.reed", ["3"]),
        ("?reference=P-7", ["3"]),
        ("?zone=core", ["3", "2", "1"]),
        ("?zone=elsewhere", []),
        ("?date_from=2026-06-02&date_to=2026-06-02", ["2"]),  # 23:30 in the project's time is the 3rd in UTC
        ("?date_to=2026-06-01", ["1"]),
        ("?result=voided", []),
    ],
)
def test_filters(three: Caller, query: str, found: list[str]) -> None:
    assert labels(three, query) == found


def test_a_row_says_what_a_list_needs(three: Caller) -> None:
    sweep.run_until_idle()
    row = three.get("tests?result=fail").json()["items"][0]
    assert row["mark"] == "fail"
    assert row["margin"].startswith("90.9 of 95, 4.1 short")
    assert row["performed_at"] == "2026-06-03T05:30:00Z"
    assert row["failure_state"] == "open"
    assert isinstance(row["percent_compaction"], str)
    assert "position" not in row


@pytest.mark.parametrize(
    "query",
    [
        "lift=x",
        "lift=-1",
        "lift=1.0",
        "lift=٤",
        "lift= 4",
        "lift=4%00",
        "lift=99999",
        "lift=4&lift=5",
        "result=good",
        "result=",
        "zone=",
        "zone=%00",
        "zone=a%00b",
        "zone=%ff",
        "zone=" + "z" * 200,
        "technician=%ed%a0%80",
        "reference=%0a",
        "date_from=2026-6-1",
        "date_from=2026-02-30",
        "date_from=1e9",
        "date_to=0001-01-01",
        "date_to=9999-12-31",
        "date_to=２０２６-06-01",
        "failures_only=1",
        "failures_only=yes",
        "limit=0",
        "limit=201",
        "limit=1e2",
        "limit=-5",
        "limit=" + "9" * 5000,
        "page=2",
        "project=other",
        "_connector=OR",
        "performed_at__gt=2020",
        "format=json",
        "order=-id",
        "q=%00",
        "%00=1",
        "offset=10",
    ],
)
def test_anything_else_in_the_query_is_refused(crew: Caller, query: str) -> None:
    problem(crew.get(f"tests?{query}"), 400, "query-parameter")


@pytest.mark.parametrize(
    "cursor",
    ["p=notadate", "cD1ub3RhZGF0ZQ==", "x", "a:b:c", "..", "%F0%9F%92%A9", "x" * 1900, ":", "::", "eyJhIjoxfQ:1:abc"],
)
def test_a_cursor_that_was_made_up_is_refused(crew: Caller, cursor: str) -> None:
    problem(crew.get(f"tests?cursor={cursor}"), 400, "cursor")


@pytest.mark.parametrize("content", [[], {}, {"list": "x"}, {"list": "x", "after": []}, "text", 3, None])
def test_a_signed_cursor_of_something_else_is_refused(crew: Caller, content: object) -> None:
    problem(crew.get(f"tests?cursor={signing.dumps(content, salt=SALT)}"), 400, "cursor")
    problem(crew.get(f"tests?cursor={signing.dumps(content, salt='other')}"), 400, "cursor")


def test_pages_lose_and_repeat_nothing_at_one_moment_while_tests_arrive(crew: Caller) -> None:
    for number in range(7):
        crew.put_test(builders.gauge_body(label=str(number)))
    seen: list[str] = []
    address: str | None = "tests?limit=3&lift=4"
    while address:
        content = crew.get(address).json()
        seen += [item["label"] for item in content["items"]]
        address = content["next"]
        crew.put_test(builders.gauge_body(label="new"))
    assert [label for label in seen if label != "new"] == ["6", "5", "4", "3", "2", "1", "0"]


def test_a_cursor_belongs_to_its_filters_and_its_list(crew: Caller) -> None:
    for number in range(3):
        crew.put_test(builders.gauge_body(label=str(number)))
    following = crew.get("tests?limit=1").json()["next"]
    cursor = following.partition("cursor=")[2]
    assert crew.get(f"tests?limit=2&cursor={cursor}").status_code == 200
    problem(crew.get(f"tests?limit=1&lift=4&cursor={cursor}"), 400, "cursor")
    problem(crew.get(f"journal?cursor={cursor}"), 400, "cursor")
    problem(crew.get(f"tests?limit=1&cursor={cursor[:-1]}{'A' if cursor[-1] != 'A' else 'B'}"), 400, "cursor")


@pytest.mark.parametrize(
    "tail", ["tests?limit=200", "failures", "placements", "references", "specifications", "journal"]
)
def test_a_list_costs_the_same_whatever_its_length(crew: Caller, tail: str) -> None:
    counts = []
    for more in (2, 18):
        for number in range(more):
            id_ = uuid.uuid4()
            crew.put(f"tests/{id_}", builders.failing_body(label=str(number)))
            crew.put_test(builders.gauge_body(retest_of=str(id_)))
        sweep.run_until_idle()
        crew.get(tail)
        with CaptureQueriesContext(connection) as captured:
            assert crew.get(tail).status_code == 200
        counts.append(len(captured))
    assert counts[0] == counts[1]
