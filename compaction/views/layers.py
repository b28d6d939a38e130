"""The map's layers by address, as GeoJSON. Who may open the project may read them; nobody else learns that they exist."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from compaction.maps import layers
from compaction.maps.ground import Ground
from compaction.queries import layers as map_rows
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from projects import access
from projects.access import Open

Rest = ParamSpec("Rest")
LARGEST_LIFT = 100_000


def with_project(
    view: Callable[Concatenate[HttpRequest, Open, Rest], HttpResponse],
) -> Callable[Concatenate[HttpRequest, str, Rest], HttpResponse]:
    """A reading view that gets the project opened instead of its code; GET and HEAD only."""

    @wraps(view)
    def opened(request: HttpRequest, code: str, *args: Rest.args, **kwargs: Rest.kwargs) -> HttpResponse:
        try:
            project = access.open_project(
                request.user,  # type: ignore[arg-type]  # login_required lets nobody else through
                code,
                today=timezone.now().date(),
                request_id=getattr(request, "request_id", ""),
            )
        except access.NotFound:
            raise Http404("There is no such project for you.") from None
        except access.NotAllowed as error:
            raise PermissionDenied(str(error)) from None
        return view(request, project, *args, **kwargs)

    return require_safe(login_required(opened))


def geojson(found: dict[str, Any]) -> JsonResponse:
    return JsonResponse(found, content_type="application/geo+json", json_dumps_params={"separators": (",", ":")})


def ground_of(opened: Open) -> Ground:
    return Ground(opened.project.epsg_code)


def chosen_lift(request: HttpRequest) -> int | None:
    """The lift asked for, None for all of them. A lift that is no number does not exist: 404."""
    asked = request.GET.get("lift", "all")
    if asked == "all":
        return None
    if not (asked.isascii() and asked.isdigit() and int(asked[:9]) < LARGEST_LIFT):
        raise Http404("There is no such lift.")
    return int(asked)


@with_project
def tests(request: HttpRequest, opened: Open) -> HttpResponse:
    """Every test of a lift (or of all), as points."""
    rows = test_rows(opened, TestFilter(lift=chosen_lift(request)), limit=None)
    return geojson(
        layers.tests(
            rows,
            ground=ground_of(opened),
            zone_info=opened.project.zone_info,
            closed_at=map_rows.closings(opened),
        )
    )


@with_project
def placements(request: HttpRequest, opened: Open) -> HttpResponse:
    """Fill as placed in a lift (or in all), as outlines."""
    site = map_rows.geometry(opened, now=timezone.now())
    return geojson(
        layers.placements(
            placement_rows(opened, lift=chosen_lift(request)),
            ground=ground_of(opened),
            alignments=site.lines,
            zone_info=opened.project.zone_info,
        )
    )


@with_project
def areas(_request: HttpRequest, opened: Open) -> HttpResponse:
    """Zones and exempt areas, as outlines."""
    return geojson(areas_of(opened))


def areas_of(opened: Open) -> layers.Json:
    site = map_rows.geometry(opened, now=timezone.now())
    drawn = [layers.DrawnArea(entry.code, entry.name, entry.kind, entry.geometry) for entry in site.areas]
    return layers.areas(drawn, ground=ground_of(opened), alignments=site.lines)


@with_project
def alignment(_request: HttpRequest, opened: Open) -> HttpResponse:
    """Alignments with their station ticks."""
    return geojson(alignment_of(opened))


def alignment_of(opened: Open) -> layers.Json:
    site = map_rows.geometry(opened, now=timezone.now())
    return layers.alignment_lines(site.alignments, ground=ground_of(opened), station_digits=site.station_digits)
