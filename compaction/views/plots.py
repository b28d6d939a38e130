"""Drawings as SVG: a test on its moisture-density curve, the curve alone, the run of percent compaction."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.facts import CriterionFacts, CriterionResult, Outcome, ReferenceFacts
from compaction.plots import proctor_curve
from compaction.plots import run_chart as run_chart_drawing
from compaction.plots.proctor_curve import FieldPoint, Peak, Window
from compaction.plots.scale import Scale
from compaction.queries import set_up
from compaction.queries.display import DENSITY_STEPS
from compaction.queries.rows import TestFilter, story, test_rows
from compaction.queries.set_up_lists import reference_list
from compaction.register import VOIDED, TestRow, mark
from compaction.views import other_plots
from compaction.views.layers import chosen_lift
from projects.access import Open
from projects.views.opening import project_page

MOST_FIELD_POINTS = 300


def _scale(opened: Open) -> Scale:
    return Scale(opened.project.units, DENSITY_STEPS[opened.project.units], opened.project.words)


def svg_answer(drawn: bytes) -> HttpResponse:
    """Opened by itself a drawing may style itself and nothing else; there is no script in it to run."""
    response = HttpResponse(drawn, content_type="image/svg+xml; charset=utf-8")
    response["Content-Security-Policy"] = (
        "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'; sandbox"
    )
    return response


@require_safe
@project_page()
def curve_of_test(request: HttpRequest, opened: Open, now: datetime, uuid: UUID) -> HttpResponse:
    """A test on the curve that it was compared with; 404 while there is none."""
    found = story(opened, str(uuid))
    if found is None:
        raise Http404("There is no such test.")
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    reference = under.reference(found.row.reference_code, found.row.performed_at) if found.row.reference_code else None
    if reference is None:
        raise Http404("The test names no reference that the project has.")
    specification = under.specification(found.row.zone, found.row.performed_at)
    if reference.kind in other_plots.KINDS:
        return svg_answer(
            other_plots.drawn(
                reference,
                members=under.family(reference.code, found.row.performed_at),
                rows=test_rows(opened, TestFilter(reference=reference.code), limit=MOST_FIELD_POINTS),
                scale=_scale(opened),
                about=(found.row, found.outcome),
            )
        )
    corrected = _corrected(found.outcome, reference)
    return svg_answer(
        proctor_curve.draw(
            reference,
            scale=_scale(opened),
            window=_window(reference, found.outcome.criteria, corrected),
            test=_point_of(found.row, found.outcome),
            field=_field(opened, reference.code, leave_out=found.row.uuid),
            corrected=corrected,
            water_density_kgm3=specification.water_density_kgm3 if specification else Decimal(1000),
        )
    )


@require_safe
@project_page()
def reference_curve(request: HttpRequest, opened: Open, now: datetime, reference: str, rev: int) -> HttpResponse:
    """A revision with the tests that name it."""
    line = next((one for one in reference_list(opened).get(reference, []) if one.rev == rev), None)
    if line is None:
        raise Http404("There is no such revision.")
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    if line.facts.kind in other_plots.KINDS:
        members = (under.reference(code, now) for code in line.facts.family)
        rows = test_rows(opened, TestFilter(reference=reference), limit=MOST_FIELD_POINTS)
        return svg_answer(
            other_plots.drawn(
                line.facts, members=[one for one in members if one is not None], rows=rows, scale=_scale(opened)
            )
        )
    specification = under.specification("", now)
    criteria = [one for one in specification.criteria if not one.zone] if specification else []
    if specification and not criteria:
        zone = specification.criteria[0].zone
        criteria = [one for one in specification.criteria if one.zone == zone]
    return svg_answer(
        proctor_curve.draw(
            line.facts,
            scale=_scale(opened),
            window=_window(line.facts, criteria, None),
            field=_field(opened, reference),
            water_density_kgm3=specification.water_density_kgm3 if specification else Decimal(1000),
        )
    )


@require_safe
@project_page()
def run_chart(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Percent compaction by test order, of a lift, a zone, a reference or all."""
    zone, reference = request.GET.get("zone", "")[:40], request.GET.get("reference", "")[:40]
    lift = chosen_lift(request)
    rows = test_rows(opened, TestFilter(lift=lift, zone=zone, reference=reference), limit=run_chart_drawing.MOST_TESTS)
    zone_info = opened.project.zone_info
    points = [
        run_chart_drawing.RunPoint(
            label=row.name,
            day=row.performed_at.astimezone(zone_info).strftime("%Y-%m-%d"),
            percent_compaction=percent,
            minimum_percent=row.percent_compaction_minimum,
            mark=mark(row),
            reference=row.reference_code,
        )
        for row in reversed(rows)
        if not row.voided and (percent := _judged(row)) is not None
    ]
    narrowed = [f"lift {lift}" if lift is not None else "", f"zone {zone}" if zone else "", reference]
    title = ", ".join(filter(None, [f"{opened.project.name}: percent compaction", *narrowed]))
    return svg_answer(run_chart_drawing.draw(points, scale=_scale(opened), title=title))


