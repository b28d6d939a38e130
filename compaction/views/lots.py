"""Lots: list, one lot with its members and verdict, declaration with a look ahead, closing, members as a file."""

import json
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from compaction.actions import lots as lot_actions
from compaction.forms.lots import LotClosingForm, LotForm, RuleFormSet, initial_of, rules_from
from compaction.queries import set_up, work_left
from compaction.queries.lots import LotStory, lot_rows, lot_story
from compaction.queries.rows import TestFilter, test_rows
from compaction.register import MARK_WORDS, TestRow, mark
from compaction.views import display
from compaction.views.acting import attempt
from compaction.views.csv_file import csv_response
from compaction.views.lot_words import (
    comparison_words,
    figure,
    figure_rows,
    member_lines,
    place_words,
    rule_words,
    with_minus,
)
from projects.access import Open
from projects.views.opening import project_page, show

RESULT_WORDS: Final = {"met": "met", "not_met": "not met", "undecided": "undecided"}
#: result -> the mark that stands for it
MARKS: Final = {"met": "pass", "not_met": "fail", "undecided": "no_result"}
STATE_WORDS: Final = {"open": "open", "accepted": "accepted", "rejected": "rejected"}


@require_safe
@project_page()
def lots(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every lot, open ones first."""
    lines = [
        {"row": row, "mark": mark_of(row.result, row.basis), "words": RESULT_WORDS[row.result]}
        for row in lot_rows(opened)
    ]
    return show(request, opened, "compaction/lots.html", lines=lines)


def mark_of(result: str, basis: str) -> str:
    """The mark of a lot's result."""
    return "provisional" if result == "met" and basis == "provisional" else MARKS[result]


@require_safe
@project_page()
def lot(request: HttpRequest, opened: Open, now: datetime, lot: str) -> HttpResponse:
    """The page of a lot."""
    return _page(request, opened, lot)


def found(opened: Open, code: str) -> LotStory:
    """The lot; 404 where there is none."""
    story = lot_story(opened, code)
    if story is None:
        raise Http404("There is no such lot in this project.")
    return story


def rows_of(opened: Open, content: Mapping[str, Any]) -> dict[str, TestRow]:
    """The rows of every test that a result names."""
    uuids = tuple(one["test"] for one in content.get("members", []))
    chosen: dict[str, TestRow] = {}
    for start in range(0, len(uuids), 400):
        rows = test_rows(opened, TestFilter(uuids=uuids[start : start + 400]), limit=None)
        chosen |= {row.uuid: row for row in rows}
    return chosen


def _page(request: HttpRequest, opened: Open, code: str, form: Form | None = None) -> HttpResponse:
    story = found(opened, code)
    return show(
        request,
        opened,
        "compaction/lot.html",
        status=422 if form else None,
        story=story,
        row=story.row,
        mark_key=mark_of(story.row.result, story.row.basis),
        result_words=RESULT_WORDS[story.row.result],
        stale="lot" in work_left.kinds_waiting(opened, [code]),
        place=place_words(opened.project, story.facts, story.revisions[-1]),
        closing_form=form or LotClosingForm(initial={"basis_digest": story.row.outcome_digest}),
        **shown_result(opened, story.facts.rules, story.content),
    )


def shown_result(opened: Open, rules: Any, content: Mapping[str, Any]) -> dict[str, Any]:
    """What a result's part of a page needs: verdicts with their figures, members in and out, what fails."""
    rows = rows_of(opened, content)
    verdicts = [
        {
            "rule": rule_words(rule),
            "clause": rule.clause,
            "mark": mark_of(verdict["result"], "final"),
            "words": RESULT_WORDS[verdict["result"]],
            "sentence": with_minus(verdict["sentence"]),
            "figures": figure_rows(rule, verdict["figures"]),
        }
        for rule, verdict in zip(rules, content.get("verdicts", []), strict=False)
    ]
    lines = member_lines(opened.project, rules, content, rows)
    return {
        "content": content,
        "comparison": comparison_words(rules, content),
        "verdicts": verdicts,
        "counting": [line for line in lines if line["counts"]],
        "outside": [line for line in lines if not line["counts"]],
        "failing": [rows[one["test"]] for one in content.get("failing", []) if one["test"] in rows],
        "quantity": display.word(opened.project, rules[0].quantity.replace("_", " ")),
    }


@require_POST
@project_page("close-lot")
def close(request: HttpRequest, opened: Open, now: datetime, lot: str) -> HttpResponse:
    """An engineer accepts or rejects the lot, on the figures that the page showed."""
    form = LotClosingForm(request.POST)

    def work() -> Any:
        given = dict(form.cleaned_data)
        client_uuid = given.pop("client_uuid")
        return lot_actions.close(opened=opened, code=lot, client_uuid=client_uuid, body=given, now=now)

    found(opened, lot)
    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "The decision and its reason are on record.")
        return redirect("lot", opened.project.code, lot)
    return _page(request, opened, lot, form)


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("declare-lot")
def enter(request: HttpRequest, opened: Open, now: datetime, lot: str = "") -> HttpResponse:
    """Declare a lot or its next revision; "look" shows what the rules would say and declares nothing."""
    story = found(opened, lot) if lot else None
    initial = initial_of(lot_content(story)) if story else {}
    posted, project = request.POST or None, opened.project
    under = set_up.load(project, setup_seq=opened.setup_seq)
    form = LotForm(posted, project=project, under=under, initial={**initial, "code": lot}, revising=bool(lot))
    rules = RuleFormSet(posted, prefix="rule", initial=initial.get("rules", []), form_kwargs={"project": project})
    looked = None
    if request.method == "POST" and form.is_valid() and rules.is_valid():
        body = form.body(rules_from(rules))
        if "look" in request.POST:
            looked = attempt(form, lambda: lot_actions.preview(opened=opened, body=body, now=now))
        else:
            code, rev = lot or form.cleaned_data["code"], (story.row.rev if story else 0) + 1
            issued = attempt(form, lambda: lot_actions.declare(opened=opened, code=code, rev=rev, body=body, now=now))
            if issued is not None:
                messages.success(request, f"{code} revision {rev} is declared. Tests made from now on enter it.")
                return redirect("lot", project.code, code)
    return show(
        request,
        opened,
        "compaction/lot_entry.html",
        status=422 if request.method == "POST" and looked is None else None,
        form=form,
        rules=rules,
        code=lot,
        next_rev=(story.row.rev if story else 0) + 1,
        looked=looked,
        **(shown_result(opened, looked.record.facts.rules, looked.content) if looked else {}),
    )


