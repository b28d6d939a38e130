"""Every page answers those who may see it, is not there for others, and loads nothing from elsewhere."""

import re
from collections.abc import Callable

import pytest
from django.test import Client

from compaction.models import Failure
from tests.pages.conftest import FAILING, PASSING, Filled

PAGES = {
    "": "Dike",
    "tests": "101",
    f"tests/{PASSING}": "Worksheet",
    f"tests/{FAILING}": "short",
    "failures": "102",
    "references": "P-1",
    "references/P-1": "110.0 pcf",
    "specifications": "S-1",
    "specifications/S-1": "Each test at least 95 percent of D698.",
    "placements": "Nothing is recorded as placed yet",
    "set-up": "Alignment",
    "alignments": "main",
    "alignments/main": "Elements",
    "convert": "What it stands on",
    "people": "t.moss",
    "map": "<h1>Map of Kestrel Dike",
    "profile": "<h1>Profile of Kestrel Dike",
    "coverage": "<h1>Coverage: lift by station",
    "day-sheet": "<h1>Day sheet, Wed 3 Jun 2026",
    "lots": "<h1>Lots",
    "statistics": "<h1>Statistics",
    "locations": "<h1>Where to test",
    "gauge-comparisons": "<h1>Gauge against direct tests",
    "apparatus": "<h1>Apparatus",
    "certificates": "<h1>Operators’ certificates",
    "samples": "<h1>Samples",
    "observed-areas": "<h1>Proof rolls and observed areas",
    "specifications-governing": "<h1>What governs at a point?",
}


@pytest.mark.parametrize("who", ["t.moss", "e.stone", "c.pike", "o.lake", "m.dale"])
def test_whoever_is_on_the_project_sees_the_pages(filled: Filled, sign_in: Callable[[str], Client], who: str) -> None:
    person = sign_in(who)
    for path, shows in PAGES.items():
        answer = person.get(filled.root + path)
        assert answer.status_code == 200, path
        assert shows in answer.content.decode(), path


def test_an_outsider_finds_nothing(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    stranger = sign_in("x.outside")
    for path in [*PAGES, "keys", "tests/new", "tests.csv", "failures.csv", "map"]:
        answer = stranger.get(filled.root + path)
        assert answer.status_code == 404, path
        assert "Kestrel" not in answer.content.decode(), path
        assert stranger.get(filled.root.replace("kestrel-dike", "no-such") + path).status_code == 404, path


def test_without_signing_in_one_is_asked_to(filled: Filled) -> None:
    for path in [*PAGES, "keys", "tests/new"]:
        answer = Client().get(filled.root + path)
        assert answer.status_code == 302, path
        assert answer["Location"].startswith("/sign-in?next="), path


@pytest.mark.parametrize(
    ("path", "who"),
    [
        ("keys", "t.moss"),
        ("tests/new", "o.lake"),
        ("references-new", "c.pike"),
        ("specifications-new", "t.moss"),
        ("alignments-new", "t.moss"),
        ("references/P-1/1/approval", "l.finch"),
    ],
)
def test_a_page_that_takes_a_right_says_which_roles_have_it(
    filled: Filled, sign_in: Callable[[str], Client], path: str, who: str
) -> None:
    answer = sign_in(who).get(filled.root + path)
    assert answer.status_code == 403
    assert "which these roles have" in answer.content.decode()


def test_no_page_holds_inline_script_or_style(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    engineer = sign_in("e.stone")
    failure = Failure.objects.get()
    for path in [*PAGES, f"failures/{failure.uuid}", "tests/new", f"tests/{PASSING}/amend", "references/P-1/revise"]:
        page = engineer.get(filled.root + path).content.decode()
        assert re.search(r"\son[a-z]+\s*=", page) is None, path
        assert re.search(r"\sstyle\s*=", page) is None, path
        assert re.findall(r"<script(?![^>]*(?:\ssrc=|application/json))", page) == [], path
        assert re.findall(r"(?:src|href)=\"(?:https?:)?//", page) == [], path


def test_a_page_of_a_test_that_is_not_there_is_not_found(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    nobody = "00000000-0000-0000-0000-0000000000ff"
    engineer = sign_in("e.stone")
    for path in (
        f"tests/{nobody}",
        f"failures/{nobody}",
        "references/P-9",
        "specifications/S-9",
        "references/P-1/9/approval",
    ):
        assert engineer.get(filled.root + path).status_code == 404


def test_every_field_has_a_label(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    engineer = sign_in("e.stone")
    failure = Failure.objects.get()
    for path in ("tests", "tests/new", f"tests/{FAILING}", f"failures/{failure.uuid}", "failures", "references-new",
                 "specifications-new", "placements", "set-up", "alignments-new", "convert"):  # fmt: skip
        page = engineer.get(filled.root + path).content.decode()
        fields = re.findall(r"<(?:input|select|textarea)\b[^>]*>", page)
        labelled = set(re.findall(r"<label[^>]*\sfor=\"([^\"]+)\"", page))
        for field in fields:
            if 'type="hidden"' in field or 'type="radio"' in field or "aria-label" in field:
                continue
            found = re.search(r"\sid=\"([^\"]+)\"", field)
            assert found is not None, (path, field)
            assert found.group(1) in labelled, (path, field)
