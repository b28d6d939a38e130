"""Figures as printed on the sheet, checked against what was worked out and against the other curves of the project."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal

from compaction.calculations import plausibility, printed_figures, printed_slips
from compaction.calculations.density_sheet import check_density_sheet
from compaction.calculations.errors import CalculationError
from compaction.calculations.printed_figures import NEITHER, UNROUNDED, Printed
from compaction.calculations.sand_cone import SandConeReadings
from compaction.calculations.sheet_check import printed_figure
from compaction.calculations.transcribed import SHEET_TOLERANCE_KGM3
from compaction.evaluation.work import Work
from compaction.facts import Finding

_ZERO = Decimal(0)


def add(work: Work) -> None:
    """Add findings and worksheet lines for every figure that was printed; nothing where none was."""
    texts = work.inputs.observation.printed_text
    if not texts:
        return
    figures = {name: printed_figures.printed(text) for name, text in texts.items()}
    if not _sand_cone_sheet(work, texts):
        _densities(work, figures)
    _water_content(work, figures)
    named = _reference(work, figures)
    if "percent_compaction" in figures:
        _percent(work, figures, named)


def _sand_cone_sheet(work: Work, texts: Mapping[str, str]) -> bool:
    """The lines of a sand-cone sheet, each worked from its readings; False where this is none."""
    readings = work.inputs.observation.readings
    if not isinstance(readings, SandConeReadings):
        return False
    given = {
        "mass_before": readings.mass_before_kg,
        "mass_after": readings.mass_after_kg,
        "cone_mass": readings.cone_and_plate_mass_kg,
        "cone_volume": readings.cone_and_plate_volume_m3,
        "sand_bulk_density": readings.sand_bulk_density_kgm3,
        "soil_wet_mass": readings.soil_wet_mass_kg,
        "water_content": work.figures.get("water_content_pct"),
    }
    lines = [
        printed_figure(name, texts[name]) for name in ("hole_volume", "wet_density", "dry_density") if name in texts
    ]
    if not lines:
        return True
    said = {finding.code for finding in work.findings}
    # Where the readings themselves cannot be, that has been said; there is nothing to hold the print against.
    with suppress(CalculationError):
        known = {name: value for name, value in given.items() if value is not None}
        for finding in check_density_sheet(known, lines):
            if finding.severity == "hold":
                # A misprint is a doubt about the sheet; only a worked figure that cannot be holds the result.
                finding = replace(finding, severity="validity")
            if finding.severity != "validity" or finding.code not in said:
                work.findings.append(finding)
    return True


def _densities(work: Work, figures: dict[str, Printed]) -> None:
    for name, figure in (("wet_density", "wet_density_kgm3"), ("dry_density", "dry_density_unrounded_kgm3")):
        found = work.figures.get(figure)
        if name not in figures or found is None:
            continue
        if abs(figures[name].value - found) <= max(SHEET_TOLERANCE_KGM3, figures[name].half_digit):
            continue
        words = name.replace("_", " ")
        work.findings.append(
            Finding(
                "printed-figure-differs",
                "validity",
                f"The sheet prints a {words} of {plausibility.density_text(figures[name].value)}; its readings give "
                f"{plausibility.density_text(found)}.{_slip_in_density(work, name)} Check the readings and the sheet.",
                {"figure": name, "printed": f"{figures[name].value:.2f}", "computed": f"{found:.2f}", "unit": "kg/m3"},
            )
        )


def _slip_in_density(work: Work, name: str) -> str:
    """The slip behind a printed density as a sentence of its own; in words only, so that no digest moves by it."""
    figure = printed_figure(name, work.inputs.observation.printed_text[name])
    readings = work.inputs.observation.readings
    known = {key: value for key, value in vars(readings).items() if isinstance(value, Decimal)} | work.figures
    wet, water = work.figures.get("wet_density_kgm3"), work.figures.get("water_content_pct")
    slip = ""
    if name == "wet_density":
        slip = printed_slips.wet_density_slip(figure, known)
    elif wet is not None and water is not None:
        slip = printed_slips.dry_density_slip(figure, wet_density_kgm3=wet, water_content_pct=water)
    return _if(slip)


def _slip_in_water(work: Work) -> str:
    figure = printed_figure("water_content", work.inputs.observation.printed_text["water_content"])
    used = (
        one
        for one in work.inputs.observation.water_contents
        if one.method == work.water_method and one.fraction == work.water_fraction
    )
    return _if(next(filter(None, (printed_slips.water_content_slip(figure, one) for one in used)), ""))


def _if(slip: str) -> str:
    return f" The printed figure comes out if {slip}." if slip else ""


def _water_content(work: Work, figures: dict[str, Printed]) -> None:
    found, printed = work.figures.get("water_content_pct"), figures.get("water_content")
    if printed is None or found is None or abs(printed.value - found) <= 2 * printed.half_digit:
        return
    work.findings.append(
        Finding(
            "printed-figure-differs",
            "information",
            f"The sheet prints a water content of {plausibility.percent_text(printed.value)}; "
            f"{plausibility.percent_text(found)} is used ({work.water_method.replace('_', ' ')})."
            f"{_slip_in_water(work)}",
            {"figure": "water_content", "printed": f"{printed.value:.3f}", "computed": f"{found:.3f}", "unit": "%"},
        )
    )


def _reference(work: Work, figures: dict[str, Printed]) -> str:
    """Compare printed maximum and optimum with the reference; the code of another curve that has both, or ""."""
    reference = work.inputs.reference
    maximum, optimum = figures.get("maximum_dry_density"), figures.get("optimum_water_content")
    if reference is None or (maximum is None and optimum is None):
        return ""

    def fits(maximum_kgm3: Decimal, optimum_pct: Decimal) -> bool:
        same = maximum is None or abs(maximum.value - maximum_kgm3) <= maximum.half_digit
        return same and (optimum is None or abs(optimum.value - optimum_pct) <= optimum.half_digit)

    if fits(reference.maximum_dry_density_kgm3, reference.optimum_water_content_pct):
        return ""
    governing = work.figures.get("maximum_dry_density_kgm3")
    if governing is not None and fits(governing, work.figures.get("optimum_water_content_pct", Decimal(0))):
        return ""
    others = [
        one.code
        for one in work.inputs.sibling_references
        if one.code != reference.code and fits(one.maximum_dry_density_kgm3, one.optimum_water_content_pct)
    ]
    printed = " and ".join(
        text
        for text in (
            "" if maximum is None else f"a maximum of {plausibility.density_text(maximum.value)}",
            "" if optimum is None else f"an optimum of {plausibility.percent_text(optimum.value)}",
        )
        if text
    )
    if others:
        _another_fits(work, others, f"The sheet prints {printed}", {"cited": reference.code})
        return others[0]
    work.findings.append(
        Finding(
            "printed-figure-differs",
            "validity",
            f"The sheet prints {printed}; the reference {reference.code} has "
            f"{plausibility.density_text(reference.maximum_dry_density_kgm3)} and "
            f"{plausibility.percent_text(reference.optimum_water_content_pct)}. Check which curve the sheet used.",
            {"figure": "reference", "cited": reference.code},
        )
    )
    return ""


def _percent(work: Work, figures: dict[str, Printed], already_named: str) -> None:
    percent, governing = figures["percent_compaction"], work.figures.get("maximum_dry_density_kgm3")
    reference, dry = work.inputs.reference, _dry_density(work, figures)
    if dry is None or reference is None or governing is None or governing <= 0:
        return
    check = printed_figures.check_percent(percent=percent, dry_density=dry, maximum_dry_density_kgm3=governing)
    work.sheet.add(
        "printed-percent",
        result_name="computed_percent_compaction",
        result=check.computed_pct,
        note=f"{check.agreement}: {printed_figures.AGREEMENTS[check.agreement]}",
        printed_percent_compaction=percent.value,
        dry_density_kgm3=dry.value,
        maximum_dry_density_kgm3=governing,
    )
    numbers = {
        "figure": "percent_compaction",
        "printed": f"{percent.value:f}",
        "computed": f"{check.computed_pct:.3f}",
        "unit": "%",
        "class": check.agreement,
    }
    shown = (
        f"The sheet prints {plausibility.percent_text(percent.value)}; its dry density gives {check.computed_pct:.2f} %"
    )
    if check.agreement == UNROUNDED:
        work.findings.append(
            Finding(
                "printed-figure-differs",
                "information",
                f"{shown}. Both agree if the percentage was computed before the dry density was rounded for print.",
                numbers,
            )
        )
    if check.agreement != NEITHER:
        return
    maxima = {one.code: one.maximum_dry_density_kgm3 for one in work.inputs.sibling_references}
    maxima.pop(reference.code, None)
    others = printed_figures.fitting_maxima(percent=percent, dry_density=dry, maxima_kgm3=maxima)
    if others and not already_named:
        codes = [code for code, _ in others]
        _another_fits(
            work, codes, f"{shown} with the cited curve {reference.code}", {"cited": reference.code, **numbers}
        )
        return
    slip = printed_figures.explain_percent(
        percent=percent,
        dry_density=dry,
        maximum_dry_density_kgm3=governing,
        wet_density_kgm3=work.figures.get("wet_density_kgm3"),
    )
    reason = f" It would fit if {slip}." if slip else ""
    work.findings.append(
        Finding(
            "printed-figure-differs",
            "validity",
            f"{shown}, and no unrounded dry density explains the difference.{reason} The computed figure counts; "
            "check the sheet.",
            numbers,
        )
    )


def _dry_density(work: Work, figures: dict[str, Printed]) -> Printed | None:
    """The dry density that a printed percentage should follow from: the printed one, else the one worked out."""
    if "control_fraction_dry_density_kgm3" in work.figures:
        return Printed(work.figures["control_fraction_dry_density_kgm3"], _ZERO)
    if "dry_density" in figures:
        return figures["dry_density"]
    worked_out = work.figures.get("dry_density_kgm3")
    return None if worked_out is None else Printed(worked_out, _ZERO)


def _another_fits(work: Work, codes: list[str], beginning: str, numbers: dict[str, str]) -> None:
    named = codes[0] if len(codes) == 1 else f"{codes[0]} (also {', '.join(codes[1:])})"
    work.findings.append(
        Finding(
            "another-reference-fits",
            "validity",
            f"{beginning}; curve {named} fits instead. Check which soil this is and correct the reference of the test.",
            {**numbers, "fits": codes[0], **({"also": ", ".join(codes[1:])} if len(codes) > 1 else {})},
        )
    )
