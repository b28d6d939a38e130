"""What people write is only ever text, files open without running anything, lists cost the same however long."""

import csv
import io
import re
import uuid
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from compaction.actions import sweep
from compaction.forms.quantities import tidy_number
from compaction.models import Failure, Test
from compaction.views.csv_file import cell
from compaction.views.project_time import with_offset
from projects.models import Project
from tests.builders import failing_body, gauge_body
from tests.pages.conftest import FAILING, Filled

SignIn = Callable[[str], Client]
PAYLOADS = [
    "<script>alert(1)</script>",
    "${alert(1)}",
    '"><img src=x onerror=alert(1)>',
    "'; drop table--",
    "{{ 7*7 }}",
]


@pytest.mark.parametrize("payload", PAYLOADS)
def test_what_crews_write_is_shown_as_text(filled: Filled, sign_in: SignIn, payload: str) -> None:
    hostile = uuid.uuid4()
    body = failing_body(label=payload[:40], remarks=payload, soil=payload, weather=payload, reference=payload[:40])
    body["notified"] = {"person": payload, "at": "2026-06-03T09:40:00-06:00", "how": "spoken"}
    filled.site.post(body, id_=hostile)
    filled.site.post(failing_body(label=payload[:40]), id_=uuid.uuid4())
    sweep.run_until_idle()
    engineer = sign_in("e.stone")
    pages = ["", "tests", f"tests/{hostile}", f"tests/{hostile}/amend", "failures", "tests/new"]
    pages += [f"failures/{row.uuid}" for row in Failure.objects.all()]
    pages += [f"tests?q={payload}&zone={payload}&from={payload}&lift={payload}"]
    for path in pages:
        answer = engineer.get(filled.root + path)
        assert answer.status_code == 200, path
        text = answer.content.decode()
        assert "<script>alert" not in text, path
        assert "<img src=x" not in text, path
        assert "7*7" in text or "49" not in re.findall(r"<th scope=\"row\">(\d+)<", text)


def test_a_reference_code_with_a_slash_breaks_no_page(filled: Filled, sign_in: SignIn) -> None:
    odd = uuid.uuid4()
    filled.site.post(gauge_body(label="701", reference="P/7?x=1#y"), id_=odd)
    engineer = sign_in("e.stone")
    for path in ("", "tests", f"tests/{odd}", f"tests/{odd}/amend"):
        assert engineer.get(filled.root + path).status_code == 200


def test_cells_of_a_file_are_never_formulas(filled: Filled, sign_in: SignIn) -> None:
    for number, start in enumerate("=+-@"):
        filled.site.post(gauge_body(label=f"{start}cmd|' /C calc'!A{number}"))
    answer = sign_in("o.lake").get(f"{filled.root}tests.csv")
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert len(rows) == 1 + Test.objects.count()
    for row in rows[1:]:
        for value in row:
            assert value[:1] not in "=+-@" or value == "" or re.fullmatch(r"-?[0-9.]+", value), value
    assert cell("=1+1") == "'=1+1"
    assert cell(" =1+1") == "' =1+1"


def test_a_file_holds_what_the_list_shows(filled: Filled, sign_in: SignIn) -> None:
    manager = sign_in("m.dale")
    rows = list(csv.reader(io.StringIO(manager.get(f"{filled.root}tests.csv?result=fail").content.decode("utf-8-sig"))))
    assert [row[0] for row in rows[1:]] == ["102"]
    assert rows[1][1] == str(FAILING)
    failures = list(csv.reader(io.StringIO(manager.get(f"{filled.root}failures.csv").content.decode("utf-8-sig"))))
    assert failures[1][0] == "102"


def test_older_tests_follow_without_gap_or_repeat(filled: Filled, sign_in: SignIn) -> None:
    for number in range(60):
        filled.site.post(gauge_body(label=f"m{number:02d}"))  # all at the same moment
    reader, seen, address = sign_in("o.lake"), [], f"{filled.root}tests"
    while address:
        page = reader.get(address).content.decode()
        seen += re.findall(r'class="row name" href="[^"]*/tests/([0-9a-f-]{36})"', page)
        following = re.search(r'href="(\?[^"]*after=[^"]*)"', page)
        address = f"{filled.root}tests{following.group(1).replace('&amp;', '&')}" if following else ""
    assert len(seen) == len(set(seen)) == Test.objects.count()


@pytest.mark.parametrize(
    "query", ["lift=x", "from=2026-99-99", "after=x", "after=2026-01-01_1", "result=zzz", "q=%00", "lift=99999999"]
)
def test_a_filter_that_cannot_be_read_narrows_nothing_and_says_so(filled: Filled, sign_in: SignIn, query: str) -> None:
    assert sign_in("o.lake").get(f"{filled.root}tests?{query}").status_code == 200


@pytest.mark.parametrize("path", ["", "tests", "failures", "placements", "references", "tests/new"])
def test_a_long_list_takes_as_many_statements_as_a_short_one(filled: Filled, sign_in: SignIn, path: str) -> None:
    engineer = sign_in("e.stone")

    def statements() -> int:
        engineer.get(filled.root + path)  # once before, so that nothing is read for the first time
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert engineer.get(filled.root + path).status_code == 200
        return len(seen)

    short = statements()
    for number in range(24):
        filled.site.post(gauge_body(label=f"p{number}"))
        place = {"alignment": "main", "station": f"{15 + number}+00", "offset": "5 L"}
        filled.site.post(failing_body(label=f"f{number}", position=place))
    sweep.run_until_idle()
    assert statements() == short


def test_today_tells_what_needs_somebody(filled: Filled, sign_in: SignIn) -> None:
    page = sign_in("m.dale").get(f"{filled.root}?day=2026-06-03").content.decode()
    assert "90.9 of 95, 4.1 short" in page
    assert re.search(r"count[^>]*>1</span><span>open failure<", page)
    assert "contractor: rework" in page
    empty = sign_in("m.dale").get(f"{filled.root}?day=2026-01-01").content.decode()
    assert "No test is dated this day" in empty


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        (".5", "0.5"),
        ("7.", "7"),
        ("007.50", "7.50"),
        ("-.25", "-0.25"),
        ("\u22123", "-3"),
        ("+4", "4"),
        ("1,5", "1,5"),
        ("", ""),
        ("x", "x"),
        ("-", "-"),
        ("0", "0"),
    ],
)
def test_numbers_are_tidied_and_never_guessed(typed: str, read: str) -> None:
    assert tidy_number(typed) == read


def test_a_typed_time_gets_the_offset_of_that_day() -> None:
    project = Project(time_zone="America/Denver")
    assert with_offset(project, "2026-01-15T08:00") == "2026-01-15T08:00:00-07:00"
    assert with_offset(project, "2026-07-15T08:00") == "2026-07-15T08:00:00-06:00"
