"""Entry of a moisture-density reference from the bench's masses or from figures, with a look before it is sent."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from compaction.actions import references as reference_actions
from compaction.forms import bench_points
from compaction.forms.bench_points import PointFormSet
from compaction.forms.references import ReferenceForm
from compaction.queries import curve_reviews
from compaction.queries.set_up_lists import reference_list
from compaction.records.reference_checks import KIND_WORDS
from compaction.views import bench_display
from compaction.views.acting import attempt
from compaction.views.references import find
from projects.access import Open
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-reference")
def enter(request: HttpRequest, opened: Open, now: datetime, reference: str = "") -> HttpResponse:
    """A new reference, or the next revision of one, which starts from what the last one says."""
    known = reference_list(opened)
    lines = find(known, reference) if reference else []
    newest = lines[-1] if lines else None
    if newest is not None and newest.facts.kind != "moisture_density":
        return redirect("reference-revise-kind", opened.project.code, reference)
    content = dict(newest.content) if newest else {}
    form, points = _forms(request, opened, content, reference)
    seen = None
    if request.method == "POST" and form.is_valid() and points.is_valid():
        code = reference or form.cleaned_data["code"]
        rev = len(known.get(code, [])) + 1
        body = _body(form, points, content)
        if "look" in request.POST:
            review = attempt(form, lambda: curve_reviews.review_of(opened, known, code, rev, body))
            seen = bench_display.seen(opened.project, review) if review else None
        else:
            issued = attempt(
                form, lambda: reference_actions.issue(opened=opened, code=code, rev=rev, body=body, now=now)
            )
            if issued is not None:
                messages.success(request, f"{code} revision {rev} is entered. An engineer other than you approves it.")
                return redirect("reference", opened.project.code, code)
    return show(
        request,
        opened,
        "compaction/reference_entry.html",
        status=422 if request.method == "POST" and seen is None else None,
        form=form,
        points=points,
        kinds=KIND_WORDS,
        code=reference,
        next_rev=len(lines) + 1,
        seen=seen,
        kept=len(content.get("points", ())) if not bench_points.fits_the_form(content.get("points", ())) else 0,
    )


def _forms(request: HttpRequest, opened: Open, content: Mapping[str, Any], reference: str) -> tuple[ReferenceForm, Any]:
    initial = {name: value for name, value in content.items() if name not in ("reason", "points")}
    on_record = content.get("points", [])
    unit, first = bench_points.initial_of(on_record if bench_points.fits_the_form(on_record) else [])
    form = ReferenceForm(
        request.POST or None,
        project=opened.project,
        initial={"mass_unit": unit, **initial, "code": reference},
        revising=bool(reference),
    )
    points = PointFormSet(request.POST or None, prefix="point", initial=first, form_kwargs={"project": opened.project})
    points.extra = max(bench_points.SPECIMENS - len(first), 2)
    return form, points


def _body(form: ReferenceForm, points: Any, content: Mapping[str, Any]) -> dict[str, Any]:
    """What was typed, and what an earlier revision says that this form does not show: nothing falls off silently."""
    unit = form.cleaned_data.get("mass_unit") or bench_points.MASS_UNITS[0]
    typed = bench_points.points_from(points, unit)
    on_record = content.get("points", [])
    if not typed and not bench_points.fits_the_form(on_record):
        typed = list(on_record)
    beside = {
        name: value for name, value in content.items() if name not in form.fields and name not in ("points", "reason")
    }
    return {**beside, **form.body(typed)}
