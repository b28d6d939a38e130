"""The profile under the map: station against elevation, of one alignment, for a lift or for all."""

import json
from datetime import datetime
from decimal import Decimal

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.plots import station_profile
from compaction.plots.station_profile import Band, Spot
from compaction.queries import layers as map_rows
from compaction.queries.rows import TestFilter, placement_rows, test_rows
from compaction.register import PlacementRow, mark
from compaction.views.layers import chosen_lift
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.profile import OutsideProfile
from projects.geometry.station_format import StationFormat
from projects.views.opening import project_page, show

MOST_TESTS = 20_000
SAMPLES = 160


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The profile with its choices."""
    site = map_rows.geometry(opened, now=now)
    alignment = request.GET.get("alignment", "") or next(iter(site.alignments), "")
    lift = chosen_lift(request)
    return show(
        request,
        opened,
        "compaction/station_profile.html",
        alignments=[(code, name) for code, (name, _) in site.alignments.items()],
        alignment=alignment,
        lifts=map_rows.lifts(opened),
        lift="all" if lift is None else lift,
    )


@require_safe
@project_page()
def drawing(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The drawing."""
    site = map_rows.geometry(opened, now=now)
    code = request.GET.get("alignment", "") or next(iter(site.alignments), "")
    if code not in site.lines:
        raise Http404("There is no such alignment.")
    line, lift = site.lines[code], chosen_lift(request)
    rows = [row for row in test_rows(opened, TestFilter(lift=lift), limit=MOST_TESTS) if row.alignment == code]
    placed = [row for row in placement_rows(opened, lift=lift) if row.alignment == code]
    spots = [
        Spot(float(row.station_m), float(row.elevation_m), mark(row), row.name)
        for row in rows
        if row.station_m is not None and row.elevation_m is not None
    ]
    bands = [band for row in placed if (band := _band(row)) is not None]
    station_format, metres = StationFormat(site.station_digits), float(line.unit.metres)
    return svg_answer(
        station_profile.draw(
            lines=surfaces(line),
            bands=bands,
            spots=spots,
            title=f"{site.alignments[code][0]}: {'all lifts' if lift is None else f'lift {lift}'}",
            station_text=lambda station_m: line.stationing.text(Decimal(repr(station_m / metres)), station_format),
            unit=line.unit.symbol,
            unit_m=metres,
            datum=opened.project.vertical_datum,
            without_height=len(rows) - len(spots),
        )
    )


def surfaces(line: Alignment) -> list[tuple[str, list[tuple[float, float]]]]:
    """Finished grade, subgrade and ground on the line, sampled for the eye."""
    step = line.length_m / SAMPLES
    stations = [line.start_station_m + step * number for number in range(SAMPLES + 1)]
    found: dict[str, list[tuple[float, float]]] = {"finished grade": [], "subgrade": [], "original ground": []}
    for station_m in stations:
        if line.ground is not None:
            level = line.ground.elevation_m(station_m=station_m, offset_m=0.0)
            if level is not None:
                found["original ground"].append((station_m, level))
        if line.profile is None:
            continue
        try:
            grade_m = line.profile.elevation_m(station_m)
        except OutsideProfile:
            continue
        section = line.typical_section
        if section is None:
            found["finished grade"].append((station_m, grade_m))
            below_m = line.section.surface_m(grade_line_m=grade_m, offset_m=0.0)
            if below_m != grade_m:
                found["subgrade"].append((station_m, below_m))
            continue
        for name in ("finished_grade", "subgrade"):
            level_m = section.surface_m(name, grade_line_m=grade_m, station_m=station_m, offset_m=0.0)
            found[name.replace("_", " ")].append((station_m, level_m))
    return list(found.items())


def _band(row: PlacementRow) -> Band | None:
    if row.elevation_top_m is None:
        return None
    limits = json.loads(row.limits)
    if "station_from_m" not in limits:
        return None
    return Band(
        lift=row.lift,
        station_from_m=float(limits["station_from_m"]),
        station_to_m=float(limits["station_to_m"]),
        top_m=float(row.elevation_top_m),
        thickness_m=None if row.thickness_m is None else float(row.thickness_m),
    )
