"""How sure a test's figures are: for the worksheet alone, and only where it is asked for."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.calculations.criteria import limits_text
from compaction.calculations.quantities import from_si
from compaction.calculations.uncertainty import Budget
from compaction.evaluation.uncertainty import Conformity, UncertaintyReport
from compaction.plots import uncertainty_budget
from compaction.plots.uncertainty_budget import Share
from compaction.queries import uncertainty
from compaction.queries.rows import TestStory, story
from compaction.queries.uncertainty import StatedWrong
from compaction.views import display
from compaction.views.plots import svg_answer as svg
from projects.access import Open
from projects.models import Project
from projects.views.opening import project_page

#: the figure that is drawn and tabled first: the first of these that has a budget
LEADING: Final = ("percent_compaction", "relative_density_pct", "dry_density_unrounded_kgm3", "wet_density_kgm3")


@dataclass(frozen=True)
class Asked:
    """The section on the page of a test; `problem` where a stated uncertainty could not be read."""

    figures: list[dict[str, Any]]
    conformities: list[dict[str, Any]]
    notes: tuple[str, ...]
    stated: str
    problem: str


def section(request: HttpRequest, opened: Open, told: TestStory) -> Asked | None:
    """What `?uncertainty=1` adds to the page; None without it."""
    if request.GET.get("uncertainty") != "1":
        return None
    written, problem = request.GET.get("stated", "")[:2000], ""
    try:
        found = uncertainty.report_of(opened, told, stated=uncertainty.stated_in_line(written))
    except StatedWrong as error:
        found, problem = uncertainty.report_of(opened, told), str(error)
    return Asked(
        [_figure(opened.project, one) for one in _led(found)],
        [_conformity(opened.project, one) for one in found.conformities],
        found.notes,
        written,
        problem,
    )


@require_safe
@project_page()
def plot(request: HttpRequest, opened: Open, now: datetime, uuid: UUID) -> HttpResponse:
    """The shares of the leading figure."""
    told = story(opened, str(uuid))
    if told is None:
        raise Http404("There is no such test.")
    try:
        stated = uncertainty.stated_in_line(request.GET.get("stated", "")[:2000])
        found = uncertainty.report_of(opened, told, stated=stated)
    except StatedWrong:
        found = uncertainty.report_of(opened, told)
    budgets = _led(found)
    if not budgets:
        raise Http404("No figure of this test could be worked out.")
    shown = _figure(opened.project, budgets[0])
    shares = [Share(line["words"], line["share"]) for line in shown["lines"]]
    return svg(
        uncertainty_budget.draw(
            shares,
            title=f"Test {told.row.name}: what makes the {shown['words']} uncertain",
            figure_text=f"{shown['value']} ± {shown['expanded']} (k = 2)",
        )
    )


def _led(found: UncertaintyReport) -> list[Budget]:
    order = {name: place for place, name in enumerate(LEADING)}
    return sorted(found.budgets, key=lambda one: order.get(one.name, len(order)))


def _figure(project: Project, one: Budget) -> dict[str, Any]:
    words, value = _worked(project, one.name, one.value)
    if value.endswith(" %"):
        value = f"{display.number(one.value, Decimal('0.01'))} %"
    return {
        "words": words,
        "value": value,
        "standard": _difference(project, one.name, one.standard_uncertainty),
        "expanded": _difference(project, one.name, one.expanded()),
        "lines": [
            {
                "name": line.input.name,
                "words": _worked(project, line.input.name, line.input.value)[0],
                "value": _worked(project, line.input.name, line.input.value)[1],
                "standard": _difference(project, line.input.name, line.input.standard_uncertainty),
                "contribution": _difference(project, one.name, line.contribution),
                "direction": "up" if line.sensitivity > 0 else "down",
                "share": line.share_pct,
                "share_text": f"{line.share_pct:.1f}",
                "basis": line.input.basis,
            }
            for line in sorted(one.lines, key=lambda line: -line.share_pct)
        ],
    }


def _worked(project: Project, name: str, value: Decimal) -> tuple[str, str]:
    return display.worked(project, name.replace("_unrounded", ""), value)


def _difference(project: Project, name: str, value: Decimal) -> str:
    """A difference in the unit of its quantity, to three significant digits; degrees without their zero point."""
    if name.endswith("_degc"):
        return f"{_three(value)} °C"
    _, shown = _worked(project, name, value)
    unit = shown.partition(" ")[2]
    if not unit or unit == "%":
        return f"{_three(value)} {'points' if unit else ''}".strip()
    code = unit.replace("³", "3")
    return f"{_three(from_si(value, code))} {unit}"


def _three(value: Decimal) -> str:
    if value == 0:
        return "0"
    return f"{round(value, 2 - value.adjusted()):f}"


def _conformity(project: Project, one: Conformity) -> dict[str, Any]:
    def limits(low: Decimal | None, high: Decimal | None) -> str:
        rounded = (None if value is None else round(value, 2) for value in (low, high))
        return f"{limits_text(*rounded)} %".replace("-", "\u2212")

    return {
        "words": display.word(project, one.quantity.replace("_", " ")),
        "value": f"{display.number(one.value, Decimal('0.01'))} %",
        "limits": limits(one.minimum, one.maximum),
        "probability": _probability(one.probability_pct),
        "band": f"{display.number(one.guard_band, Decimal('0.01'))} points",
        "guarded": limits(one.guarded_minimum, one.guarded_maximum),
        "beyond": one.beyond_guard_band,
    }


def _probability(percent: Decimal) -> str:
    if percent > Decimal("99.9"):
        return "over 99.9 %"
    return "under 0.1 %" if percent < Decimal("0.1") else f"{percent:.1f} %"
