"""Proof rolls and observed areas: the list, a new entry, the map's layer."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from compaction.actions import observed_areas as actions
from compaction.actions.kept import Kept
from compaction.forms.observed_areas import ObservedAreaForm
from compaction.maps import layers as map_layers
from compaction.queries import layers as map_rows
from compaction.queries import observed_areas as query
from compaction.queries import set_up
from compaction.records.observed_area import KINDS, REASONS
from compaction.views.acting import attempt
from compaction.views.layers import chosen_lift, geojson, ground_of
from compaction.views.project_time import as_typed, record_body
from projects.access import Open
from projects.views.opening import project_json, project_page, show

#: how a record looks in a list: the mark of a test that says as much
MARKS = {"stable": "pass", "pumping": "fail", "rutting": "fail", "": "no_result"}


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def observed_areas(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The newest first; whoever may records another."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    form = ObservedAreaForm(
        request.POST or None,
        project=opened.project,
        alignments=sorted(under.alignments),
        initial={"observed_at": as_typed(opened.project, now)},
    )
    if request.method == "POST":
        opened.require("record-observation")
        done = form.is_valid() and attempt(form, lambda: _record(opened, form.cleaned_data, now), moment="observed_at")
        if done:
            messages.success(request, "The observation is on record. It counts as no test.")
            return redirect("observed-areas", opened.project.code)
    return show(
        request,
        opened,
        "compaction/observed_areas.html",
        status=422 if form.errors else None,
        lines=lines(query.rows(opened)),
        form=form,
        has_alignment=bool(under.alignments),
    )


def lines(rows: list[query.ObservedAreaRow]) -> list[dict[str, Any]]:
    """Rows with their words and marks."""
    return [
        {
            "row": row,
            "kind": KINDS[row.kind],
            "mark": "voided" if row.replaced else MARKS[row.verdict],
            "reason": REASONS.get(row.reason_code, ""),
        }
        for row in rows
    ]


def _record(opened: Open, given: dict[str, Any], now: datetime) -> Kept[Any]:
    body = record_body(opened.project, given, moment="observed_at")
    return actions.record(opened=opened, client_uuid=given["client_uuid"], body=body, now=now)


@require_safe
@project_json()
def layer(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Records that stand, as outlines on the map."""
    rows = [row for row in query.rows(opened, lift=chosen_lift(request)) if not row.replaced]
    site = map_rows.geometry(opened, now=now)
    return geojson(
        map_layers.observations(
            rows,
            ground=ground_of(opened),
            alignments=site.lines,
            zone_info=opened.project.zone_info,
            kinds=KINDS,
        )
    )
