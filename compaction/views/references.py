"""Moisture-density references: list, page, entry of a revision, approval with what it would change."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from compaction.actions import previews
from compaction.actions import references as reference_actions
from compaction.forms.references import PointFormSet, ReferenceForm, points_from
from compaction.forms.rulings import ApproveForm
from compaction.queries.set_up_lists import RevisionLine, reference_list, tests_per_reference
from compaction.views.acting import attempt
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page()
def references(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every reference with its newest revision and how many tests stand on it."""
    used = tests_per_reference(opened)
    lines = [(code, lines[-1], governing(lines), used.get(code, 0)) for code, lines in reference_list(opened).items()]
    return show(request, opened, "compaction/references.html", lines=lines)


def governing(lines: list[RevisionLine]) -> RevisionLine | None:
    """The newest approved revision."""
    return next((line for line in reversed(lines) if line.approval), None)


def find(found: dict[str, list[RevisionLine]], code: str) -> list[RevisionLine]:
    """The revisions of a code; 404 where there is none."""
    if code not in found:
        raise Http404("There is no such entry in this project.")
    return found[code]


@require_safe
@project_page()
def reference(request: HttpRequest, opened: Open, now: datetime, reference: str) -> HttpResponse:
    """One reference: points, what it governs, its revisions."""
    lines = find(reference_list(opened), reference)
    return show(
        request,
        opened,
        "compaction/reference.html",
        code=reference,
        lines=lines[::-1],
        newest=lines[-1],
        governing=governing(lines),
        used=tests_per_reference(opened).get(reference, 0),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-reference")
def enter(request: HttpRequest, opened: Open, now: datetime, reference: str = "") -> HttpResponse:
    """A new reference, or the next revision of one, which starts from the figures of the last."""
    known = reference_list(opened)
    lines = find(known, reference) if reference else []
    newest = lines[-1] if lines else None
    initial = dict(newest.content) if newest else {}
    initial.pop("reason", None)
    form = ReferenceForm(
        request.POST or None, project=opened.project, initial={**initial, "code": reference}, revising=bool(reference)
    )
    points = PointFormSet(
        request.POST or None,
        prefix="point",
        initial=initial.get("points", []),
        form_kwargs={"project": opened.project},
    )
    if request.method == "POST" and form.is_valid() and points.is_valid():
        code = reference or form.cleaned_data["code"]
        rev = len(known.get(code, [])) + 1
        body = form.body(points_from(points))
        issued = attempt(form, lambda: reference_actions.issue(opened=opened, code=code, rev=rev, body=body, now=now))
        if issued is not None:
            messages.success(request, f"{code} revision {rev} is entered. An engineer other than you approves it.")
            return redirect("reference", opened.project.code, code)
    return show(
        request,
        opened,
        "compaction/reference_entry.html",
        status=422 if request.method == "POST" else None,
        form=form,
        points=points,
        code=reference,
        next_rev=len(lines) + 1,
    )


@require_safe
@project_page("approve")
def preview(request: HttpRequest, opened: Open, now: datetime, reference: str, rev: int) -> HttpResponse:
    """What approving this revision would change, and the form that does it."""
    return _approval(request, opened, now, reference, rev, ApproveForm())


@require_POST
@project_page("approve")
def approve(request: HttpRequest, opened: Open, now: datetime, reference: str, rev: int) -> HttpResponse:
    """Approve; every test that the revision reaches is worked out anew."""
    form = ApproveForm(request.POST)

    def work() -> Any:
        return reference_actions.approve(
            opened=opened,
            code=reference,
            rev=rev,
            client_uuid=form.cleaned_data["client_uuid"],
            body={"reason": form.cleaned_data["reason"]},
            now=now,
        )

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, f"{reference} revision {rev} is approved; its tests are being worked out anew.")
        return redirect("reference", opened.project.code, reference)
    return _approval(request, opened, now, reference, rev, form)


def _approval(
    request: HttpRequest, opened: Open, now: datetime, code: str, rev: int, form: ApproveForm
) -> HttpResponse:
    lines = find(reference_list(opened), code)
    line = next((line for line in lines if line.rev == rev), None)
    if line is None:
        raise Http404("There is no such revision.")
    return show(
        request,
        opened,
        "compaction/approval.html",
        status=422 if form.errors else None,
        kind="reference",
        line=line,
        preview=None if line.approval else previews.preview_reference(opened, code, rev, now=now),
        form=form,
    )
