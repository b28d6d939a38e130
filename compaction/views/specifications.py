"""Specifications: list, a page that reads like the clauses, entry of a revision, approval."""

from copy import deepcopy
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from compaction.actions import previews
from compaction.actions import specifications as specification_actions
from compaction.forms.criteria import CriterionFormSet, criteria_from
from compaction.forms.rulings import ApproveForm
from compaction.forms.specifications import SpecificationForm, StepFormSet, steps_from
from compaction.queries.set_up_lists import RevisionLine, specification_list
from compaction.records.specification_diff import differences
from compaction.records.specification_drafts import DRAFTS
from compaction.views.acting import attempt
from compaction.views.clauses import clauses, frequency_words, retest_words, rounding_words
from compaction.views.display import length_unit
from compaction.views.references import find, governing
from projects.access import Open
from projects.views.opening import project_page, show

#: members that the form does not ask for; a revision at the page keeps them
CARRIED = ("frequency", "observation_accepts")


@require_safe
@project_page()
def specifications(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every specification with its newest revision."""
    found = specification_list(opened)
    lines = [
        (code, lines[-1], governing(lines), clauses(opened.project, (governing(lines) or lines[-1]).facts))
        for code, lines in found.items()
    ]
    return show(request, opened, "compaction/specifications.html", lines=lines)


@require_safe
@project_page()
def specification(request: HttpRequest, opened: Open, now: datetime, specification: str) -> HttpResponse:
    """One specification, revision by revision, readable as the clauses read."""
    lines = find(specification_list(opened), specification)
    project = opened.project
    read = [
        (
            line,
            clauses(project, line.facts),
            rounding_words(line.facts),
            retest_words(project, line.facts),
            frequency_words(line.facts),
            _differences(opened, lines, line),
        )
        for line in reversed(lines)
    ]
    return show(
        request,
        opened,
        "compaction/specification.html",
        code=specification,
        lines=read,
        newest=lines[-1],
        governing=governing(lines),
    )


def _differences(opened: Open, lines: list[RevisionLine], line: RevisionLine) -> tuple[RevisionLine, Any] | None:
    """The revision that this one is compared with (the approved one before it, else the one before), and how."""
    earlier = [one for one in lines if one.rev < line.rev]
    if not earlier:
        return None
    against = governing(earlier) or earlier[-1]
    units = {"length_unit": length_unit(opened.project), "density_unit": opened.project.units}
    return against, differences(against.facts, line.facts, **units)


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-specification")
def enter(request: HttpRequest, opened: Open, now: datetime, specification: str = "") -> HttpResponse:
    """A new specification, or the next revision of one."""
    known = specification_list(opened)
    lines = find(known, specification) if specification else []
    draft = DRAFTS.get(request.GET.get("draft", "")) if not lines else None
    initial = deepcopy(dict(lines[-1].content if lines else draft.body if draft else {}))
    initial.pop("reason", None)
    posted, project = request.POST or None, opened.project
    form = SpecificationForm(
        posted, project=project, initial={**initial, "code": specification}, revising=bool(specification)
    )
    criteria = CriterionFormSet(
        posted, prefix="criterion", initial=initial.get("criteria", []), form_kwargs={"project": project}
    )
    steps = StepFormSet(posted, prefix="step", initial=initial.get("rounding", []))
    if request.method == "POST" and form.is_valid() and criteria.is_valid() and steps.is_valid():
        code = specification or form.cleaned_data["code"]
        rev = len(known.get(code, [])) + 1
        body = form.body(criteria_from(criteria), steps_from(steps))
        body |= {name: value for name, value in initial.items() if name in CARRIED and name not in body}
        issued = attempt(
            form, lambda: specification_actions.issue(opened=opened, code=code, rev=rev, body=body, now=now)
        )
        if issued is not None:
            messages.success(request, f"{code} revision {rev} is entered. An engineer other than you approves it.")
            return redirect("specification", project.code, code)
    return show(
        request,
        opened,
        "compaction/specification_entry.html",
        status=422 if request.method == "POST" else None,
        form=form,
        criteria=criteria,
        steps=steps,
        code=specification,
        next_rev=len(lines) + 1,
        drafts=[] if lines else list(DRAFTS.values()),
        draft=draft,
    )


@require_safe
@project_page("approve")
def preview(request: HttpRequest, opened: Open, now: datetime, specification: str, rev: int) -> HttpResponse:
    """What approving this revision would change, and the form that does it."""
    return _approval(request, opened, now, specification, rev, ApproveForm())


@require_POST
@project_page("approve")
def approve(request: HttpRequest, opened: Open, now: datetime, specification: str, rev: int) -> HttpResponse:
    """Approve; every test of the project is looked at again."""
    form = ApproveForm(request.POST)

    def work() -> Any:
        return specification_actions.approve(
            opened=opened,
            code=specification,
            rev=rev,
            client_uuid=form.cleaned_data["client_uuid"],
            body={"reason": form.cleaned_data["reason"]},
            now=now,
        )

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, f"{specification} revision {rev} is approved; tests are being worked out anew.")
        return redirect("specification", opened.project.code, specification)
    return _approval(request, opened, now, specification, rev, form)


def _approval(
    request: HttpRequest, opened: Open, now: datetime, code: str, rev: int, form: ApproveForm
) -> HttpResponse:
    lines = find(specification_list(opened), code)
    line = next((line for line in lines if line.rev == rev), None)
    if line is None:
        raise Http404("There is no such revision.")
    return show(
        request,
        opened,
        "compaction/approval.html",
        status=422 if form.errors else None,
        kind="specification",
        line=line,
        compared=_differences(opened, lines, line),
        preview=None if line.approval else previews.preview_specification(opened, code, rev, now=now),
        form=form,
    )
