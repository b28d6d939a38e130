"""The map's layers by address, as GeoJSON. Who may open the project may read them, nobody else."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from compaction.maps import layers, test_columns
from compaction.maps.ground import Ground
from compaction.queries import layers as map_rows
from compaction.queries import map_tests
from compaction.queries.coverage import lift_rows
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from projects.access import Open
from projects.views.opening import project_json

LIFT_DIGITS = 4


def geojson(found: dict[str, Any]) -> JsonResponse:
    return JsonResponse(found, content_type="application/geo+json", json_dumps_params={"separators": (",", ":")})


def ground_of(opened: Open) -> Ground:
    return Ground(opened.project.epsg_code)


def chosen_lift(request: HttpRequest) -> int | None:
    """The lift asked for, None for all of them. A lift that is no number does not exist: 404."""
    asked = request.GET.get("lift", "all")
    if asked == "all":
        return None
    if not (asked.isascii() and asked.isdigit() and len(asked) <= LIFT_DIGITS):
        raise Http404("There is no such lift.")
    return int(asked)


@require_safe
@project_json()
def tests(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
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


@require_safe
@project_json()
def test_columns_of(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The same as the map draws them: columns of short values."""
    ground = ground_of(opened)
    rows = map_tests.read(opened, lift=chosen_lift(request), degrees=not ground.simple)
    found = test_columns.tests(
        rows, degrees=not ground.simple, zone_info=opened.project.zone_info, closed_at=map_rows.closings(opened)
    )
    return JsonResponse(found, json_dumps_params={"separators": (",", ":"), "ensure_ascii": False})


test_columns_of.__test__ = False  # type: ignore[attr-defined]  # keeps the test runner from collecting it


@require_safe
@project_json()
def story(request: HttpRequest, opened: Open, now: datetime, uuid: UUID) -> HttpResponse:
    """One test as its short story tells it."""
    rows = test_rows(opened, TestFilter(uuids=(str(uuid),)), limit=1)
    found = layers.tests(
        rows, ground=ground_of(opened), zone_info=opened.project.zone_info, closed_at=map_rows.closings(opened)
    )
    if not found["features"]:
        raise Http404("There is no such test on the map.")
    return JsonResponse(found["features"][0]["properties"])


@require_safe
@project_json()
def placements(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Fill as placed in a lift (or in all), as outlines."""
    site = map_rows.geometry(opened, now=now)
    return geojson(
        layers.placements(
            placement_rows(opened, lift=chosen_lift(request)),
            ground=ground_of(opened),
            alignments=site.lines,
            zone_info=opened.project.zone_info,
            covers={(one.area, one.lift): one for one in lift_rows(opened)},
        )
    )


@require_safe
@project_json()
def areas(_request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Zones and exempt areas, as outlines."""
    return geojson(areas_of(opened, now=now))


def areas_of(opened: Open, *, now: datetime) -> layers.Json:
    site = map_rows.geometry(opened, now=now)
    drawn = [layers.DrawnArea(entry.code, entry.name, entry.kind, entry.geometry) for entry in site.areas]
    return layers.areas(drawn, ground=ground_of(opened), alignments=site.lines)


@require_safe
@project_json()
def alignment(_request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Alignments with their station ticks."""
    return geojson(alignment_of(opened, now=now))


def alignment_of(opened: Open, *, now: datetime) -> layers.Json:
    site = map_rows.geometry(opened, now=now)
    return layers.alignment_lines(site.alignments, ground=ground_of(opened), station_digits=site.station_digits)
