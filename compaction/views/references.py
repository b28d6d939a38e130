"""References: list, page, approval with what it would change."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import previews
from compaction.actions import references as reference_actions
from compaction.forms.rulings import ApproveForm
from compaction.queries import curve_reviews, set_up
from compaction.queries.set_up_lists import RevisionLine, reference_list, tests_per_reference
from compaction.views import bench_display
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
    known = reference_list(opened)
    lines = find(known, reference)
    reviews = curve_reviews.reviews(opened, known, reference, at_percent=_least_percent(opened, now))
    return show(
        request,
        opened,
        "compaction/reference.html",
        known=known,
        code=reference,
        lines=[(line, bench_display.seen(opened.project, reviews[line.rev])) for line in reversed(lines)],
        newest=lines[-1],
        governing=governing(lines),
        used=tests_per_reference(opened).get(reference, 0),
    )


def _least_percent(opened: Open, now: datetime) -> Decimal:
    """The least percent compaction that the specification asks for first; 95 where there is none."""
    specification = set_up.load(opened.project, setup_seq=opened.setup_seq).specification("", now)
    criteria = specification.criteria if specification else ()
    limits = (one.minimum for one in criteria if one.quantity == "percent_compaction" and one.minimum is not None)
    return next(limits, Decimal(95))


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
