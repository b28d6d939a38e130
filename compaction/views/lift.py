"""One lift of an area: its state and why, its counters, tests, placements, neighbours, release, "not tested"."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import coverage as coverage_actions
from compaction.forms.lifts import NotTestedForm, ReleaseForm
from compaction.queries import coverage
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from compaction.views.acting import attempt
from compaction.views.project_time import as_typed
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

    def act(given: dict[str, Any], key: uuid.UUID) -> Any:
        body = {"meaning": "released", "basis_digest": given["basis_digest"], "reason": given["reason"]}
        return coverage_actions.release(
            opened=opened, area=area, lift=lift, client_uuid=key, body={k: v for k, v in body.items() if v}, now=now
        )

    if _done(form, act):
        messages.success(request, "The lift is released. The signature falls by itself when these figures move.")
        return redirect("lift", opened.project.code, area, lift)
    return _shown(request, opened, now, area, lift, release=form)


@require_POST
@project_page()
def note(request: HttpRequest, opened: Open, now: datetime, area: str, lift: int) -> HttpResponse:
    """Record why the lift is not tested."""
    form = NotTestedForm(request.POST)

    def act(given: dict[str, Any], key: uuid.UUID) -> Any:
        return coverage_actions.not_tested(
            opened=opened, client_uuid=key, body=form.body(opened.project, area, lift), now=now
        )

    if _done(form, act):
        messages.success(request, "The reason is on record. It does not stand in for tests that are missing.")
        return redirect("lift", opened.project.code, area, lift)
    return _shown(request, opened, now, area, lift, note=form)


def _done(form: ReleaseForm | NotTestedForm, act: Callable[[dict[str, Any], uuid.UUID], Any]) -> bool:
    return form.is_valid() and attempt(form, lambda: act(form.cleaned_data, form.cleaned_data["client_uuid"])) is not None
