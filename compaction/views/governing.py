"""What governs at a point, and how a reading would be judged there. A question has an address; nothing is stored."""

from datetime import datetime
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.calculations.criteria_at_point import DISPLACED, ELSEWHERE, GOVERNS, REFUSED, UNKNOWN, Standing
from compaction.forms.governing import GoverningForm
from compaction.queries import set_up
from compaction.queries.derivation import margin_text
from compaction.queries.governing import STATES, Governing, governing
from compaction.records import governing_question
from compaction.records.criterion_words import beside, wanted, where
from compaction.views.acting import attempt
from compaction.views.display import criterion_row, criterion_words, length_unit, word
from projects.access import Open
from projects.models import Project
from projects.views.opening import project_page, show

_WORDS: Final = {
    GOVERNS: "governs",
    REFUSED: "refuses this reference",
    DISPLACED: "another goes before",
    UNKNOWN: "cannot be told",
    ELSEWHERE: "does not hold here",
}
_TAGS: Final = {GOVERNS: "good", REFUSED: "bad", UNKNOWN: "warn"}


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The form, and under it the answer once something was asked."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    asked = bool(request.GET)
    form = GoverningForm(request.GET if asked else None, project=opened.project, under=under)
    found: Governing | None = None
    if asked and form.is_valid():
        found = attempt(form, lambda: governing(under, governing_question.read(form.body()), now=now))
    judged = found.judged if found else None
    return show(
        request,
        opened,
        "compaction/governing.html",
        status=422 if form.errors else None,
        form=form,
        found=found,
        lines=[] if found is None else _lines(opened.project, found),
        judged=judged,
        rows=[] if judged is None else [criterion_row(opened.project, item) for item in judged.criteria],
        margin="" if judged is None else margin_text(judged),
    )


def _lines(project: Project, found: Governing) -> list[dict[str, Any]]:
    """The criteria, those that govern first."""
    ordered = sorted(found.standings, key=lambda one: (STATES.index(one.state), one.criterion.number))
    return [_line(project, one) for one in ordered]


def _line(project: Project, one: Standing) -> dict[str, Any]:
    item = one.criterion
    return {
        "number": item.number,
        "sentence": f"{word(project, criterion_words(item.quantity))}: {wanted(item)}",
        "where": where(item, length_unit=length_unit(project), density_unit=project.units),
        "beside": beside(item),
        "clause": item.clause,
        "state": one.state,
        "words": _WORDS[one.state],
        "tag": _TAGS.get(one.state, ""),
        "because": _because(one),
    }


def _because(one: Standing) -> str:
    told = "; ".join(one.because)
    if one.state == ELSEWHERE:
        return f"it holds for {told}"
    if one.state == UNKNOWN:
        return f"not known: {told}"
    return told
