"""Lift by station: what is asked for, what passes and what nobody tested, as a table that leads to the map."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.coverage import matrix
from compaction.coverage.facts import FAILED, OPEN, RELEASED, SHORT, Covered
from compaction.queries import layers as map_rows
from compaction.queries import lift_pages
from compaction.views.csv_file import csv_response
from compaction.views.display import word
from compaction.views.matrix_markup import Head, legend, markup
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.station_format import StationFormat
from projects.views.opening import project_page, show

STATES: Final = (FAILED, SHORT, OPEN, RELEASED)


@dataclass(frozen=True)
class Chosen:
    """What the address asks for, made sensible."""

    alignment: str
    line: Alignment | None
    area: str
    width: int
    widths: tuple[int, ...]
    over: matrix.Columns
    heads: list[Head]


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The matrix, and every lift as a line under it."""
    held = lift_pages.read(opened)
    site = map_rows.geometry(opened, now=now)
    chosen = _chosen(request, held, site)
    rows = _rows(held, chosen)
    groups = [one for one in held.groups if not chosen.area or one.area == chosen.area]
    return show(
        request,
        opened,
        "compaction/coverage.html",
        chosen=chosen,
        areas=sorted({one.area for one in held.groups}),
        alignments=[(code, name) for code, (name, _) in site.alignments.items()],
        rows=len(rows),
        table=markup(rows, chosen.heads, over=chosen.over, lift_word=word(opened.project, "lift")),
        legend=legend(rows),
        groups=sorted(groups, key=lambda one: (-one.lift, one.area)),
        totals=totals(groups),
        unit=chosen.line.unit.symbol if chosen.line else "",
        printed_at=now,
    )


@require_safe
@project_page()
def as_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The matrix as a file: a row for each lift and area, a column for each stretch."""
    held = lift_pages.read(opened)
    chosen = _chosen(request, held, map_rows.geometry(opened, now=now))
    header = [
        "lift", "area", "state", "why", "required", "made", "passing", "short", "failures open", "buried", "retests",
        "quantity, m3", *(f"from {head.text}" for head in chosen.heads),
    ]  # fmt: skip
    rows = (
        [
            row.group.lift, row.group.area, row.group.state, row.group.sentence, row.group.required, row.group.made,
            row.group.passing, row.group.short, row.group.failing, row.group.buried, row.group.retests,
            row.group.volume_m3, *(_told(square) for square in row.squares),
        ]
        for row in _rows(held, chosen)
    )  # fmt: skip
    return csv_response(name=f"{opened.project.code}-coverage", header=header, rows=rows)


def _told(square: matrix.Square) -> str:
    """In words, as "1/2" would become a date in a spreadsheet."""
    if square.state == matrix.EMPTY:
        return ""
    required = "not known" if square.required is None else square.required
    counts = f"{square.passing} of {required}, " if square.figures not in ("", "·") else ""
    return f"{counts}{matrix.WORDS[square.state]}"


def totals(groups: list[Covered]) -> dict[str, int]:
    """How many lifts are in each state, and what is missing."""
    found = {state: sum(one.state == state for one in groups) for state in STATES}
    return {
        **found,
        "missing": sum(one.short for one in groups),
        "short_lifts": sum(one.short > 0 for one in groups),
        "buried": sum(one.buried for one in groups),
        "over_unreleased": sum(one.over_unreleased for one in groups),
        "unknown": sum(one.required is None for one in groups),
    }


def _rows(held: lift_pages.Held, chosen: Chosen) -> list[matrix.Row]:
    groups = [one for one in held.groups if not chosen.area or one.area == chosen.area]
    return matrix.build(groups, placed=held.placed, tested=held.tested, over=chosen.over)


def _chosen(request: HttpRequest, held: lift_pages.Held, site: map_rows.SiteGeometry) -> Chosen:
    lines = site.lines
    asked = request.GET.get("alignment", "")
    code = asked if asked in lines else next(iter(lines), "")
    line = lines.get(code)
    areas = {one.area for one in held.groups}
    area = request.GET.get("area", "")
    area = area if area in areas else ""
    if line is None:
        return Chosen("", None, area, 0, (), matrix.Columns("", ()), [])
    metres = float(line.unit.metres)
    low, high = (end / metres for end in held.extent_m(code, area) or (0.0, metres))
    possible, usual = matrix.widths(high - low, station=10**site.station_digits)
    text = request.GET.get("width", "")
    width = int(text) if text.isascii() and text.isdigit() and len(text) < 5 and int(text) in possible else usual
    over = matrix.columns(alignment=code, from_m=low * metres, to_m=high * metres, width_m=width * metres)
    heads = [_head(line, start, StationFormat(site.station_digits, 0)) for start in over.edges[:-1]]
    return Chosen(code, line, area, width, possible, over, heads)


def _head(line: Alignment, start_m: float, form: StationFormat) -> Head:
    return Head(line.stationing.text(Decimal(repr(start_m / float(line.unit.metres))).quantize(Decimal("0.001")), form))
