"""Locations as drawing, as files to take along, and as layers of the map."""

from datetime import datetime
from decimal import Decimal

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.coverage.location_files import MEDIA, write
from compaction.coverage.locations import WORDS
from compaction.maps import location_layers
from compaction.plots import cell_plan
from compaction.plots.cell_plan import CellShape, PlanSpot
from compaction.queries import layers as map_rows
from compaction.queries import set_up
from compaction.queries.location_places import places, stakes
from compaction.queries.locations import GroupPlan, group_plans
from compaction.queries.rows import TestFilter, test_rows
from compaction.register import mark
from compaction.views.display import word
from compaction.views.layers import chosen_lift, geojson, ground_of
from compaction.views.locations import asked
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.geometry.conversion import station_text
from projects.geometry.station_format import StationFormat
from projects.views.opening import project_json, project_page


@require_safe
@project_page()
def plan_svg(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Cells, locations and tests of a group; the line with the most fill where there are several."""
    plan = asked(request, opened)
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    code = max(plan.grounds, key=lambda one: one.area_m2).alignment if plan.grounds else ""
    line, style = under.alignments_at(now).get(code), StationFormat(under.station_digits, 0)

    def station(station_m: float) -> str:
        assert line is not None
        return station_text(line, Decimal(repr(round(station_m, 4))), style)

    return svg_answer(
        cell_plan.draw(
            shapes=[
                CellShape(cell.number, cell.state, location_layers.pieces(plan.division, cell))
                for cell in plan.cells
                if cell.alignment == code
            ],
            locations=[
                PlanSpot(one.station_m, one.offset_m, one.state, str(one.cell))
                for one in plan.locations
                if one.alignment == code
            ],
            tests=_tests(opened, plan, code),
            title=f"{word(opened.project, 'lift').capitalize()} {plan.lift}, {plan.area}",
            station_text=station if line else None,
            unit=line.unit.symbol if line else "m",
            unit_m=float(line.unit.metres) if line else 1.0,
        )
    )


def _tests(opened: Open, plan: GroupPlan, code: str) -> list[PlanSpot]:
    mine = {test.uuid for test in plan.tests}
    spots = []
    for row in test_rows(opened, TestFilter(lift=plan.lift), limit=None):
        place = (row.station_m, row.offset_m) if code and row.alignment == code else (None, None)
        if not code:
            place = (row.easting_m, row.northing_m)
        if row.uuid in mine and place[0] is not None and place[1] is not None:
            spots.append(PlanSpot(float(place[0]), float(place[1]), mark(row), row.name))
    return spots


@require_safe
@project_page()
def file(request: HttpRequest, opened: Open, now: datetime, kind: str) -> HttpResponse:
    """What is still to do, as GPX, KML or GeoJSON; 404 on a site without a map grid."""
    if kind not in MEDIA or not opened.project.epsg_code:
        raise Http404("There is no such file.")
    plan = asked(request, opened)
    title = f"{opened.project.name}, {word(opened.project, 'lift')} {plan.lift}, {plan.area}"
    text = write(kind, stakes(opened, plan, now=now, only_open=request.GET.get("all") != "yes"), title=title)
    response = HttpResponse(text, content_type=f"{MEDIA[kind]}; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{opened.project.code}-lift-{plan.lift}.{kind}"'
    return response


@require_safe
@project_json()
def cells_layer(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The cells of a lift (or of all) with their states."""
    found = [(plan.division, plan.cells) for plan in group_plans(opened, lift=chosen_lift(request))]
    lines = map_rows.geometry(opened, now=now).lines
    return geojson(location_layers.cells(found, ground=ground_of(opened), alignments=lines))


@require_safe
@project_json()
def locations_layer(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The locations of the draws in force on a lift (or on all)."""
    rows = [
        {
            "uuid": one.line.uuid,
            "area": plan.area,
            "lift": plan.lift,
            "cell": one.line.cell,
            "state": one.line.state,
            "words": WORDS[one.line.state],
            "station": one.station_text,
            "offset": one.offset_text,
            "elevation": one.elevation_text,
            "substituted": one.line.attempt > 0,
            "test": one.line.ticked.test,
            "easting_m": one.easting_m,
            "northing_m": one.northing_m,
        }
        for plan in group_plans(opened, lift=chosen_lift(request))
        for one in places(opened, plan, now=now)
    ]
    return geojson(location_layers.locations(rows, ground=ground_of(opened)))
