"""The failing-test log: what can be closed today, what is stuck, what is buried."""

import uuid as uuids
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import failures as failure_actions
from compaction.forms.rulings import CLOSURE_WORDS, ClosingForm
from compaction.queries.rows import failure_rows
from compaction.register import FailureRow
from compaction.views.acting import attempt
from compaction.views.csv_file import csv_response
from compaction.views.display import STATE_WORDS, local
from projects.access import Open
from projects.views.opening import project_page, show


@dataclass(frozen=True)
class LogLine:
    """A failure with the form that closes it."""

    row: FailureRow
    turn: str  # whose turn it is
    step: str  # what is to be done
    form: ClosingForm | None


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def failures(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The log; an engineer closes several at once, each with its own reason."""
    rows = failure_rows(opened, now=now, open_only=request.GET.get("show") == "open")
    refused: dict[str, ClosingForm] = {}
    if request.method == "POST":
        opened.require("close-failure")
        closed, refused = _close_chosen(opened, request.POST, rows, now)
        if closed:
            messages.success(request, f"{closed} closed, each with its own reason on record.")
        if closed and not refused:
            return redirect("failures", opened.project.code)
        if not closed and not refused:
            messages.warning(request, "Nothing was chosen. Choose a decision in a row and write its reason.")
        rows = failure_rows(opened, now=now)
    may_close = opened.may("close-failure")
    lines = [_line(row, refused.get(row.uuid), may_close=may_close) for row in rows]
    return show(
        request,
        opened,
        "compaction/failures.html",
        status=422 if refused else None,
        open_lines=[line for line in lines if line.row.is_open],
        closed_lines=[line for line in lines if not line.row.is_open],
        buried=[line for line in lines if line.row.is_open and line.row.buried],
        refused=bool(refused),
    )


def _line(row: FailureRow, refused: ClosingForm | None, *, may_close: bool) -> LogLine:
    turn, _, step = row.next_action.partition(": ")
    form = refused
    if form is None and may_close and row.is_open:
        form = ClosingForm(prefix=row.uuid, initial={"basis_digest": row.chain_digest, "meaning": ""})
    if form is not None:
        form.fields["meaning"].choices = [("", "leave open"), *CLOSURE_WORDS.items()]  # type: ignore[attr-defined]
        for name in ("meaning", "reason"):
            form.fields[name].required = False
        form.fields["reason"].widget.attrs["rows"] = 2
    return LogLine(row, turn, step, form)


def _close_chosen(
    opened: Open, posted: QueryDict, rows: list[FailureRow], now: datetime
) -> tuple[int, dict[str, ClosingForm]]:
    """How many were closed, and the forms of those that were not. One refusal does not undo the others."""
    closed, refused = 0, {}
    for row in rows:
        if not posted.get(f"{row.uuid}-meaning"):
            continue
        form = ClosingForm(posted, prefix=row.uuid)
        if form.is_valid() and attempt(form, partial(close_one, opened, row.uuid, form, now)):
            closed += 1
        else:
            refused[row.uuid] = form
    return closed, refused


def close_one(opened: Open, failure_uuid: str, form: ClosingForm, now: datetime) -> Any:
    """Close one failure as the form says. Raises what the action raises."""
    given = form.cleaned_data
    body = {name: given[name] for name in ("meaning", "reason", "basis_digest") if given[name]}
    return failure_actions.close(
        opened=opened,
        failure_uuid=uuids.UUID(failure_uuid),
        client_uuid=given["client_uuid"],
        body=body,
        now=now,
    )


@require_safe
@project_page()
def failures_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The log as a file."""
    rows = failure_rows(opened, now=now, open_only=request.GET.get("show") == "open")
    header = [
        "test", "failure", "criterion", "state", "buried", "buried by", "opened at", "age, days", "attempts", "station",
        "offset", "area", "lift", "margin", "last action", "last action at", "next action", "closed at",
    ]  # fmt: skip
    return csv_response(
        name=f"{opened.project.code}-failures", header=header, rows=(_csv_line(opened, row) for row in rows)
    )


def _csv_line(opened: Open, row: FailureRow) -> list[Any]:
    root = row.root
    return [
        root.name if root else row.root_test, row.uuid, row.kind, STATE_WORDS.get(row.state, row.state),
        "yes" if row.buried else "no", row.buried_by, local(opened.project, row.opened_at).isoformat(), row.age_days,
        row.attempts, root.station_text if root else "", root.offset_text if root else "", root.zone if root else "",
        root.lift if root else None, root.margin if root else "", row.last_action,
        local(opened.project, row.last_action_at).isoformat(), row.next_action,
        local(opened.project, row.closed_at).isoformat() if row.closed_at else "",
    ]  # fmt: skip
