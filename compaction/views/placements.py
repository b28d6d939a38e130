"""Fill as placed: the list and a new entry."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import placements as placement_actions
from compaction.forms.placements import PlacementForm
from compaction.queries import set_up
from compaction.queries.rows import placement_rows
from compaction.views.acting import attempt
from compaction.views.csv_file import csv_response
from compaction.views.display import local
from compaction.views.project_time import as_typed, record_body
from projects.access import Open
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def placements(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Highest lift first, as in the ground; whoever may records another."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    form = PlacementForm(
        request.POST or None,
        project=opened.project,
        alignments=sorted(under.alignments),
        initial={"placed_at": as_typed(opened.project, now)},
    )
    if request.method == "POST":
        opened.require("submit-placement")
        done = form.is_valid() and attempt(form, lambda: _record(opened, form, now), moment="placed_at")
        if done:
            messages.success(request, "The placement is on record; failures beneath it are looked at again.")
            return redirect("placements", opened.project.code)
    rows = placement_rows(opened)[::-1]
    units = {line.unit.symbol for line in under.alignments_at(now).values()}
    return show(
        request,
        opened,
        "compaction/placements.html",
        status=422 if form.errors else None,
        rows=rows,
        form=form,
        areas=dict.fromkeys([*sorted({row.area for row in rows}), *sorted(under.areas)]),
        has_alignment=bool(under.alignments),
        offset_unit=units.pop() if len(units) == 1 else "",  # as written, in the unit of the alignment
    )


def _record(opened: Open, form: PlacementForm, now: datetime) -> placement_actions.Placed:
    body = record_body(opened.project, form.given(), moment="placed_at")
    client_uuid = form.cleaned_data["client_uuid"]
    return placement_actions.record(opened=opened, client_uuid=client_uuid, body=body, now=now)


@require_safe
@project_page()
def placements_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The list as a file."""
    header = [
        "area", "lift", "placed at", "alignment", "from station", "to station", "from offset", "to offset",
        "elevation of the top, m", "thickness, m", "quantity, m3", "material", "side", "lot", "not tested, because",
        "version", "by", "id",
    ]  # fmt: skip
    rows = (
        [
            row.area, row.lift, local(opened.project, row.placed_at).isoformat(), row.alignment, row.station_from,
            row.station_to, row.offset_from, row.offset_to, row.elevation_top_m, row.thickness_m, row.quantity_m3,
            row.material, row.side, row.lot, row.not_tested, row.version, row.author, row.uuid,
        ]
        for row in placement_rows(opened)
    )  # fmt: skip
    return csv_response(name=f"{opened.project.code}-placements", header=header, rows=rows)
