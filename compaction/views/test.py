"""One test: its result, the worksheet behind it, its history, and what may be done about it."""

import json
import uuid as uuids
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import amendments, holds, voids
from compaction.forms.rulings import ConfirmVoidForm, OvenForm, ReleaseForm, VoidForm
from compaction.queries.previous_place import QUESTION, previous_place
from compaction.queries.rows import TestStory, story
from compaction.register import mark
from compaction.views import display, spot_fields, story_lines, uncertainty
from compaction.views.acting import attempt
from compaction.views.advice import advice
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page()
def test(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """The page of a test."""
    return _page(request, opened, uuid)


test.__test__ = False  # type: ignore[attr-defined]  # keeps the test runner from collecting it


def _page(request: HttpRequest, opened: Open, uuid: uuids.UUID, **refused: Form) -> HttpResponse:
    told = story(opened, str(uuid))
    if told is None:
        raise Http404("There is no such test in this project.")
    outcome, row = told.outcome, told.row
    asked = [ruling for ruling in told.decisions if ruling.meaning == "void_asked"]
    figures = [display.worked(opened.project, name, value) for name, value in outcome.figures.items()]
    return show(
        request,
        opened,
        "compaction/test.html",
        status=422 if refused else None,
        story=told,
        row=row,
        mark_key=mark(row),
        outcome=outcome,
        criteria=[display.criterion_row(opened.project, item) for item in outcome.criteria],
        steps=display.worksheet(opened.project, outcome),
        figures=figures,
        holds=[finding for finding in outcome.holds if finding.code in row.open_holds],
        place_hint=previous_place(opened, row) if QUESTION in row.open_holds else "",
        findings=[finding for finding in outcome.findings if finding.code not in row.open_holds],
        advice=[] if row.voided else advice(opened.project, outcome),
        readings=story_lines.flat(told.content),
        versions=story_lines.versions(told),
        seen=spot_fields.seen_at_the_spot(told.content),
        uncertainty=uncertainty.section(request, opened, told),
        outcomes=list(reversed(told.outcomes)),
        releases={
            code: refused.get("release")
            if _is_for(refused.get("release"), code)
            else ReleaseForm(initial={"hold": code})
            for code in row.open_holds
        },
        void_asked=asked[-1] if asked and not row.voided else None,
        void_form=refused.get("void") or VoidForm(),
        confirm_form=refused.get("confirm") or ConfirmVoidForm(),
        oven_form=refused.get("oven") or OvenForm(project=opened.project, initial={"replaces": row.version}),
    )


def _is_for(form: Form | None, code: str) -> bool:
    return form is not None and form.data.get("hold") == code


def _act(
    request: HttpRequest, opened: Open, uuid: uuids.UUID, name: str, form: Form, work: Callable[[], Any], done: str
) -> HttpResponse:
    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, done)
        return redirect("test", opened.project.code, uuid)
    return _page(request, opened, uuid, **{name: form})


@require_POST
@project_page("release-hold")
def release(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """Release one hold by its code."""
    form = ReleaseForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        body = {"hold": given["hold"], "reason": given["reason"]}
        return holds.release(opened=opened, test_uuid=uuid, client_uuid=given["client_uuid"], body=body, now=now)

    return _act(request, opened, uuid, "release", form, work, "The hold is released; your reason is on record.")


@require_POST
@project_page("void-test")
def void(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """Void an own slip of the day, or ask a second person to."""
    form = VoidForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        body = {"reason_code": given["reason_code"], "reason": given["reason"]}
        return voids.ask(opened=opened, test_uuid=uuid, client_uuid=given["client_uuid"], body=body, now=now)

    done = "It is on record. If it was not your own slip of today, a supervisor or engineer now has to confirm it."
    return _act(request, opened, uuid, "void", form, work, done)


@require_POST
@project_page("confirm-void")
def confirm(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """Confirm a void that somebody else asked for."""
    form = ConfirmVoidForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        body = {"reason": given["reason"]}
        return voids.confirm(opened=opened, test_uuid=uuid, client_uuid=given["client_uuid"], body=body, now=now)

    return _act(request, opened, uuid, "confirm", form, work, "The test is voided; everything stays on record.")


@require_POST
@project_page("amend-test")
def oven(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """Add the oven value as a new version; field values stay beside it."""
    form = OvenForm(request.POST, project=opened.project)
    told = story(opened, str(uuid))
    if told is None:
        raise Http404("There is no such test in this project.")

    def work() -> Any:
        given = form.cleaned_data
        content = with_determination(told, form.determination())
        return amendments.amend(
            opened=opened,
            test_uuid=uuid,
            client_uuid=given["client_uuid"],
            replaces=given["replaces"],
            content=content,
            reason_code="oven-water-content",
            reason=given["reason"],
            raw=json.dumps(content, ensure_ascii=False),
            now=now,
        )

    return _act(
        request, opened, uuid, "oven", form, work, "The oven value is on record and the result is worked out anew."
    )


def with_determination(told: TestStory, found: dict[str, Any]) -> dict[str, Any]:
    """The record with an oven value in place of an earlier one of the same fraction."""
    kept = [
        item
        for item in told.content.get("water_contents", [])
        if not (item.get("method") == "oven" and item.get("fraction") == found["fraction"])
    ]
    return {**told.content, "water_contents": [*kept, found]}
