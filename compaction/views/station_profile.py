"""The profile under the map: station against elevation, of one alignment, for a lift or for all."""

import json
from datetime import datetime
from decimal import Decimal

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.coverage import bands, matrix
from compaction.evaluation.supervision.facts import together
from compaction.plots import station_profile
from compaction.plots.station_profile import Band, Spot, Untested
from compaction.queries import layers as map_rows
from compaction.queries import lift_pages, map_tests, set_up
from compaction.queries.rows import placement_rows
from compaction.register import PlacementRow, mark
from compaction.views.display import length, thickness
from compaction.views.layers import chosen_lift
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.profile import OutsideProfile
from projects.geometry.station_format import StationFormat
from projects.views.opening import project_page, show

SAMPLES = 160
#: bands in the list and the drawing; more than these no eye would tell apart
MOST_BANDS = 60


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The profile with its choices, and the elevations without a test in words."""
    site = map_rows.geometry(opened, now=now)
    alignment = _alignment(request, site)
    lift = chosen_lift(request)
    found = _untested(opened, site, alignment, lift)
    return show(
        request,
        opened,
        "compaction/station_profile.html",
        alignments=[(code, name) for code, (name, _) in site.alignments.items()],
        alignment=alignment,
        lifts=map_rows.lifts(opened),
        lift="all" if lift is None else lift,
        bands=[_told(opened, site, alignment, number, band) for number, band in enumerate(found.bands[:MOST_BANDS], 1)],
        bands_in_all=len(found.bands),
        unknown=[_stretch(site, alignment, *ends) for ends in found.unknown],
    )


@require_safe
@project_page()
def drawing(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The drawing."""
    site = map_rows.geometry(opened, now=now)
    code = _alignment(request, site)
    if code not in site.lines:
        raise Http404("There is no such alignment.")
    line, lift = site.lines[code], chosen_lift(request)
    rows = map_tests.on_line(opened, alignment=code, lift=lift)
    placed = [row for row in placement_rows(opened, lift=lift) if row.alignment == code]
    spots = [Spot(row.station_m, row.elevation_m, mark(row)) for row in rows if row.elevation_m is not None]
    found = _untested(opened, site, code, lift)
    return svg_answer(
        station_profile.draw(
            lines=surfaces(line),
            bands=[band for row in placed if (band := _band(row)) is not None],
            spots=spots,
            title=f"{site.alignments[code][0]}: {'all lifts' if lift is None else f'lift {lift}'}",
            station_text=lambda station_m: _station(site, code, station_m),
            unit=line.unit.symbol,
            unit_m=float(line.unit.metres),
            datum=opened.project.vertical_datum,
            without_height=len(rows) - len(spots),
            missing=[
                Untested(number, band.station_from_m, band.station_to_m, band.bottom_m, band.top_m)
                for number, band in enumerate(found.bands[:MOST_BANDS], 1)
            ],
        )
    )


def _alignment(request: HttpRequest, site: map_rows.SiteGeometry) -> str:
    return request.GET.get("alignment", "") or next(iter(site.alignments), "")


def _untested(opened: Open, site: map_rows.SiteGeometry, code: str, lift: int | None) -> bands.Untested:
    """Elevations without a test over all lifts; of one lift alone there are none to be told."""
    line = site.lines.get(code)
    if line is None or lift is not None:
        return bands.Untested()
    held = lift_pages.read(opened, elevations=True)
    extent = held.extent_m(code)
    if extent is None:
        return bands.Untested()
    metres = float(line.unit.metres)
    _, width = matrix.widths((extent[1] - extent[0]) / metres, station=10**site.station_digits)
    over = matrix.columns(alignment=code, from_m=extent[0], to_m=extent[1], width_m=width * metres)
    placed, tested = held.on(code)
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    in_force = (under.specification(one.zone, one.placed_at) for one in placed)
    looks = together(facts.looks for facts in in_force if facts is not None)
    return bands.missing(placed, tested, edges=over.edges, read_to_m=float(looks.elevations_read_to_m))


def _told(opened: Open, site: map_rows.SiteGeometry, code: str, number: int, band: bands.Band) -> dict[str, object]:
    project = opened.project
    bottom, top, height, thick = (
        Decimal(repr(round(value, 4))) for value in (band.bottom_m, band.top_m, band.height_m, band.lift_thickness_m)
    )
    return {
        "number": number,
        "stations": _stretch(site, code, band.station_from_m, band.station_to_m),
        "elevations": f"{length(project, bottom, unit=False)} to {length(project, top)}",
        "height": length(project, height),
        "lifts": round(band.height_m / band.lift_thickness_m, 1),
        "thickness": thickness(project, thick),
        "at": f"{code},{band.station_from_m:.1f},{band.station_to_m:.1f}",
    }


def _stretch(site: map_rows.SiteGeometry, code: str, from_m: float, to_m: float) -> str:
    return f"{_station(site, code, from_m)} to {_station(site, code, to_m)}"


def _station(site: map_rows.SiteGeometry, code: str, station_m: float) -> str:
    line = site.lines[code]
    station = Decimal(repr(round(station_m, 4))) / line.unit.metres
    return line.stationing.text(station, StationFormat(site.station_digits))


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
