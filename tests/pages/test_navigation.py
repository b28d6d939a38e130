"""The way through a project: groups, the pages of one, where one is; without scripts."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import get_resolver

from compaction.templatetags.navigation import GROUPS, place_of
from tests.pages.conftest import FAILING, PASSING, Filled

SignIn = Callable[[str], Client]
MARKED = re.compile(r'<a href="([^"]+)" aria-current="(page|true)">([^<]+)</a>')


@pytest.mark.parametrize(
    ("path", "group", "entry"),
    [
        ("", "Field", "Today"),
        (f"tests/{PASSING}", "Field", "Tests"),
        (f"tests/{FAILING}/amend", "Field", "Tests"),
        ("failures", "Field", "Failures"),
        ("locations", "Field", "Where to test"),
        ("coverage", "Coverage", "Lifts by station"),
        ("lots", "Coverage", "Lots"),
        ("references/P-1", "Laboratory", "Proctors"),
        ("specifications", "Set-up", "Specification"),
        ("convert", "Set-up", "Convert"),
    ],
)
def test_a_page_is_marked_in_its_group(filled: Filled, sign_in: SignIn, path: str, group: str, entry: str) -> None:
    page = sign_in("e.stone").get(filled.root + path).content.decode()
    assert [(kind, text) for _, kind, text in MARKED.findall(page)] == [("true", group), ("page", entry)]


def test_every_group_opens_and_only_what_one_may_is_offered(filled: Filled, sign_in: SignIn) -> None:
    owner, technician = sign_in("o.lake"), sign_in("t.moss")
    page = owner.get(filled.root).content.decode()
    assert "Enter a test" not in page.split('class="pages"')[1].split("</ul>")[0]
    assert ">Enter a test</a>" in technician.get(filled.root).content.decode()
    for group in GROUPS:
        found = re.search(rf'<a href="([^"]+)"[^>]*>{group}</a>', page)
        assert found
        inside = owner.get(found[1])
        assert inside.status_code == 200
        rest = inside.content.decode().split('class="pages"')[1].split("</ul>")[0]
        for address in re.findall(r'href="([^"]+)"', rest):
            assert owner.get(address).status_code == 200, address


def test_every_page_of_a_project_that_shows_the_way_has_a_place_in_it() -> None:
    names = {
        name
        for name in get_resolver().reverse_dict
        if isinstance(name, str) and not name.endswith(("plot", "csv", ".svg", "histogram", "run", "chart"))
    }
    by_project = {name for name in names if "p/%(code)s" in str(get_resolver().reverse_dict.getlist(name)[0][0][0][0])}
    lost = {name for name in by_project if not place_of(name)[1]}
    assert {name for name in lost if not name.startswith(("layer-", "map-"))} == set()
