"""References: list, page, approval with what it would change."""

from datetime import datetime
from decimal import Decimal
from functools import partial

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import previews
from compaction.actions import references as reference_actions
from compaction.forms.rulings import ApproveForm
from compaction.queries import curve_reviews, set_up
from compaction.queries.set_up_lists import RevisionLine, reference_list, tests_per_reference
from compaction.views import approvals, bench_display
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
    done = approvals.given(
        request,
        opened,
        form,
        reference_actions.approve,
        kind="reference",
        code=reference,
        rev=rev,
        sentence="its tests are being worked out anew.",
        now=now,
    )
    return done or _approval(request, opened, now, reference, rev, form)


def _approval(
    request: HttpRequest, opened: Open, now: datetime, code: str, rev: int, form: ApproveForm
) -> HttpResponse:
    lines = find(reference_list(opened), code)
    preview = partial(previews.preview_reference, opened, code, rev, now=now)
    return approvals.asked(request, opened, lines, rev, kind="reference", preview=preview, form=form)
