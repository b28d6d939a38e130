"""One correction of a gauge with what adopting it would change, and the drawings of a comparison."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import gauge_corrections as actions
from compaction.forms.gauge_corrections import AdoptForm
from compaction.plots import paired_comparison
from compaction.queries import gauge_comparisons as queries
from compaction.queries.gauge_corrections import correction_lines
from compaction.views import display, gauge_texts
from compaction.views.acting import attempt
from compaction.views.gauge_comparisons import find, line_of
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def correction(request: HttpRequest, opened: Open, now: datetime, correction: UUID) -> HttpResponse:
    """One correction: what it does, what adopting it would change, the form that adopts it."""
    line = next((one for one in correction_lines(opened) if one.uuid == str(correction)), None)
    if line is None:
        raise Http404("There is no such correction.")
    form = AdoptForm(request.POST or None)

    def work() -> Any:
        return actions.adopt(
            opened=opened,
            correction=correction,
            client_uuid=form.cleaned_data["client_uuid"],
            body={"reason": form.cleaned_data["reason"]},
            now=now,
        )

    if request.method == "POST" and form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "The correction is adopted; the tests that it reaches are being worked out anew.")
        return redirect("gauge-correction", opened.project.code, correction)
    return show(
        request,
        opened,
        "compaction/gauge_correction.html",
        status=422 if request.method == "POST" else None,
        key_id=queries.key_id(opened.project, line.key) if line.key.reference else None,
        mode=gauge_texts.mode_text(line.key),
        preview=None if line.adoption else actions.preview_of(opened, correction, now=now),
        form=form,
        **line_of(opened, line),
    )


@require_safe
@project_page()
def drawing(request: HttpRequest, opened: Open, now: datetime, key: UUID, quantity: str, kind: str) -> HttpResponse:
    """Side against side, or differences over means, of one quantity."""
    found = find(opened, key)
    if quantity not in gauge_texts.QUANTITIES or kind not in ("sides", "differences"):
        raise Http404("There is no such drawing.")
    compared = found.of(quantity)
    project = opened.project
    name = display.word(project, gauge_texts.QUANTITIES[quantity]).lower()
    common = {"quantity": name, "unit": gauge_texts.unit_text(project, compared.unit)}
    points = gauge_texts.points(project, found, compared)
    title = f"Gauge {found.key.gauge}, {found.key.reference}: {name}"
    if kind == "sides":
        return svg_answer(
            paired_comparison.draw_sides(points, title=title, line=gauge_texts.line(project, compared), **common)
        )
    return svg_answer(
        paired_comparison.draw_differences(points, title=title, limits=gauge_texts.limits(project, compared), **common)
    )
