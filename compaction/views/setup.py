"""What is still missing before a project can take tests, and the forms for its lines and areas."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import geometry_previews, place
from compaction.actions.refusals import Refused
from compaction.actions.revisions import Issued
from compaction.forms.places import AreaForm, BaselineForm
from compaction.models import GeometryPreview
from compaction.queries import set_up
from compaction.queries.alignments import area_lines, area_size
from compaction.queries.conversion import coordinate_unit
from compaction.queries.rows import has_tests
from compaction.views import area_entry
from compaction.views.acting import attempt
from compaction.views.alignment_drawings import as_address
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
    drawn: tuple[bytes, str] | None = None,
) -> HttpResponse:
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    unit = "ft" if opened.project.units == "pcf" else "m"
    grid_unit = coordinate_unit(opened, now=now).code
    return show(
        request,
        opened,
        "compaction/set_up.html",
        status=422 if (baseline or area) and drawn is None else None,
        items=_items(opened, under),
        alignments=[(code, entries[-1]) for code, entries in sorted(under.alignments.items())],
        areas=[(lines[-1], area_size(opened, lines[-1], now=now)) for _, lines in sorted(area_lines(opened).items())],
        baseline_form=baseline or BaselineForm(initial={"unit": unit, "coordinate_unit": unit}),
        area_form=area or AreaForm(alignments=sorted(under.alignments), initial={"coordinate_unit": grid_unit}),
        drawn=None if drawn is None else as_address(drawn[0]),
        drawn_size="" if drawn is None else drawn[1],
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
    no_apparatus = "optional: tests remark what is out of date or not calibrated as used"
    no_certificate = "optional: once one is kept for a method, tests by people without one are remarked"
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
        Item(bool(under.apparatus), False, "Apparatus", _named(under.apparatus) or no_apparatus, "apparatus"),
        Item(
            bool(under.instruments.certificates),
            False,
            "Operators’ certificates",
            f"{len(under.instruments.certificates)} kept" if under.instruments.certificates else no_certificate,
            "certificates",
        ),
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
        names = ("unit", "coordinate_unit", "start_station", "points")
        content = {"kind": "baseline", **{name: given[name] for name in names}}
        return _ask_or_issue(opened, "alignment", given, content, now)

    if form.is_valid() and (done := attempt(form, work)) is not None:
        return _shown(request, opened, done, f"Alignment {form.cleaned_data['code']} is in force.")
    return _page(request, opened, now, baseline=form)


@require_POST
@project_page("set-up")
def add_area(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Add an area, or the next revision of one; first a look at it, if that is asked for."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    form = AreaForm(request.POST, alignments=sorted(under.alignments))

    def work() -> Any:
        given = form.cleaned_data
        if "look" in request.POST:
            return area_entry.preview(opened, given, now=now)
        return _ask_or_issue(opened, "area", given, area_entry.content_of(opened, given, now=now), now)

    if form.is_valid() and (done := attempt(form, work)) is not None:
        if isinstance(done, tuple):
            return _page(request, opened, now, area=form, drawn=done)
        return _shown(request, opened, done, f"Area {form.cleaned_data['code']} is in force.")
    return _page(request, opened, now, area=form)


def _ask_or_issue(
    opened: Open, kind: str, given: dict[str, Any], content: dict[str, Any], now: datetime
) -> GeometryPreview | Issued:
    """Where tests could move, ask first what would happen to them; else the revision is issued at once."""
    code, name = given["code"], given["name"]
    area_kind, reason = given.get("kind", ""), given.get("reason", "")
    if has_tests(opened):
        return geometry_previews.begin(
            opened=opened,
            client_uuid=uuid4(),
            kind=kind,
            code=code,
            name=name,
            content=content,
            area_kind=area_kind,
            reason=reason,
            now=now,
        )
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    rev = len((under.alignments if kind == "alignment" else under.areas).get(code, [])) + 1
    try:
        if kind == "alignment":
            return place.issue_alignment(opened=opened, code=code, rev=rev, name=name, content=content, now=now)
        return place.issue_area(
            opened=opened, code=code, rev=rev, name=name, kind=area_kind, content=content, reason=reason, now=now
        )
    except RevisionConflict as error:
        raise Refused(f"{error} Somebody else changed it in between; look again.") from error


def _shown(request: HttpRequest, opened: Open, done: GeometryPreview | Issued, sentence: str) -> HttpResponse:
    if isinstance(done, GeometryPreview):
        return redirect("geometry-preview", opened.project.code, done.client_uuid)
    messages.success(request, sentence)
    return redirect("set-up", opened.project.code)
