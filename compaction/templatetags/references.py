"""Template tags of the reference page."""

from typing import Any

from django import template
from django.template.context import Context

from compaction.calculations.oversize_practices import PRACTICES
from compaction.queries.set_up_lists import RevisionLine
from compaction.records.reference_checks import KIND_WORDS
from compaction.views.other_references import kind_figures

register = template.Library()


@register.inclusion_tag("compaction/_reference_figures.html", takes_context=True)
def reference_figures(context: Context, line: RevisionLine) -> dict[str, Any]:
    """The figures of one revision, by its kind."""
    known = context["known"]
    return {"project": context["project"], "line": line, "of": kind_figures(line, known), "may": context["may"]}


@register.filter
def practice_words(code: str) -> str:
    """The name of whose limits of oversize are used."""
    return PRACTICES[code].name


@register.filter
def kind_words(kind: str) -> str:
    """A kind of reference in words."""
    return KIND_WORDS.get(kind, kind)
