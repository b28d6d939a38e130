"""Samples of soil: list, page with gradation and classification, entry of a revision."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import samples as sample_actions
from compaction.calculations import gradation
from compaction.calculations.errors import NotEnoughReadings
from compaction.forms.samples import SampleForm, initial_of
from compaction.plots import gradation_curve
from compaction.queries import laboratory
from compaction.queries.laboratory import SampleLine
from compaction.views import display
from compaction.views.acting import attempt
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.views.opening import project_page, show


def _lines(opened: Open, code: str) -> list[SampleLine]:
    lines = laboratory.sample_list(opened).get(code)
    if not lines:
        raise Http404("There is no such sample in this project.")
    return lines


@require_safe
@project_page()
def samples(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every sample in its newest revision, with the references made on it."""
    lines = [
        (lines[-1], laboratory.references_of(opened.project.pk, code))
        for code, lines in laboratory.sample_list(opened).items()
    ]
    return show(request, opened, "compaction/samples.html", lines=lines)


@require_safe
@project_page()
def sample(request: HttpRequest, opened: Open, now: datetime, sample: str) -> HttpResponse:
    """One sample: what was found, how it is classified, its revisions."""
    lines = _lines(opened, sample)
    return show(
        request,
        opened,
        "compaction/sample.html",
        code=sample,
        newest=lines[-1],
        lines=lines[::-1],
        references=laboratory.references_of(opened.project.pk, sample),
        sizes=_sizes(lines[-1]),
        gradation=[(display.figure(one.size_mm), one.passing_pct) for one in lines[-1].record.gradation],
    )


@require_safe
@project_page()
def gradation_plot(request: HttpRequest, opened: Open, now: datetime, sample: str, rev: int) -> HttpResponse:
    """The gradation curve of a revision; 404 where none was entered."""
    line = next((line for line in _lines(opened, sample) if line.rev == rev), None)
    if line is None or not line.record.gradation:
        raise Http404("There is no gradation to draw.")
    classified = line.record.classification
    said = f": {classified.group_name} ({classified.group_symbol})" if classified else ""
    title = f"Sample {sample} rev {rev}{said}"
    return svg_answer(gradation_curve.draw(line.record.gradation, title=title, sizes=_sizes(line)))


def _sizes(line: SampleLine) -> list[tuple[str, Decimal]]:
    found = []
    for percent in (60, 30, 10):
        try:
            found.append((f"D{percent}", gradation.size_at_mm(line.record.gradation, Decimal(percent))))
        except NotEnoughReadings:
            continue
    return found


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-reference")
def enter(request: HttpRequest, opened: Open, now: datetime, sample: str = "") -> HttpResponse:
    """A new sample, or the next revision of one, which starts from what the last one says."""
    lines = _lines(opened, sample) if sample else []
    initial = initial_of(lines[-1].content) if lines else {}
    form = SampleForm(
        request.POST or None, project=opened.project, initial={**initial, "code": sample}, revising=bool(sample)
    )
    if request.method == "POST" and form.is_valid():
        code = sample or form.cleaned_data["code"]
        rev = len(laboratory.sample_list(opened).get(code, [])) + 1

        def work() -> Any:
            return sample_actions.record(opened=opened, code=code, rev=rev, body=form.body(), now=now)

        if attempt(form, work) is not None:
            messages.success(request, f"Sample {code} revision {rev} is entered.")
            return redirect("sample", opened.project.code, code)
    return show(
        request,
        opened,
        "compaction/sample_entry.html",
        status=422 if request.method == "POST" else None,
        form=form,
        code=sample,
        next_rev=len(lines) + 1,
    )
