"""Specifications: list, a page that reads like the clauses, entry of a revision, approval."""

from collections.abc import Callable
from copy import deepcopy
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from compaction.actions import previews
from compaction.actions import specifications as specification_actions
from compaction.forms.criteria import CriterionFormSet, criterion_of
from compaction.forms.frequency import FrequencyFormSet, rule_of
from compaction.forms.rulings import ApproveForm
from compaction.forms.specifications import SpecificationForm, StepFormSet, step_of
from compaction.frequency_rules import BASES, WITHIN
from compaction.queries.set_up_lists import RevisionLine, specification_list
from compaction.records.criterion_words import project_units
from compaction.records.specification_diff import differences
from compaction.records.specification_drafts import DRAFTS
from compaction.views import approvals
from compaction.views.acting import attempt
from compaction.views.clauses import clauses, frequency_words, looks_words, retest_words, rounding_words
from compaction.views.references import find, governing
from projects.access import Open
from projects.views.opening import project_page, show


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
            looks_words(project, line.facts),
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
    return against, differences(against.facts, line.facts, **project_units(opened.project.units))


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
    frequency = FrequencyFormSet(posted, prefix="frequency", initial=initial.get("frequency", []))
    if request.method == "POST" and all([one.is_valid() for one in (form, criteria, steps, frequency)]):
        code = specification or form.cleaned_data["code"]
        rev = len(known.get(code, [])) + 1
        tables: dict[str, tuple[Any, Callable[[Any], dict[str, Any]]]] = {
            "criteria": (criteria, criterion_of),
            "rounding": (steps, step_of),
            "frequency": (frequency, rule_of),
        }
        rows = {name: [row for row in formset if read(row)] for name, (formset, read) in tables.items()}
        body = form.body(**{name: [read(row) for row in rows[name]] for name, (_, read) in tables.items()})
        asked_for = {*form.fields, *tables, "retest"}
        body |= {name: value for name, value in initial.items() if name not in asked_for}  # kept, never lost
        issued = attempt(
            form,
            lambda: specification_actions.issue(opened=opened, code=code, rev=rev, body=body, now=now),
            rows=rows,
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
        frequency=frequency,
        bases=", ".join(BASES),
        within=", ".join(WITHIN),
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
    done = approvals.given(
        request,
        opened,
        form,
        specification_actions.approve,
        kind="specification",
        code=specification,
        rev=rev,
        sentence="tests are being worked out anew.",
        now=now,
    )
    return done or _approval(request, opened, now, specification, rev, form)


def _approval(
    request: HttpRequest, opened: Open, now: datetime, code: str, rev: int, form: ApproveForm
) -> HttpResponse:
    lines = find(specification_list(opened), code)
    compared = next((_differences(opened, lines, line) for line in lines if line.rev == rev), None)
    preview = partial(previews.preview_specification, opened, code, rev, now=now)
    return approvals.asked(
        request, opened, lines, rev, kind="specification", preview=preview, form=form, compared=compared
    )