def _judged(row: TestRow) -> Decimal | None:
    return row.percent_compaction if row.percent_compaction_judged is None else row.percent_compaction_judged


def _field(opened: Open, reference: str, *, leave_out: str = "") -> list[FieldPoint]:
    rows = test_rows(opened, TestFilter(reference=reference), limit=MOST_FIELD_POINTS)
    return [
        FieldPoint(row.water_content_pct, row.dry_density_kgm3, mark(row))
        for row in rows
        if row.uuid != leave_out
        and mark(row) != VOIDED
        and row.water_content_pct is not None
        and row.dry_density_kgm3 is not None
    ]


def _point_of(row: TestRow, outcome: Outcome) -> FieldPoint | None:
    """Where the test lies: of the whole material, or of the control fraction where that was compared."""
    figures = outcome.figures
    dry, water = figures.get("dry_density_kgm3"), figures.get("water_content_pct")
    control = figures.get("control_fraction_dry_density_kgm3")
    if control is not None and "water_content_deviation_pct" in figures:
        dry, water = control, figures["optimum_water_content_pct"] + figures["water_content_deviation_pct"]
    if dry is None or water is None:
        return None
    return FieldPoint(water, dry, mark(row), f"Test {row.name}")


def _corrected(outcome: Outcome, reference: ReferenceFacts) -> Peak | None:
    figures = outcome.figures
    maximum, optimum = figures.get("maximum_dry_density_kgm3"), figures.get("optimum_water_content_pct")
    uncorrected = figures.get("reference_maximum_dry_density_kgm3", reference.maximum_dry_density_kgm3)
    if maximum is None or optimum is None or maximum == uncorrected:
        return None
    return Peak(maximum, optimum, figures.get("oversize_pct"))


def _window(
    reference: ReferenceFacts, criteria: Iterable[CriterionFacts | CriterionResult], corrected: Peak | None
) -> Window | None:
    """The first contractual criterion on percent compaction and on water content."""
    contractual: dict[str, CriterionFacts | CriterionResult] = {}
    for one in criteria:
        if one.contractual:
            contractual.setdefault(one.quantity, one)
    percent = contractual.get("percent_compaction")
    minimum = percent.minimum if percent else None
    absolute, deviation = contractual.get("water_content"), contractual.get("water_content_deviation")
    if percent is None and absolute is None and deviation is None:
        return None
    if deviation is None and absolute is not None:
        return Window(minimum, absolute.minimum, absolute.maximum)
    return proctor_curve.window_of(
        reference,
        minimum_percent=minimum,
        deviation_from=deviation.minimum if deviation else None,
        deviation_to=deviation.maximum if deviation else None,
        optimum_water_content_pct=corrected.optimum_water_content_pct if corrected else None,
    )
