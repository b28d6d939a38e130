"""Instruments: the list with what is due, one page each, the next record with what it would change."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from compaction.actions import apparatus as apparatus_actions
from compaction.actions import instrument_previews, standard_counts
from compaction.calculations.standard_count_log import DEFAULT_RULE
from compaction.forms.instruments import CountForm, RecordForm
from compaction.queries import instrument_lists, instrument_use, instruments
from compaction.queries.instrument_lists import InstrumentLine, RecordLine
from compaction.records.apparatus import KINDS
from compaction.views import display
from compaction.views.acting import attempt, tell
from compaction.views.project_time import MomentNotUnderstood, as_typed, with_offset
from projects.access import Open
from projects.views.opening import project_page, show

MOST_TESTS, MOST_COUNTS, NEWEST_COUNTS = 20, 60, 10


@require_safe
@project_page()
def instruments_page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every instrument, what has run out first."""
    found = instrument_lists.instrument_list(opened, today=_today(opened, now))
    order = (
        instrument_lists.OUT_OF_DATE,
        instrument_lists.DUE_SOON,
        instrument_lists.NOT_YET,
        instrument_lists.IN_DATE,
    )
    lines = sorted(found.values(), key=lambda line: (order.index(line.worst), line.kind, line.serial))
    counted = {line.record.serial for line in instrument_lists.count_list(opened)}
    return show(
        request,
        opened,
        "compaction/apparatus.html",
        lines=[(line, KINDS.get(line.kind, line.kind)) for line in lines],
        not_registered=sorted(counted - set(found)),
        gauges=any(line.kind == "nuclear_gauge" for line in lines),
    )


def _today(opened: Open, now: datetime) -> Any:
    return now.astimezone(opened.project.zone_info).date()


@require_safe
@project_page()
def instrument(request: HttpRequest, opened: Open, now: datetime, serial: str) -> HttpResponse:
    """One instrument: state, records with their repeats, counts, the tests that used it."""
    return _page(request, opened, now, serial)


def _page(
    request: HttpRequest,
    opened: Open,
    now: datetime,
    serial: str,
    *,
    form: CountForm | None = None,
    preview: Any = None,
) -> HttpResponse:
    line = instrument_lists.instrument_list(opened, today=_today(opened, now)).get(serial)
    counts = instrument_lists.count_list(opened, serial=serial)
    if line is None and not counts:
        raise Http404("There is no such instrument in this project.")
    is_gauge = line is None or line.kind == "nuclear_gauge"
    tests, used = instrument_use.recent(
        opened.project, instrument_use.reached_through(opened.project, serial), limit=MOST_TESTS
    )
    rule = instruments.rule_on(instrument_lists.rules(opened).get(serial, ()), _today(opened, now))
    return show(
        request,
        opened,
        "compaction/instrument.html",
        status=422 if form is not None and form.errors else None,
        serial=serial,
        line=line,
        kind=KINDS.get(line.kind, line.kind) if line else "nuclear gauge",
        is_gauge=is_gauge,
        records=[(item, _worked(opened, item)) for item in reversed(line.records)] if line else [],
        counts=counts,
        newest_counts=counts[::-1][:NEWEST_COUNTS],
        older_counts=counts[::-1][NEWEST_COUNTS:MOST_COUNTS],
        judged=any(one.judged for one in counts),
        with_moisture=any(one.judged and one.record.moisture_counts for one in counts),
        rule=rule,
        usual_rule=rule == DEFAULT_RULE,
        tests=tests,
        used=used,
        count_form=form or _count_form(opened, now, counts),
        preview=preview,
    )


def _worked(opened: Open, line: RecordLine) -> list[tuple[Any, list[Any]]]:
    """Each calibration, with the working of each of its weighings."""
    return [
        (one, [(weighing.written, display.step_lines(opened.project, weighing.steps)) for weighing in one.weighings])
        for one in line.record.calibrations
    ]


