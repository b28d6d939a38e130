"""The list of tests: filters, older ones by position, the same as a file."""

from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.calculations.methods import METHODS
from compaction.calculations.quantities import from_si
from compaction.queries import set_up
from compaction.queries.rows import TestFilter, test_rows
from compaction.register import MARK_WORDS, TestRow, mark
from compaction.views.csv_file import csv_response
from compaction.views.display import length_unit, local
from projects.access import Open
from projects.views.opening import project_page, show

PAGE = 50
MOST_IN_FILE = 50_000
RESULTS = {
    "pass": "passes",
    "fail": "fails",
    "pending": "result awaited",
    "provisional": "provisional",
    "on_hold": "on hold",
    "no_criterion": "no result",
    "voided": "voided",
}


@require_safe
@project_page()
def tests(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Newest first."""
    chosen, problems = chosen_from(request)
    rows = test_rows(opened, chosen, limit=PAGE + 1, after=_position(request.GET.get("after", "")))
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    asked = {name: value for name, value in request.GET.items() if name != "after" and value}
    older = ""
    if len(rows) > PAGE:
        moment, number = rows[PAGE - 1].position
        older = urlencode({**asked, "after": f"{moment}_{number}"})
    return show(
        request,
        opened,
        "compaction/tests.html",
        rows=rows[:PAGE],
        asked=request.GET,
        filtered=bool(asked),
        query=urlencode(asked),
        older=older,
        problems=problems,
        results=RESULTS,
        zones=sorted(under.areas),
        references=sorted(under.references),
        technicians=sorted(under.roster),
    )


@require_safe
@project_page()
def tests_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every test that the list would show, oldest readings and all, as a file."""
    chosen, _ = chosen_from(request)
    rows = test_rows(opened, chosen, limit=MOST_IN_FILE)
    units, feet = opened.project.units, length_unit(opened.project)
    header = [
        "test", "id", "performed at", "received at", "technician", "method", "purpose", "alignment", "station",
        "offset",
        f"elevation, {feet}", "zone", "lift", "reference", f"dry density, {units}", "water content, %",
        "water content from optimum, %", "percent compaction, %", "limit, %", "result", "basis", "mark", "margin",
        "holds", "findings", "version", "retest of", "relative density, %", "its limit, %",
    ]  # fmt: skip
    return csv_response(
        name=f"{opened.project.code}-tests", header=header, rows=(_line(opened, row, units, feet) for row in rows)
    )


def _line(opened: Open, row: TestRow, units: str, feet: str) -> list[Any]:
    dense = None if row.dry_density_kgm3 is None else round(from_si(row.dry_density_kgm3, units), 3)
    high = None if row.elevation_m is None else round(from_si(row.elevation_m, feet), 3)
    return [
        row.label, row.uuid, local(opened.project, row.performed_at).isoformat(),
        local(opened.project, row.received_at).isoformat(), row.technician,
        METHODS[row.method].title if row.method in METHODS else row.method, row.purpose, row.alignment,
        row.station_text, row.offset_text, high, row.zone, row.lift, row.reference_code, dense, row.water_content_pct,
        row.water_content_deviation, row.percent_compaction, row.percent_compaction_minimum, row.result, row.basis,
        MARK_WORDS[mark(row)], row.margin, " ".join(row.open_holds), " ".join(row.finding_codes), row.version,
        row.retest_of, row.relative_density_pct, row.relative_density_minimum,
    ]  # fmt: skip


def chosen_from(request: HttpRequest) -> tuple[TestFilter, list[str]]:
    """The filter from the address, and a sentence for each part that could not be read (and narrows nothing)."""
    asked, problems = request.GET, []
    lift_text = asked.get("lift", "").strip()
    lift = int(lift_text) if lift_text.isascii() and lift_text.isdigit() and len(lift_text) <= 4 else None
    if lift_text and lift is None:
        problems.append(f"“{lift_text[:20]}” is no lift number; write a whole number from 0 to 9999.")
    days: dict[str, date | None] = {}
    for name in ("from", "to"):
        text = asked.get(name, "").strip()
        try:
            days[name] = date.fromisoformat(text) if text else None
        except ValueError:
            days[name] = None
            problems.append(f"“{text[:20]}” is no day; write it as 2026-06-03.")
    result = asked.get("result", "")
    chosen = TestFilter(
        lift=lift,
        result=result if result in RESULTS else "",
        zone=asked.get("zone", "")[:40],
        technician=asked.get("technician", "")[:150],
        reference=asked.get("reference", "")[:40],
        date_from=days["from"],
        date_to=days["to"],
        q="".join(c for c in asked.get("q", "").strip()[:60] if c.isprintable()),
    )
    return chosen, problems


def _position(text: str) -> tuple[str, int] | None:
    moment, _, number = text.rpartition("_")
    try:
        parsed = datetime.fromisoformat(moment)
    except ValueError:
        return None
    if parsed.tzinfo is None or not (number.isascii() and number.isdigit() and len(number) < 18):
        return None
    return parsed.isoformat(), int(number)
