"""The map page, and its frame in three responses: page, script, style."""

from datetime import date

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.clickjacking import xframe_options_sameorigin

from compaction.maps import frame, layers
from compaction.queries import layers as map_rows
from compaction.register import LOOKS, MARK_WORDS
from compaction.views.layers import alignment_of, areas_of, ground_of, with_project
from projects.access import Open
from projects.models import Project, Words

NOBODY = "00000000-0000-0000-0000-000000000000"  # stands for a test in an address that the script completes
WORDS = {
    Words.US: {"lift": "Lift", "lifts": "lifts", "percent": "Percent compaction"},
    Words.SI: {"lift": "Layer", "lifts": "layers", "percent": "Degree of compaction"},
}
LEAFLET = ("js_lib_leaflet/leaflet.js", "js_lib_leaflet/leaflet.css")


@with_project
def page(request: HttpRequest, opened: Open) -> HttpResponse:
    """The map with its choices; without a choice in the address it starts with the newest lift."""
    found = map_rows.lifts(opened)
    lift = _lift(request, found)
    hidden = set(request.GET.get("hide", "").split(","))
    frame_address = f"{reverse('map-frame', args=[opened.project.code])}?lift={lift}"
    return render(
        request,
        "compaction/map.html",
        {
            "project": opened.project,
            "opened": opened,
            "words": WORDS[Words(opened.project.words)],
            "lifts": found,
            "lift": lift,
            "marks": [
                {"mark": mark, "words": words, "look": LOOKS[mark], "shown": mark not in hidden}
                for mark, words in MARK_WORDS.items()
            ],
            "date_from": _day(request, "date_from"),
            "date_to": _day(request, "date_to"),
            "frame_address": frame_address,
            "list_address": _address("test-list", opened.project.code),
            "now": timezone.now().astimezone(opened.project.zone_info),
        },
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


def _day(request: HttpRequest, name: str) -> str:
    try:
        return date.fromisoformat(request.GET.get(name, "")).isoformat()
    except ValueError:
        return ""


def _address(name: str, *args: str) -> str:
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""


@xframe_options_sameorigin
@with_project
def frame_page(request: HttpRequest, opened: Open) -> HttpResponse:
    """The frame itself; only our own pages may hold it."""
    drawn = _frame(request, opened)
    query = request.META.get("QUERY_STRING", "")
    code = opened.project.code
    return render(
        request,
        "compaction/map_frame.html",
        {
            # Markup of folium and addresses of static files; nothing in it comes from the project.
            "head": mark_safe(drawn.head),  # noqa: S308
            "body": mark_safe(drawn.body),  # noqa: S308
            "style_address": reverse("map-frame-style", args=[code]),
            "script_address": reverse("map-frame-script", args=[code]) + (f"?{query}" if query else ""),
        },
    )


@with_project
def frame_script(request: HttpRequest, opened: Open) -> HttpResponse:
    return HttpResponse(_frame(request, opened).script, content_type="text/javascript; charset=utf-8")


@with_project
def frame_style(request: HttpRequest, opened: Open) -> HttpResponse:
    return HttpResponse(_frame(request, opened).style, content_type="text/css; charset=utf-8")


def _frame(request: HttpRequest, opened: Open) -> frame.Frame:
    code = opened.project.code
    lift = request.GET.get("lift", "")
    known = lift.isascii() and lift.isdigit()
    return frame.draw(
        layers=frame.LayerAddresses(
            tests=reverse("layer-tests", args=[code]),
            placements=reverse("layer-placements", args=[code]),
            areas=reverse("layer-areas", args=[code]),
            alignment=reverse("layer-alignment", args=[code]),
            test_page=_address("test", code, NOBODY),
        ),
        files=frame.Files(
            scripts=(static(LEAFLET[0]), static("compaction/map_marks.js"), static("compaction/map_plan.js")),
            styles=(static(LEAFLET[1]),),
        ),
        bounds=layers.bounds([alignment_of(opened), areas_of(opened)]),
        simple=ground_of(opened).simple,
        tiles=_tiles(opened.project),
        lift=lift if known else "all",
    )


def _tiles(project: Project) -> frame.Tiles | None:
    """The operator's own background, only where the site has a place on the globe."""
    if not settings.TILE_URL or not project.epsg_code:
        return None
    return frame.Tiles(settings.TILE_URL, settings.TILE_ATTRIBUTION)
