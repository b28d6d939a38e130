"""Where to test next: the list of lifts, one lift with its cells and locations, drawing and substituting."""

import json
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import locations as actions
from compaction.actions import substitutions
from compaction.coverage import cells, sampling
from compaction.coverage.locations import WORDS
from compaction.facts import Looks
from compaction.forms.locations import DrawForm, SubstituteForm
from compaction.queries import locations as queries
from compaction.queries import set_up
from compaction.queries.location_places import places
from compaction.queries.locations import GroupPlan
from compaction.records.locations import REDRAW_REASONS, SUBSTITUTION_REASONS
from compaction.views.acting import attempt
from compaction.views.display import length
from projects.access import Open
from projects.geometry.conversion import station_text
from projects.geometry.positions import offset_text
from projects.geometry.station_format import StationFormat
from projects.views.opening import project_page, show

FILE_WORDS = {"gpx": "GPX (receivers)", "kml": "KML", "geojson": "GeoJSON"}


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """One area on one lift if the address names it, else the lifts to choose from."""
    if "area" in request.GET or "lift" in request.GET:
        return _page(request, opened, now, asked(request, opened))
    return show(request, opened, "compaction/locations_list.html", lines=queries.group_lines(opened))


def asked(request: HttpRequest, opened: Open) -> GroupPlan:
    """The group that the address names; 404 where nothing is placed."""
    lift = request.GET.get("lift", "")
    known = lift.isascii() and lift.isdigit() and len(lift) <= 4
    found = queries.group_plan(opened, request.GET.get("area", ""), int(lift)) if known else None
    if found is None:
        raise Http404("Nothing is placed there.")
    return found


def address_of(opened: Open, name: str, plan: GroupPlan, *parts: str) -> str:
    """An address of a group's page or file."""
    query = urlencode({"area": plan.area, "lift": str(plan.lift)})
    return f"{reverse(name, args=[opened.project.code, *parts])}?{query}"


def _page(request: HttpRequest, opened: Open, now: datetime, plan: GroupPlan, **refused: Form) -> HttpResponse:
    drawn = None if plan.draw is None else json.loads(plan.draw.drawn)
    rows = _rows(opened, plan, now, refused.get("substitute"))
    return show(
        request,
        opened,
        "compaction/locations.html",
        status=422 if refused else None,
        plan=plan,
        rows=rows,
        next_row=next((row for row in rows if row["state"] == "open"), None),
        counts={state: sum(cell.state == state for cell in plan.cells) for state in ("untested", "tested", "failing")},
        cell_m2=plan.cells and sum(ground.area_m2 for ground in plan.grounds) / len(plan.cells),
        drawn=drawn,
        margin=drawn and length(opened.project, Decimal(drawn["edge_margin_m"])),
        within=drawn and length(opened.project, Decimal(drawn["done_within_m"])),
        draws=[
            {"row": row, "why": REDRAW_REASONS.get(row.reason_code, ""), "number": number}
            for number, row in enumerate(plan.draws, start=1)
        ][::-1],
        draw_form=refused.get("draw") or _draw_form(opened, plan),
        drawing_failed="draw" in refused,
        pattern=_pattern(opened, plan, now),
        plan_address=address_of(opened, "locations-plan", plan),
        files=[(FILE_WORDS[kind], address_of(opened, "locations-file", plan, kind)) for kind in FILE_WORDS],
        on_grid=bool(opened.project.epsg_code),
    )


def _draw_form(opened: Open, plan: GroupPlan) -> DrawForm:
    """As the last draw of the project was asked for, which is the site's habit; the number comes from the rule."""
    last = queries.last_content(opened)
    initial: dict[str, Any] = {name: last[name] for name in ("edge_margin", "done_within") if name in last}
    if plan.draw is not None:
        initial |= {"replaces": str(plan.draw.client_uuid)}
        initial |= {"reason_code": "fill_placed_since" if plan.fill_changed else "number_changed"}
    return DrawForm(
        project=opened.project,
        again=plan.draw is not None,
        initial={**initial, "area": plan.area, "lift": plan.lift, "tests": plan.required or len(plan.cells) or None},
    )


