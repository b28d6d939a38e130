"""Fill as placed: the list and a new entry."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import placements as placement_actions
from compaction.forms.places import PlacementForm
from compaction.queries import set_up
from compaction.queries.rows import placement_rows
from compaction.views.acting import attempt
from compaction.views.csv_file import csv_response
from compaction.views.display import local
from compaction.views.project_time import MomentNotUnderstood, as_typed, with_offset
from projects.access import Open
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def placements(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Lowest lift first, as in the ground; whoever may records another."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    form = PlacementForm(
        request.POST or None,
        project=opened.project,
        alignments=sorted(under.alignments),
        areas=sorted(under.areas),
        initial={"placed_at": as_typed(opened.project, now)},
    )
    if request.method == "POST":
        opened.require("submit-placement")
        if form.is_valid():
            try:
                if attempt(form, lambda: _record(opened, form.cleaned_data, now)) is not None:
                    messages.success(request, "The placement is on record; failures beneath it are looked at again.")
                    return redirect("placements", opened.project.code)
            except MomentNotUnderstood as error:
                form.add_error("placed_at", str(error))
    return show(
        request,
        opened,
        "compaction/placements.html",
        status=422 if form.errors else None,
        rows=placement_rows(opened)[::-1],
        form=form,
        has_alignment=bool(under.alignments),
    )


def _record(opened: Open, given: dict[str, Any], now: datetime) -> placement_actions.Placed:
    body = {
        name: value
        for name, value in given.items()
        if name not in ("client_uuid", "placed_at") and value not in ("", None)
    }
    body["placed_at"] = with_offset(opened.project, given["placed_at"])
    return placement_actions.record(opened=opened, client_uuid=given["client_uuid"], body=body, now=now)


@require_safe
@project_page()
def placements_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The list as a file."""
    header = [
        "area", "lift", "placed at", "alignment", "from station", "to station", "from offset", "to offset",
        "elevation of the top, m", "thickness, m", "quantity, m3", "version", "by", "id",
    ]  # fmt: skip
    rows = (
        [
            row.area, row.lift, local(opened.project, row.placed_at).isoformat(), row.alignment, row.station_from,
            row.station_to, row.offset_from, row.offset_to, row.elevation_top_m, row.thickness_m, row.quantity_m3,
            row.version, row.author, row.uuid,
        ]
        for row in placement_rows(opened)
    )  # fmt: skip
    return csv_response(name=f"{opened.project.code}-placements", header=header, rows=rows)
