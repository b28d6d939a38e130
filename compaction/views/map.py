"""The map page, and its frame in three responses: page, script, style."""

import json
from datetime import date, datetime
from math import isfinite

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from compaction.maps import frame, layers
from compaction.maps.ground import Ground
from compaction.queries import layers as map_rows
from compaction.register import MARK_WORDS
from compaction.views.display import word
from compaction.views.layers import alignment_of, areas_of, ground_of
from projects.access import Open
from projects.geometry.drawing import range_outline
from projects.models import Project
from projects.views.opening import project_page, show

NOBODY = "00000000-0000-0000-0000-000000000000"  # stands for a test in an address that the script completes
LOOK_ASIDE_M = 15.0  # how far to either side of the line a stretch is looked at
LEAFLET = ("js_lib_leaflet/leaflet.js", "js_lib_leaflet/leaflet.css")


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The map with its choices; without a choice in the address it starts with the newest lift."""
    found = map_rows.lifts(opened)
    site = map_rows.geometry(opened, now=now)
    lift = _lift(request, found)
    hidden = set(request.GET.get("hide", "").split(","))
    return show(
        request,
        opened,
        "compaction/map.html",
        lifts=found,
        lift=lift,
        alignments=site.alignments,
        area_kinds={area.kind for area in site.areas},
        marks=[{"key": mark, "words": words, "shown": mark not in hidden} for mark, words in MARK_WORDS.items()],
        date_from=_day(request, "from"),
        date_to=_day(request, "to"),
        look=_look(request, site, ground_of(opened)),
        lifts_address=_lifts_address(opened.project.code),
        frame_address=f"{reverse('map-frame', args=[opened.project.code])}?lift={lift}",
        printed_at=now.astimezone(opened.project.zone_info).strftime("%Y-%m-%d %H:%M"),
    )


def _lift(request: HttpRequest, found: list[map_rows.LiftLine]) -> int | str:
    """The lift asked for if there is one like it, else the newest, else all."""
    asked = request.GET.get("lift", "")
    if asked == "all":
        return "all"
    for line in found:
        if str(line.lift) == asked:
            return line.lift
    newest = map_rows.newest_lift(found)
    return "all" if newest is None else newest


def _lifts_address(code: str) -> str:
    """Where pages of lifts begin: area and number follow."""
    return reverse("lift", args=[code, "area", 0]).removesuffix("area/0")


def _look(request: HttpRequest, site: map_rows.SiteGeometry, ground: Ground) -> str:
    """Bounds to start with, where the address names a stretch: `at=main,335.3,365.8` (stations in metres)."""
    code, *ends = request.GET.get("at", "").rsplit(",", 2)
    line = site.lines.get(code)
    try:
        start, end = (float(text) for text in ends)
    except ValueError:
        return ""
    if line is None or not (isfinite(start) and isfinite(end) and start < end):
        return ""
    outline = range_outline(line, from_m=start, to_m=end, offset_from_m=-LOOK_ASIDE_M, offset_to_m=LOOK_ASIDE_M)
    places = ground.line(outline)
    if not places:
        return ""
    xs, ys = [place[0] for place in places], [place[1] for place in places]
    return json.dumps([[min(ys), min(xs)], [max(ys), max(xs)]])


def _day(request: HttpRequest, name: str) -> str:
    try:
        return date.fromisoformat(request.GET.get(name, "")).isoformat()
    except ValueError:
        return ""


@require_safe
@xframe_options_sameorigin
@project_page()
def frame_page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The frame itself; only our own pages may hold it."""
    drawn = _frame(request, opened, now)
    query = request.META.get("QUERY_STRING", "")
    code = opened.project.code
    return render(
        request,
        "compaction/map_frame.html",
        {
            # Markup of folium and addresses of static files; nothing in it comes from the project.
            "head": mark_safe(drawn.head),
            "body": mark_safe(drawn.body),
            "style_address": reverse("map-frame-style", args=[code]),
            "script_address": reverse("map-frame-script", args=[code]) + (f"?{query}" if query else ""),
        },
    )


@require_safe
@project_page()
def frame_script(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    return HttpResponse(_frame(request, opened, now).script, content_type="text/javascript; charset=utf-8")


@require_safe
@project_page()
def frame_style(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    return HttpResponse(_frame(request, opened, now).style, content_type="text/css; charset=utf-8")


def _frame(request: HttpRequest, opened: Open, now: datetime) -> frame.Frame:
    code = opened.project.code
    lift = request.GET.get("lift", "")
    known = lift.isascii() and lift.isdigit()
    return frame.draw(
        layers=frame.LayerAddresses(
            tests=reverse("layer-test-columns", args=[code]),
            placements=reverse("layer-placements", args=[code]),
            areas=reverse("layer-areas", args=[code]),
            observations=reverse("layer-observations", args=[code]),
            alignment=reverse("layer-alignment", args=[code]),
            test_page=reverse("test", args=[code, NOBODY]),
            story=reverse("map-story", args=[code, NOBODY]),
            cells=reverse("layer-cells", args=[code]),
            locations=reverse("layer-locations", args=[code]),
            lift_page=_lifts_address(code),
            locations_page=reverse("locations", args=[code]),
        ),
        files=frame.Files(
            scripts=(
                static(LEAFLET[0]),
                *(static(f"compaction/{name}.js") for name in ("map_marks", "map_cover", "map_plan")),
            ),
            styles=(static(LEAFLET[1]),),
        ),
        bounds=layers.bounds([alignment_of(opened, now=now), areas_of(opened, now=now)]),
        simple=ground_of(opened).simple,
        tiles=_tiles(opened.project),
        lift=lift if known else "all",
        lift_word=word(opened.project, "lift"),
    )


def _tiles(project: Project) -> frame.Tiles | None:
    """The operator's own background, only where the site has a place on the globe."""
    if not settings.TILE_URL or not project.epsg_code:
        return None
    return frame.Tiles(settings.TILE_URL, settings.TILE_ATTRIBUTION)
