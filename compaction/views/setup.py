"""What is still missing before a project can take tests, and the forms for its lines and areas."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import place
from compaction.actions.refusals import Refused
from compaction.calculations.quantities import quantise
from compaction.forms.places import AreaForm, BaselineForm
from compaction.queries import limits, set_up
from compaction.views.acting import attempt
from compaction.views.display import word
from projects import access
from projects.access import Open
from projects.actions.place import RevisionConflict
from projects.models import DeviceKey
from projects.views.opening import project_page, show


@dataclass(frozen=True)
class Item:
    """One line of the checklist."""

    done: bool
    needed: bool  # without it a test has no result
    title: str
    state: str
    url: str = ""


@require_safe
@project_page()
def setup(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The checklist with the forms."""
    return _page(request, opened, now)


def _page(
    request: HttpRequest,
    opened: Open,
    now: datetime,
    baseline: BaselineForm | None = None,
    area: AreaForm | None = None,
) -> HttpResponse:
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    unit = "ft" if opened.project.units == "pcf" else "m"
    return show(
        request,
        opened,
        "compaction/set_up.html",
        status=422 if baseline or area else None,
        items=_items(opened, under),
        alignments=[(code, entries[-1]) for code, entries in sorted(under.alignments.items())],
        areas=[(code, entries[-1]) for code, entries in sorted(under.areas.items())],
        baseline_form=baseline or BaselineForm(initial={"unit": unit, "coordinate_unit": unit}),
        area_form=area or AreaForm(alignments=sorted(under.alignments)),
        open_baseline=bool(baseline) or not under.alignments,
        open_area=bool(area),
    )


def _items(opened: Open, under: set_up.SetUp) -> list[Item]:
    project = opened.project
    roles = {member.role for member in access.roster(project)}
    missing_roles = [name for name in ("technician", "laboratory", "engineer") if name not in roles]
    references = [entries for entries in under.references.values() if any(e.approved_at for e in entries)]
    specifications = [entries for entries in under.specifications.values() if any(e.approved_at for e in entries)]
    keys = DeviceKey.objects.filter(project=project, revoked_at__isnull=True).count()
    zones = [entries for entries in under.areas.values() if entries[-1].kind == "zone"]
    curve, curves = word(project, "reference"), word(project, "references")
    no_line = "stations have no line to stand on yet"
    no_area = "optional: criteria can name an area, and exempt areas are drawn"
    no_curve = f"no {curve} yet; percent compaction has no maximum to go by"
    no_criteria = "no criteria yet; tests are worked out but not judged"
    staffed = f"still without: {', '.join(missing_roles)}" if missing_roles else f"{len(under.roster)} on the roster"
    keyed = f"{keys} in force" if keys else "optional: for phones and programs that post tests"
    return [
        Item(bool(under.alignments), True, "Alignment", _named(under.alignments) or no_line),
        Item(bool(zones), False, "Areas", _named(under.areas) or no_area),
        Item(bool(references), True, curves, _counted(len(references), len(under.references), no_curve), "references"),
        Item(
            bool(specifications),
            True,
            "Specification",
            _counted(len(specifications), len(under.specifications), no_criteria),
            "specifications",
        ),
        Item(not missing_roles, True, "People", staffed, "people"),
        Item(bool(keys), False, "Device keys", keyed, "keys" if opened.may("manage-keys") else ""),
    ]


def _named(entries: dict[str, Any]) -> str:
    return ", ".join(sorted(entries))


def _counted(approved: int, known: int, none: str) -> str:
    if not known:
        return none
    return f"{approved} of {known} approved" + (
        "" if approved else "; results stay provisional until an engineer approves"
    )


@require_POST
@project_page("set-up")
def add_baseline(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Add a baseline, or the next revision of one."""
    form = BaselineForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        under = set_up.load(opened.project, setup_seq=opened.setup_seq)
        return _issue(
            lambda: place.issue_alignment(
                opened=opened,
                code=given["code"],
                rev=len(under.alignments.get(given["code"], [])) + 1,
                name=given["name"],
                content={
                    "kind": "baseline",
                    "unit": given["unit"],
                    "coordinate_unit": given["coordinate_unit"],
                    "start_station": given["start_station"],
                    "points": given["points"],
                },
                now=now,
            )
        )

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, f"Alignment {form.cleaned_data['code']} is in force.")
        return redirect("set-up", opened.project.code)
    return _page(request, opened, now, baseline=form)


@require_POST
@project_page("set-up")
def add_area(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Add a zone or an exempt area between two stations and two offsets."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    form = AreaForm(request.POST, alignments=sorted(under.alignments))

    def work() -> Any:
        given = form.cleaned_data
        names = ("alignment", "station_from", "station_to", "offset_from", "offset_to")
        found = limits.range_from_text(under, moment=now, **{name: given[name] for name in names})
        content = {"alignment": found.alignment}
        for name in ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m"):
            content[name] = format(quantise(getattr(found, name)).normalize(), "f")
        return _issue(
            lambda: place.issue_area(
                opened=opened,
                code=given["code"],
                rev=len(under.areas.get(given["code"], [])) + 1,
                name=given["name"],
                kind=given["kind"],
                content=content,
                reason=given["reason"],
                now=now,
            )
        )

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, f"Area {form.cleaned_data['code']} is in force; tests are placed anew.")
        return redirect("set-up", opened.project.code)
    return _page(request, opened, now, area=form)


def _issue(work: Any) -> Any:
    try:
        return work()
    except RevisionConflict as error:
        raise Refused(f"{error} Somebody else changed it in between; look again.") from error
