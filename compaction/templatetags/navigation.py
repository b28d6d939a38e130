"""The pages of a project in groups: a row of groups, and under it the pages of the group that one is in."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django import template
from django.template.context import Context
from django.urls import reverse

from compaction.views.display import word

register = template.Library()


@dataclass(frozen=True)
class Page:
    """An entry: its address by name, its word, the right it needs, and the names that belong under it."""

    name: str
    text: str
    needs: str = ""
    under: tuple[str, ...] = ()  # beginnings of names of pages below it
    trade_word: str = ""  # said in the project's language of practice, before the text

    def has(self, here: str) -> bool:
        """Whether a page lies under this entry."""
        return here == self.name or any(here.startswith(beginning) for beginning in self.under)


#: names that begin like another entry's stand before it: the first that has a page marks it
GROUPS: Final[Mapping[str, tuple[Page, ...]]] = {
    "Field": (
        Page("today", "Today", under=("day-sheet",)),
        Page("map", "Map"),
        Page("test-entry", "Enter a test", needs="submit-test", under=("test-entry", "test-send", "test-preview")),
        Page("tests", "Tests", under=("test",)),
        Page("failures", "Failures", under=("failure",)),
        Page("supervision", "Supervision", needs="see-supervision", under=("supervision",)),
        Page("placements", "placed", trade_word="lifts"),
        Page("observed-areas", "Observed"),
        Page("locations", "Where to test", under=("location",)),
    ),
    "Coverage": (
        Page("coverage", "by station", trade_word="lifts", under=("lift",)),
        Page("station-profile", "Profile"),
        Page("lots", "Lots", under=("lot",)),
        Page("statistics", "Statistics"),
    ),
    "Laboratory": (
        Page("references", "", trade_word="references", under=("reference",)),
        Page("samples", "Samples", under=("sample",)),
        Page("gauge-comparisons", "Gauge comparisons", under=("gauge",)),
    ),
    "Set-up": (
        Page("specifications", "Specification", under=("specification",)),
        Page("apparatus", "Apparatus", under=("instrument", "certificate")),
        Page("alignments", "Alignments", under=("alignment", "geometry-preview")),
        Page("converter", "Convert"),
        Page("set-up", "Project", under=("set-up",)),
        Page("people", "People", under=("people",)),
        Page("keys", "Keys", needs="manage-keys", under=("key",)),
    ),
}


def place_of(here: str) -> tuple[str, str]:
    """The group and the entry that a page lies in; the field where nobody said.

    >>> place_of("test-amend"), place_of("lot-histogram"), place_of("nowhere")
    (('Field', 'tests'), ('Coverage', 'lots'), ('Field', ''))
    """
    for group, pages in GROUPS.items():
        for page in pages:
            if page.has(here):
                return group, page.name
    return next(iter(GROUPS)), ""


@register.inclusion_tag("_nav.html", takes_context=True)
def navigation(context: Context) -> dict[str, Any]:
    """Both rows; a page that the person may not open is not offered."""
    project: Any = context["project"]
    may: Mapping[str, bool] = context.get("may") or {}
    match = context["request"].resolver_match
    group, entry = place_of(match.url_name if match else "")
    rows = {
        name: [
            {
                "address": reverse(page.name, args=[project.code]),
                "text": _text(project, page),
                "current": page.name == entry,
            }
            for page in pages
            if not page.needs or may.get(page.needs.replace("-", "_"))
        ]
        for name, pages in GROUPS.items()
    }
    return {
        "groups": [
            {"text": name, "address": pages[0]["address"], "current": name == group}
            for name, pages in rows.items()
            if pages
        ],
        "pages": rows[group],
        "group": group,
    }


def _text(project: Any, page: Page) -> str:
    said = " ".join(part for part in (word(project, page.trade_word) if page.trade_word else "", page.text) if part)
    return said[:1].upper() + said[1:]
