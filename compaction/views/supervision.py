"""A day's findings for the supervisor: each explained, with its tests, to be dismissed with a reason; the switches."""

from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import supervision as supervision_actions
from compaction.evaluation.supervision.facts import KINDS, USUAL
from compaction.forms.supervision import SeenForm, SwitchForm
from compaction.queries import supervision as query
from compaction.records.looks import looks_words
from compaction.views.acting import attempt
from compaction.views.display import length_unit
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page("see-supervision")
def supervision(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """One day, the newest with tests unless another is asked for."""
    days = query.days(opened)
    asked = request.GET.get("day", "")
    return _page(request, opened, _day(asked) if asked else (days[0] if days else None), days)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Http404("There is no such day.") from None


def _page(
    request: HttpRequest,
    opened: Open,
    day: date | None,
    days: list[date],
    *,
    refused: tuple[str, SeenForm] | None = None,
    refused_switch: tuple[str, SwitchForm] | None = None,
) -> HttpResponse:
    shown = query.on_day(opened, day) if day else []
    looks = query.looks_of(opened, day) if day else USUAL
    forms = {one.id: SeenForm(initial={"basis_digest": one.digest}) for one in shown}
    if refused:
        forms[refused[0]] = refused[1]
    for name, form in forms.items():
        form.auto_id = f"id_%s_{name[:12]}"  # many forms on one page: a label belongs to its own field
    switches: list[dict[str, Any]] = [
        {
            "kind": kind,
            "words": KINDS[kind],
            "on": on,
            "form": refused_switch[1] if refused_switch and refused_switch[0] == kind else SwitchForm(),
        }
        for kind, on in query.switches(opened).items()
    ]
    for line in switches:
        line["form"].auto_id = f"id_%s_{line['kind']}"
    return show(
        request,
        opened,
        "compaction/supervision.html",
        status=422 if refused or refused_switch else None,
        day=day,
        earlier=max((one for one in days if day and one < day), default=None),
        later=min((one for one in days if day and one > day), default=None),
        lines=[
            {"shown": one, "kind": KINDS[one.finding.kind], "form": forms[one.id], "own": _own(opened, one)}
            for one in shown
        ],
        unseen=sum(one.seen is None for one in shown),
        switches=switches,
        all_off=not any(line["on"] for line in switches),
        rate=looks.crew_days_per_finding,
        looks=looks_words(looks, length_unit(opened.project)),
    )


def _own(opened: Open, one: query.Shown) -> bool:
    return opened.actor.person in one.technicians


@require_POST
@project_page("see-supervision")
def dismiss(request: HttpRequest, opened: Open, now: datetime, day: str, finding: str) -> HttpResponse:
    """The finding was looked at; the reason goes on record."""
    on, form = _day(day), SeenForm(request.POST)

    def work() -> Any:
        given = dict(form.cleaned_data)
        client_uuid = given.pop("client_uuid")
        return supervision_actions.dismiss(
            opened=opened, day=on, finding=finding, client_uuid=client_uuid, body=given, now=now
        )

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "What was found is on record. No test is changed by it.")
        return redirect(f"{reverse('supervision', args=[opened.project.code])}?day={on.isoformat()}")
    return _page(request, opened, on, query.days(opened), refused=(finding, form))


@require_POST
@project_page("switch-supervision")
def switch(request: HttpRequest, opened: Open, now: datetime, kind: str) -> HttpResponse:
    """Switch a kind of findings on or off for the project."""
    form = SwitchForm(request.POST)

    def work() -> Any:
        given = dict(form.cleaned_data)
        client_uuid = given.pop("client_uuid")
        return supervision_actions.switch(opened=opened, kind=kind, client_uuid=client_uuid, body=given, now=now)

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "The switch and its reason are on record.")
        return redirect("supervision", opened.project.code)
    days = query.days(opened)
    return _page(request, opened, days[0] if days else None, days, refused_switch=(kind, form))
