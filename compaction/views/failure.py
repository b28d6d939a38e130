"""One failure: its story in order, from placed to closed, on a page that can be handed over."""

import json
import uuid as uuids
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import failures as failure_actions
from compaction.actions.failures import SUPERVISOR
from compaction.forms.rulings import ClosingForm, ReworkForm
from compaction.queries.rows import FailureStory, failure_story, placement_rows, story
from compaction.register import TestRow
from compaction.views.acting import attempt
from compaction.views.display import failure_mark_key
from compaction.views.failures import close_one
from compaction.views.project_time import as_typed, record_body
from compaction.views.story_lines import flat
from projects.access import Open
from projects.geometry.areas import Spot, area_from_plain
from projects.views.opening import project_page, show


@dataclass(frozen=True)
class Event:
    """One line of the story."""

    at: datetime
    title: str
    who: str = ""
    text: str = ""
    test: TestRow | None = None
    facts: list[tuple[str, str]] = field(default_factory=list)


@require_safe
@project_page()
def failure(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """The page of a failure."""
    return _page(request, opened, now, uuid)


def _page(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID, **refused: Form) -> HttpResponse:
    told = failure_story(opened, str(uuid), now=now)
    if told is None:
        raise Http404("There is no such failure in this project.")
    row = told.row
    turn, _, step = row.next_action.partition(": ")
    return show(
        request,
        opened,
        "compaction/failure.html",
        status=422 if refused else None,
        row=row,
        mark_key=failure_mark_key(row),
        events=_events(opened, told),
        turn=turn,
        step=step,
        may_close=opened.may("close-failure") or (opened.may("close-failure-by-rule") and turn.startswith(SUPERVISOR)),
        rework_form=refused.get("rework") or ReworkForm(initial={"performed_at": as_typed(opened.project, now)}),
        closing_form=refused.get("closing")
        or ClosingForm(
            initial={
                "basis_digest": row.chain_digest,
                "meaning": "closed" if turn.endswith("engineer") else "accepted_as_is",
            }
        ),
    )


def _events(opened: Open, told: FailureStory) -> list[Event]:
    row, root = told.row, told.row.root
    events = (
        [
            Event(placed.placed_at, f"Lift {placed.lift} placed in {placed.area}", placed.author)
            for placed in placement_rows(opened, lift=root.lift)
            if _holds(placed.limits, root)
        ]
        if root and root.lift
        else []
    )
    for link, test in told.tests:
        if test is not None:
            title = "Failing test" if link.attempt == 0 else f"Retest {link.attempt}"
            counted = "" if link.counts else f"Does not count: {link.remark}."
            events.append(Event(test.performed_at, title, test.technician, counted, test))
    root_story = story(opened, row.root_test)
    notice = root_story.content.get("notified") if root_story else None
    if notice:
        events.append(
            Event(
                datetime.fromisoformat(notice["at"]),
                f"{notice['person']} was told ({notice['how']})",
                root.technician if root else "",
            )
        )
    for work in told.reworks:
        facts = [item for item in flat(json.loads(work.content)) if item[0] not in ("method", "performed at")]
        events.append(Event(work.performed_at, f"Rework: {work.method.replace('_', ' ')}", work.author, facts=facts))
    for ruling in told.decisions:
        events.append(
            Event(ruling.decided_at, ruling.meaning.replace("_", " ").capitalize(), ruling.person, ruling.reason)
        )
    return sorted(events, key=lambda event: event.at)


def _holds(limits: str, test: TestRow) -> bool:
    on_lines = {}
    if test.alignment and test.station_m is not None and test.offset_m is not None:
        on_lines[test.alignment] = (test.station_m, test.offset_m)
    spot = Spot(
        easting_m=test.easting_m,
        northing_m=test.northing_m,
        on_lines=on_lines,
        elevation_m=test.elevation_m,
        depth_below_grade_m=test.depth_below_grade_m,
    )
    return area_from_plain(json.loads(limits)).contains(spot) is True


@require_POST
@project_page("report-rework")
def rework(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """Report what was done to the failed area."""
    form = ReworkForm(request.POST)

    def work() -> Any:
        return failure_actions.report_rework(
            opened=opened,
            failure_uuid=uuid,
            client_uuid=form.cleaned_data["client_uuid"],
            body=record_body(opened.project, form.cleaned_data, moment="performed_at"),
            now=now,
        )

    if form.is_valid() and attempt(form, work, moment="performed_at") is not None:
        messages.success(request, "The rework is on record; the spot now waits for its retest.")
        return redirect("failure", opened.project.code, uuid)
    return _page(request, opened, now, uuid, rework=form)


@require_POST
@project_page("close-failure-by-rule")
def close(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """An engineer's closing, on the figures that the page showed."""
    form = ClosingForm(request.POST)
    if form.is_valid() and attempt(form, lambda: close_one(opened, str(uuid), form, now)) is not None:
        messages.success(request, "The decision and its reason are on record.")
        return redirect("failure", opened.project.code, uuid)
    return _page(request, opened, now, uuid, closing=form)