def _rows(opened: Open, plan: GroupPlan, now: datetime, refused: Form | None) -> list[dict[str, Any]]:
    lines = set_up.load(opened.project, setup_seq=opened.setup_seq)
    alignments, style = lines.alignments_at(now), StationFormat(lines.station_digits)

    def at(alignment: str, station_m: str, offset_m: str) -> str:
        line = alignments.get(alignment)
        if line is None:
            return f"{Decimal(station_m):.1f}, {Decimal(offset_m):.1f} m"
        return f"{station_text(line, Decimal(station_m), style)}, {offset_text(line, Decimal(offset_m))}"

    rows = []
    for found in places(opened, plan, now=now):
        line = found.line
        mine = refused if refused is not None and refused.data.get("location") == line.uuid else None
        initial = {"draw": str(plan.draw.client_uuid) if plan.draw else "", "location": line.uuid}
        rows.append(
            {
                "found": found,
                "line": line,
                "state": line.state,
                "words": WORDS[line.state],
                "away": None if line.ticked.distance_m is None
                else length(opened.project, Decimal(str(round(line.ticked.distance_m, 3)))),
                "instead_of": [
                    at(line.alignment, one["station_m"], one["offset_m"]) for one in line.instead_of
                ],
                "why": SUBSTITUTION_REASONS.get(line.reason_code, ""),
                "form": mine or SubstituteForm(initial=initial, auto_id=f"s{line.cell}_%s"),
                "refused": mine is not None,
            }
        )  # fmt: skip
    return rows


def _pattern(opened: Open, plan: GroupPlan, now: datetime) -> dict[str, Any] | None:
    """How the tests lie, on the largest ground of the group."""
    if not plan.grounds:
        return None
    ground = max(plan.grounds, key=lambda one: one.area_m2)
    if ground.area_m2 <= 0:
        return None
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    line, style = under.alignments_at(now).get(ground.alignment), StationFormat(under.station_digits, 0)

    def word(station_m: float) -> str:
        return f"station {station_text(line, Decimal(repr(station_m)), style)}" if line else f"{station_m:.0f} m"

    points = [
        place for test in plan.tests if cells.counts(test) and (place := cells.place_on(ground, test)) is not None
    ]
    # The edge is a share of the mean width; both figures are of the specification in force.
    specification = under.specification(plan.placements[0].zone, now)
    looks = specification.looks if specification else Looks()
    edge_m = ground.area_m2 / ground.length_m * float(looks.edge_strip_pct) / 100
    found = sampling.pattern(
        ground,
        points,
        edge_m=edge_m,
        notable=float(looks.chosen_places_below_pct) / 100,
        station_word=word,
        edge_word=length(opened.project, Decimal(str(round(edge_m, 3)))),
    )
    shares = [
        {"what": one.what, "tests": one.tests, "of": one.of, "expected": f"{one.expected_share:.0%}",
         "chance": sampling.odds(one.probability)}
        for one in found.shares
    ]  # fmt: skip
    return {
        "found": found,
        "shares": shares,
        "looks": looks,
        "chance": found.neighbours and sampling.odds(found.neighbours.probability_of_closer),
        "along": found.along and sampling.odds(found.along.probability),
    }


# ---- doing ---------------------------------------------------------------------------------------
@require_POST
@project_page("draw-locations")
def draw(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Draw for the group that the form names."""
    plan = _of_form(request, opened)
    form = DrawForm(request.POST, project=opened.project, again=plan.draw is not None)

    def work() -> Any:
        return actions.draw(opened=opened, client_uuid=form.cleaned_data["client_uuid"], body=form.body(), now=now)

    return _done(request, opened, now, plan, form, "draw", work, "Drawn, with seed and numbers on record.")


@require_POST
@project_page("draw-locations")
def substitute(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Take another place for one location."""
    plan = _of_form(request, opened)
    form = SubstituteForm(request.POST, auto_id=f"s{request.POST.get('cell', '')[:4]}_%s")

    def work() -> Any:
        given = form.cleaned_data
        return substitutions.substitute(
            opened=opened,
            draw_uuid=given["draw"],
            location=given["location"],
            client_uuid=given["client_uuid"],
            body=form.body(),
            now=now,
        )

    return _done(
        request, opened, now, plan, form, "substitute", work, "Another place stands; the first one is kept on record."
    )


def _of_form(request: HttpRequest, opened: Open) -> GroupPlan:
    lift = request.POST.get("lift", "")
    known = lift.isascii() and lift.isdigit() and len(lift) <= 4
    found = queries.group_plan(opened, request.POST.get("area", ""), int(lift)) if known else None
    if found is None:
        raise Http404("Nothing is placed there.")
    return found


def _done(
    request: HttpRequest,
    opened: Open,
    now: datetime,
    plan: GroupPlan,
    form: Form,
    name: str,
    work: Callable[[], Any],
    said: str,
) -> HttpResponse:
    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, said)
        return redirect(address_of(opened, "locations", plan))
    return _page(request, opened, now, plan, **{name: form})