def _count_form(opened: Open, now: datetime, counts: list[Any], data: Any = None) -> CountForm:
    replaceable = [
        (str(one.uuid), f"{one.record.taken_at.astimezone(opened.project.zone_info):%Y-%m-%d %H:%M}")
        for one in counts[::-1][:MOST_COUNTS]
        if not one.replaced
    ]
    initial = {"taken_at": as_typed(opened.project, now), "person": opened.actor.person}
    return CountForm(data, initial=initial, replaceable=replaceable)


@require_POST
@project_page("enter-count")
def count(request: HttpRequest, opened: Open, now: datetime, serial: str) -> HttpResponse:
    """Enter a count, or look at what it would change."""
    counts = instrument_lists.count_list(opened, serial=serial)
    form = _count_form(opened, now, counts, request.POST)
    if not form.is_valid():
        return _page(request, opened, now, serial, form=form)
    try:
        body = form.body(serial=serial, taken_at=with_offset(opened.project, form.cleaned_data["taken_at"]))
    except MomentNotUnderstood as error:
        tell(form, "/taken_at", str(error))
        return _page(request, opened, now, serial, form=form)
    if "look" in request.POST:
        preview = attempt(form, lambda: instrument_previews.preview_count(opened=opened, body=body, now=now))
        return _page(request, opened, now, serial, form=form, preview=preview)
    key = form.cleaned_data["client_uuid"]
    done = attempt(form, lambda: standard_counts.enter(opened=opened, client_uuid=key, body=body, now=now))
    if done is None:
        return _page(request, opened, now, serial, form=form)
    told = next(one for one in instrument_lists.count_list(opened, serial=serial) if one.uuid == key)
    level = messages.SUCCESS if told.accepted is not False else messages.ERROR
    messages.add_message(request, level, told.sentence or "The counts are entered.")
    return redirect("instrument", opened.project.code, serial)


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-apparatus")
def record(request: HttpRequest, opened: Open, now: datetime, serial: str = "") -> HttpResponse:
    """A new instrument or the next record of one; first what it would change, then save."""
    known = instrument_lists.instrument_list(opened, today=_today(opened, now))
    line = known.get(serial) if serial else None
    if serial and line is None:
        raise Http404("There is no such instrument in this project.")
    content = instruments.content_of_newest(opened.project, serial) if line else {}
    form = RecordForm(request.POST or None, initial=_initial(line, opened, now, serial), known=bool(line))
    preview = None
    if request.method == "POST" and form.is_valid():
        code = serial or form.cleaned_data["serial"]
        rev = len(known[code].records) + 1 if code in known else 1
        body = form.body(carried=content)
        if "look" in request.POST:
            preview = attempt(
                form,
                lambda: instrument_previews.preview_record(opened=opened, serial=code, rev=rev, body=body, now=now),
            )
        else:
            issued = attempt(
                form, lambda: apparatus_actions.register(opened=opened, serial=code, rev=rev, body=body, now=now)
            )
            if issued is not None:
                messages.success(request, f"Record {rev} of {code} is entered; tests that use it are looked at again.")
                return redirect("instrument", opened.project.code, code)
    return show(
        request,
        opened,
        "compaction/instrument_entry.html",
        status=422 if request.method == "POST" and form.errors else None,
        form=form,
        serial=serial,
        next_rev=len(line.records) + 1 if line else 1,
        preview=preview,
    )


def _initial(line: InstrumentLine | None, opened: Open, now: datetime, serial: str) -> dict[str, Any]:
    initial: dict[str, Any] = {"serial": serial, "valid_from": _today(opened, now)}
    if line is None:
        return initial
    newest = line.newest.record
    initial |= {"kind": newest.kind, "name": newest.name, "belongs_to": newest.belongs_to}
    if newest.calibrations:
        initial["quantity"] = newest.calibrations[0].quantity
        if newest.calibrations[0].written:
            initial["unit"] = newest.calibrations[0].written[0].rpartition(" ")[2]
    if newest.count_rule is not None:
        initial["count_interval_days"] = newest.count_rule.interval_days
    return initial
