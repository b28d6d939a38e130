"""A reference's bench work ready for the page: each point with its worksheet, the fits, what they mean."""

from decimal import Decimal
from typing import Any

from compaction.calculations.curve_fits import FitRow, FitTable
from compaction.calculations.laboratory_methods import LaboratoryMethod
from compaction.calculations.quantities import from_si
from compaction.records.bench_work import WorkedPoint
from compaction.records.curve_review import Review
from compaction.views import display
from projects.models import Project


def seen(project: Project, review: Review) -> dict[str, Any]:
    """What the page of a reference and the preview of an entry show of one revision."""
    fits = review.fits
    return {
        "points": [_point(project, point) for point in review.points],
        "raw": any(point.raw for point in review.points),
        "fits": [_fit(project, row) for row in fits.rows] if fits else [],
        "at_percent": display.figure(fits.at_percent) if fits else "",
        "spread": _spread(project, fits) if fits else "",
        "findings": review.findings,
        "method": _method(review.method) if review.method else "",
        "sample": review.sample,
        "soil": review.soil,
    }


def _spread(project: Project, fits: FitTable) -> str:
    return (
        f"The spread is {_both(project, fits.spread_maximum_kgm3)} and {fits.spread_optimum_pct:.1f} points of "
        f"{display.word(project, 'water content')}: a field density at {display.figure(fits.at_percent)} % of the "
        f"reported maximum moves by {fits.spread_percent_compaction:.1f} points of compaction with the way the curve "
        "is drawn."
    )


def _point(project: Project, point: WorkedPoint) -> dict[str, Any]:
    return {
        "number": point.number,
        "raw": point.raw,
        "rejected": point.rejected,
        "why": point.why,
        "problem": point.problem,
        "wet": display.density(project, point.wet_density_kgm3, unit=False),
        "water": display.number(point.water_content_pct, Decimal("0.01")),
        "cans": ", ".join(display.number(one, Decimal("0.01")) for one in point.can_water_contents_pct),
        "dry": display.density(project, point.dry_density_kgm3, unit=False),
        "steps": display.step_lines(project, point.steps),
    }


def _fit(project: Project, row: FitRow) -> dict[str, Any]:
    return {
        "words": row.words,
        "reported": row.fit == "reported",
        "maximum": _both(project, row.maximum_dry_density_kgm3),
        "optimum": display.number(row.optimum_water_content_pct, Decimal("0.1")),
        "maximum_apart": _signed(from_si(row.maximum_from_reported_kgm3, project.units), project),
        "optimum_apart": display.percent(row.optimum_from_reported_pct, signed=True),
        "percent": display.percent(row.percent_compaction),
    }


def _both(project: Project, density_kgm3: Decimal) -> str:
    """A density in the project's unit, and in the other system's in brackets."""
    other = f"{display.number(density_kgm3, Decimal(1))} kg/m³"
    if not display.is_us(project):
        other = f"{display.number(from_si(density_kgm3, 'pcf'), Decimal('0.1'))} pcf"
    return f"{display.density(project, density_kgm3)} ({other})"


def _signed(value: Decimal, project: Project) -> str:
    text = display.number(value, Decimal("0.1") if display.is_us(project) else display.DENSITY_STEPS[project.units])
    return f"+{text}" if value > 0 and text.strip("0.") else text


def _method(method: LaboratoryMethod) -> str:
    how = f"{method.blows} blows a layer" if method.blows else f"{method.seconds} s of vibration a layer"
    energy = "" if method.energy_kjm3 is None else f", {method.energy_kjm3:.0f} kJ/m³"
    return (
        f"{method.title} ({method.edition}): {method.mould.name} of {method.mould.volume_m3 * 1_000_000:.0f} cm³, "
        f"{method.layers} layers, {how}{energy}, passing {method.sieve_mm.normalize():f} mm"
        f"{'; from memory' if method.from_memory else ''}"
    )
