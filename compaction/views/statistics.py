"""The statistics of a project: run chart and histogram with their numbers beside them, by filter, and as a file."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any, Final
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.calculations.lot_declaration import LotRule
from compaction.plots import histogram, run_chart
from compaction.plots.run_chart import RunPoint
from compaction.plots.scale import Scale
from compaction.queries import set_up
from compaction.queries.display import DENSITY_STEPS
from compaction.queries.rows import test_rows
from compaction.queries.test_statistics import QUANTITIES, Apart, Summary, apart, by_group, figure, summary
from compaction.register import TestRow, mark
from compaction.views import lots as lot_pages
from compaction.views.csv_file import csv_response
from compaction.views.display import word
from compaction.views.lot_words import figure as in_unit
from compaction.views.lot_words import unit_text
from compaction.views.plots import svg_answer
from compaction.views.tests import chosen_from
from projects.access import Open
from projects.views.opening import project_page, show

MEANS: Final = range(2, 21)


def _asked(request: HttpRequest) -> str:
    quantity = request.GET.get("quantity", "")
    return quantity if quantity in QUANTITIES else "percent_compaction"


def _rows(request: HttpRequest, opened: Open) -> tuple[Apart, list[str]]:
    chosen, problems = chosen_from(request)
    return apart(test_rows(opened, chosen, limit=None)), problems


@require_safe
@project_page()
def statistics(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The page."""
    found, problems = _rows(request, opened)
    quantity = _asked(request)
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    asked = {name: value for name, value in request.GET.items() if value}
    return show(
        request,
        opened,
        "compaction/statistics.html",
        problems=problems,
        asked=request.GET,
        filtered=bool(asked),
        query=urlencode(asked),
        quantity=quantity,
        quantities={name: word(opened.project, name.replace("_", " ")) for name in QUANTITIES},
        whole=[summary("first tests", found.first, quantity), summary("retests", found.retests, quantity)],
        groups=by_group(found.first, quantity),
        zones=sorted(under.areas),
        references=sorted(under.references),
        technicians=sorted(under.roster),
    )


@require_safe
@project_page()
def statistics_csv(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The tables of the page, as a file."""
    found, _ = _rows(request, opened)
    quantity = _asked(request)
    header = ["group", "name", "quantity", "tests", "mean, %", "standard deviation, %", "lowest, %", "highest, %",
              "failing", "failing, %"]  # fmt: skip

    def lines() -> Iterable[list[Any]]:
        for name, rows in (("first tests", found.first), ("retests", found.retests)):
            yield _line("all", summary(name, rows, quantity), quantity)
        for group, summaries in by_group(found.first, quantity).items():
            for one in summaries:
                yield _line(group, one, quantity)

    return csv_response(name=f"{opened.project.code}-statistics", header=header, rows=lines())


def _line(group: str, one: Summary, quantity: str) -> list[Any]:
    figures = [one.mean, one.standard_deviation, one.lowest, one.highest]
    rounded = [None if value is None else round(value, 3) for value in figures]
    share = None if one.failing_pct is None else round(one.failing_pct, 1)
    return [group, one.name, quantity.replace("_", " "), one.tests, *rounded, one.failing, share]


# ---- pictures ------------------------------------------------------------------------------------
def _axis(opened: Open, quantity: str, unit: str = "%") -> str:
    words = word(opened.project, quantity.replace("_", " "))
    return f"{words[:1].upper()}{words[1:]} ({unit_text(unit)})"


def _limit_of(rows: Iterable[TestRow], quantity: str) -> Decimal | None:
    """The one limit that holds for all the tests; None where they have several."""
    if quantity != "percent_compaction":
        return None
    limits = {row.percent_compaction_minimum for row in rows} - {None}
    return limits.pop() if len(limits) == 1 else None


@require_safe
@project_page()
def histogram_svg(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """First tests and retests apart."""
    found, _ = _rows(request, opened)
    quantity = _asked(request)
    values = [
        [value for row in rows if (value := figure(row, quantity)) is not None] for rows in (found.first, found.retests)
    ]
    axis = _axis(opened, quantity)
    limit = _limit_of((*found.first, *found.retests), quantity)
    return svg_answer(histogram.draw(*values, axis=axis, title=f"{opened.project.name}: how often", limit=limit))


@require_safe
@project_page()
def run_svg(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """First tests and retests in the order of testing, with mean and spread."""
    found, _ = _rows(request, opened)
    quantity = _asked(request)
    text = request.GET.get("mean_of", "")
    mean_of = int(text) if text.isascii() and text.isdigit() and len(text) < 3 and int(text) in MEANS else 4
    rows = sorted((*found.first, *found.retests), key=lambda row: (row.performed_at, row.uuid))
    points = [_point(opened, row, value, quantity) for row in rows if (value := figure(row, quantity)) is not None]
    return _run(opened, points, quantity, f"{opened.project.name}: in order", mean_of)


def _point(opened: Open, row: TestRow, value: Decimal, quantity: str, limit: Decimal | None = None) -> RunPoint:
    if limit is None and quantity == "percent_compaction":
        limit = row.percent_compaction_minimum
    day = row.performed_at.astimezone(opened.project.zone_info).strftime("%Y-%m-%d")
    return RunPoint(row.name, day, value, limit, mark(row), row.reference_code)


def _run(
    opened: Open, points: list[RunPoint], quantity: str, title: str, mean_of: int, unit: str = "%"
) -> HttpResponse:
    scale = Scale(opened.project.units, DENSITY_STEPS[opened.project.units], opened.project.words)
    axis = _axis(opened, quantity, unit)
    return svg_answer(run_chart.draw(points, scale=scale, title=title, mean_of=mean_of, spread=True, axis=axis))


def _limits(rule: LotRule) -> tuple[Decimal | None, Decimal | None]:
    return tuple(None if one is None else in_unit(one, rule.unit) for one in (rule.minimum, rule.maximum))  # type: ignore[return-value]


@require_safe
@project_page()
def lot_run_svg(request: HttpRequest, opened: Open, now: datetime, lot: str) -> HttpResponse:
    """The tests that a lot is judged on, in their order."""
    story = lot_pages.found(opened, lot)
    rule, rows = story.facts.rules[0], lot_pages.rows_of(opened, story.content)
    points = [
        _point(opened, rows[one["test"]], in_unit(Decimal(one["figures"][rule.quantity]), rule.unit), rule.quantity,
               _limits(rule)[0])
        for one in story.content.get("members", [])
        if one["counts"] and rule.quantity in one["figures"] and one["test"] in rows
    ]  # fmt: skip
    return _run(opened, points, rule.quantity, f"Lot {lot}: tests judged", rule.of or 4, rule.unit)


@require_safe
@project_page()
def lot_histogram_svg(request: HttpRequest, opened: Open, now: datetime, lot: str) -> HttpResponse:
    """First tests and retests at the lot's place that are not kept out by time or purpose."""
    story = lot_pages.found(opened, lot)
    rule, rows = story.facts.rules[0], lot_pages.rows_of(opened, story.content)
    sides: tuple[list[Decimal], list[Decimal]] = ([], [])
    for one in story.content.get("members", []):
        if rule.quantity in one["figures"] and (one["counts"] or one["code"] == "replaced") and one["test"] in rows:
            value = in_unit(Decimal(one["figures"][rule.quantity]), rule.unit)
            sides[bool(rows[one["test"]].retest_of)].append(value)
    low, high = _limits(rule)
    axis = _axis(opened, rule.quantity, rule.unit)
    return svg_answer(histogram.draw(*sides, axis=axis, title=f"Lot {lot}: how often", limit=low, upper_limit=high))
