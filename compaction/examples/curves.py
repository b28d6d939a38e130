"""Moisture-density curves from masses or densities: every point, the fits, what was reported, and the effort."""

from decimal import Decimal

from compaction.calculations import calibration, density, moisture
from compaction.calculations.compaction_effort import effort_findings
from compaction.calculations.moisture_density_curve import propose, reported_findings, wet_density_in_mould_kgm3
from compaction.calculations.sheet_check import check_figure, printed_figure
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example, Topic
from compaction.facts import CurvePoint


def run(example: Example, check: Check) -> None:
    """Each point with its printed figures, then the peaks of the fits, then what was reported."""
    points = [_point(example, point, place, check) for place, point in enumerate(example["points"], 1)]
    proposals = propose(points)
    check.found(proposals.findings)
    if reported := example.get("reported"):
        maximum = si(reported["maximum_dry_density"], "reported.maximum_dry_density")
        optimum = si(reported["optimum_water_content"], "reported.optimum_water_content")
        check.found(reported_findings(points, maximum_dry_density_kgm3=maximum, optimum_water_content_pct=optimum))
    fitted = {proposal.fit: proposal for proposal in proposals.proposals}
    if not example["peaks"]:
        check.same("peaks", 0, len(fitted))
    for fit, (optimum_text, maximum_text) in example["peaks"].items():
        if fit not in fitted:
            raise BrokenExample(f"peaks.{fit}", "no such fit is made.", f"Use one of {', '.join(fitted) or 'none'}.")
        check.figure(f"{fit}, optimum", optimum_text, fitted[fit].optimum_water_content_pct)
        check.figure(f"{fit}, maximum", maximum_text, fitted[fit].maximum_dry_density_kgm3)


def _point(example: Example, point: Example, place: int, check: Check) -> CurvePoint:
    key = f"points[{place}]"
    if "water_content" in point:
        water_pct = si(point["water_content"], f"{key}.water_content")
    else:
        water_pct = moisture.from_masses(
            wet_and_can_kg=si(point["can_wet"], f"{key}.can_wet"),
            dry_and_can_kg=si(point["can_dry"], f"{key}.can_dry"),
            can_kg=si(point["can"], f"{key}.can"),
        )
    volume_m3 = si(example["mould_volume"], "mould_volume") if "mould_volume" in example else None
    if "diameter" in point:
        volume_m3 = calibration.cylinder_volume_m3(
            diameter_m=si(point["diameter"], f"{key}.diameter"), height_m=si(point["height"], f"{key}.height")
        )
        check.found(check_figure(printed_figure("volume", point["printed_volume"]), volume_m3))
        check.figure(f"point {place}, volume", point["printed_volume"], volume_m3, otherwise=check.where_print_differs)
    if "dry" in point:
        dry_kgm3 = si(point["dry"], f"{key}.dry")
        return CurvePoint(water_content_pct=water_pct, dry_density_kgm3=dry_kgm3)
    wet_kgm3 = si(point["wet"], f"{key}.wet") if "wet" in point else _wet(example, point, key, volume_m3)
    dry_kgm3 = density.dry_density_kgm3(wet_density_kgm3=wet_kgm3, water_content_pct=water_pct)
    for name, worked in (("wet", wet_kgm3), ("dry", dry_kgm3)):
        if text := point.get(f"printed_{name}"):
            check.found(check_figure(printed_figure(f"{name}_density", text), worked))
            check.figure(f"point {place}, {name} density", text, worked, otherwise=check.where_print_differs)
    if "recomputed_dry" in point:
        check.figure(f"point {place}, dry density, recomputed", point["recomputed_dry"], dry_kgm3)
    return CurvePoint(water_content_pct=water_pct, dry_density_kgm3=dry_kgm3)


def _wet(example: Example, point: Example, key: str, volume_m3: Decimal | None) -> Decimal:
    if volume_m3 is None:
        raise BrokenExample("mould_volume", "no volume is given.", "Give it, or diameter and height with each point.")
    full = "full" if "full" in point else "soil"
    return wet_density_in_mould_kgm3(
        mass_full_kg=si(point[full], f"{key}.{full}"),
        mass_mould_kg=si(example["mould"], "mould") if "mould" in example else Decimal(0),
        mould_volume_m3=volume_m3,
    )


def run_effort(example: Example, check: Check) -> None:
    """Whether method, mould, layers and blows belong together."""
    found = [finding.code for finding in effort_findings(**example["inputs"])]
    check.found(found)
    check.same("findings", ", ".join(example.get("findings", [])) or "none", ", ".join(found) or "none")


CURVE = Topic(
    code="curve",
    title="A moisture-density curve",
    run=run,
    needs=("points", "peaks"),
    keys={
        "mould_volume": "volume of the mould, or `diameter`, `height` and `printed_volume` with each point",
        "mould": "mass of the mould; without one the points state `soil`",
        "points": "points with `water_content` (or `can`, `can_wet`, `can_dry`), and `full`, `soil`, `wet` or `dry`; "
        "where they are printed `printed_wet`, `printed_dry`; worked by another hand `recomputed_dry`",
        "reported": "`maximum_dry_density` and `optimum_water_content` as the sheet reports them",
        "peaks": "a fit, and its optimum and maximum; empty where no maximum exists",
    },
)
EFFORT = Topic(
    code="compaction_effort",
    title="Method, mould, layers and blows",
    run=run_effort,
    needs=("inputs",),
    inputs={
        "method": "method of the laboratory, as `D1557-A`",
        "mould_in": "diameter of the mould in inches, 4 or 6",
        "layers": "number of layers",
        "blows": "blows on each",
    },
)