def lot_content(story: LotStory) -> dict[str, Any]:
    """The newest revision as entered."""
    content: dict[str, Any] = json.loads(story.revisions[-1].content)
    return content


@require_safe
@project_page()
def members_csv(request: HttpRequest, opened: Open, now: datetime, lot: str) -> HttpResponse:
    """Every test at the lot's place with its reason, in the order judged."""
    story = found(opened, lot)
    quantities = list(dict.fromkeys(rule.quantity for rule in story.facts.rules))
    units = {rule.quantity: rule.unit for rule in story.facts.rules}
    rows = rows_of(opened, story.content)
    header = ["test", "id", "performed at", "purpose", "technician", "station", "offset", "lift", "counts", "reason"]
    header += [*(f"{name.replace('_', ' ')}, {units[name]}" for name in quantities), "result", "basis", "mark"]

    def line(one: Mapping[str, Any]) -> list[Any]:
        row = rows.get(one["test"])
        place: list[Any] = [""] * 6
        if row is not None:
            made = display.local(opened.project, row.performed_at).isoformat()
            place = [made, row.purpose, row.technician, row.station_text, row.offset_text, row.lift]
        values = [
            figure(Decimal(one["figures"][name]), units[name]) if name in one["figures"] else "" for name in quantities
        ]
        said = MARK_WORDS[mark(row)] if row else ""
        return [one["label"], one["test"], *place, "yes" if one["counts"] else "no", one["reason"], *values,
                one["result"], one["basis"], said]  # fmt: skip

    return csv_response(
        name=f"{opened.project.code}-lot-{lot}", header=header, rows=map(line, story.content.get("members", []))
    )
