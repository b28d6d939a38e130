"""One lift of an area: its state and why, its counters, tests, placements, neighbours, release, "not tested"."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import coverage as coverage_actions
from compaction.forms.lifts import NotTestedForm, ReleaseForm
from compaction.queries import coverage
from compaction.queries.observed_areas import rows as observed_rows
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from compaction.views import observed_areas
from compaction.views.acting import attempt
from compaction.views.project_time import as_typed, record_body
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime, area: str, lift: int) -> HttpResponse:
    """The story of one lift."""
    return _shown(request, opened, now, area, lift)


def _shown(
    request: HttpRequest,
    opened: Open,
    now: datetime,
    area: str,
    lift: int,
    *,
    release: ReleaseForm | None = None,
    note: NotTestedForm | None = None,
) -> HttpResponse:
    story = coverage.group(opened, area, lift)
    if story is None:
        raise Http404("There is no such lift.")
    uuids = tuple(test.uuid for test in story.tests)
    around = {one.lift: one for one in coverage.lift_rows(opened, area)}
    group = story.covered
    return show(
        request,
        opened,
        "compaction/lift.html",
        status=422 if (release and release.errors) or (note and note.errors) else None,
        story=story,
        group=group,
        counting=set(group.tests),
        tests=test_rows(opened, TestFilter(uuids=uuids), limit=None) if uuids else [],
        placements=[row for row in placement_rows(opened, lift=lift) if row.area == area],
        observed=observed_areas.lines(observed_rows(opened, area=area, lift=lift)),
        below=[around.get(number, number) for number in group.below],
        above=[around.get(number, number) for number in group.above],
        next_below=max((number for number in around if number < lift), default=None),
        next_above=min((number for number in around if number > lift), default=None),
        release=release or ReleaseForm(initial={"basis_digest": group.digest}),
        note=note or NotTestedForm(initial={"noted_at": as_typed(opened.project, now)}),
    )


@require_POST
@project_page()
def sign(request: HttpRequest, opened: Open, now: datetime, area: str, lift: int) -> HttpResponse:
    """Release the lift on the figures that were shown."""
    form = ReleaseForm(request.POST)
    if form.is_valid():
        key = form.cleaned_data["client_uuid"]
        signed = attempt(
            form,
            lambda: coverage_actions.release(
                opened=opened, area=area, lift=lift, client_uuid=key, body=form.body(), now=now
            ),
        )
        if signed is not None:
            messages.success(request, "The release is signed. It falls by itself when these figures move.")
            return redirect("lift", opened.project.code, area, lift)
    return _shown(request, opened, now, area, lift, release=form)


@require_POST
@project_page()
def note(request: HttpRequest, opened: Open, now: datetime, area: str, lift: int) -> HttpResponse:
    """Record why the lift is not tested."""
    form = NotTestedForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        body = {"area": area, "lift": lift, **record_body(opened.project, given, moment="noted_at")}
        return coverage_actions.note_not_tested(opened=opened, client_uuid=given["client_uuid"], body=body, now=now)

    if form.is_valid() and attempt(form, work, moment="noted_at") is not None:
        messages.success(request, "The reason is on record. It does not stand in for tests that are missing.")
        return redirect("lift", opened.project.code, area, lift)
    return _shown(request, opened, now, area, lift, note=form)
