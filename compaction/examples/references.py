"""Relative density, the rapid method, families of curves."""

from decimal import Decimal

from compaction.calculations import density, family_of_curves, rapid_method, relative_density, zero_air_voids
from compaction.calculations.quantities import to_si
from compaction.calculations.sheet_check import printed_figure
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic
from compaction.facts import CurvePoint, ReferenceFacts

_HUNDRED = Decimal(100)


def run_relative_density(example: Example, check: Check) -> None:
    """From percent compaction and index densities, or from void ratios."""
    given = {name: si(text, f"inputs.{name}") for name, text in example["inputs"].items()}
    worked = _from_index_densities(given) if "percent_compaction" in given else _from_void_ratios(given)
    if "percent_compaction" not in given:
        check.found(
            relative_density.printed_relative_density_findings(
                printed_figure("relative_density", example["printed"]["relative_density"]),
                wet_density_kgm3=given["wet_density"],
                water_content_pct=given["water_content"],
                water_density_kgm3=given["water_density"],
                specific_gravity=given["specific_gravity"],
                maximum_void_ratio=given["maximum_void_ratio"],
                minimum_void_ratio=given["minimum_void_ratio"],
            )
        )
    check.expected(worked)


def _from_index_densities(given: dict[str, Decimal]) -> dict[str, Decimal]:
    loosest_kgm3, densest_kgm3 = given["minimum_index_density"], given["maximum_index_density"]
    dry_kgm3 = given["percent_compaction"] * given["maximum_index_density"] / _HUNDRED
    return {
        "dry_density": dry_kgm3,
        "relative_density": relative_density.relative_density_pct(
            dry_density_kgm3=dry_kgm3,
            minimum_index_density_kgm3=loosest_kgm3,
            maximum_index_density_kgm3=densest_kgm3,
        ),
        "wet_density": dry_kgm3 * (1 + given.get("water_content", Decimal(0)) / _HUNDRED),
        "percent_compaction_at_zero": density.percent_compaction(
            dry_density_kgm3=relative_density.dry_density_at_relative_density_kgm3(
                relative_density_pct=Decimal(0),
                minimum_index_density_kgm3=loosest_kgm3,
                maximum_index_density_kgm3=densest_kgm3,
            ),
            maximum_dry_density_kgm3=given["maximum_index_density"],
        ),
    }


def _from_void_ratios(given: dict[str, Decimal]) -> dict[str, Decimal]:
    ratio = zero_air_voids.void_ratio(
        dry_density_kgm3=given["wet_density"] / (1 + given["water_content"] / _HUNDRED),
        specific_gravity=given["specific_gravity"],
        water_density_kgm3=given["water_density"],
    )
    return {
        "void_ratio": ratio,
        "relative_density": relative_density.relative_density_from_void_ratios_pct(
            void_ratio=ratio,
            maximum_void_ratio=given["maximum_void_ratio"],
            minimum_void_ratio=given["minimum_void_ratio"],
        ),
    }


def run_rapid(example: Example, check: Check) -> None:
    """Each specimen brought to the water of the fill, the peak, and what follows from it."""
    points = []
    for place, point in enumerate(example["points"], 1):
        added_pct = si(point["added_water"], f"points[{place}].added_water")
        wet_kgm3 = si(point["wet_density"], f"points[{place}].wet_density")
        points.append(rapid_method.RapidPoint(added_water_pct=added_pct, wet_density_kgm3=wet_kgm3))
        converted = rapid_method.converted_wet_density_kgm3(wet_density_kgm3=wet_kgm3, added_water_pct=added_pct)
        check.figure(f"point {place}, converted", point["converted"], converted)
    found = rapid_method.peak(points)
    check.found(found.findings)
    fill_pct = si(example["fill_water_content"], "fill_water_content")
    deviation = rapid_method.water_content_deviation_pct(
        peak_added_water_pct=found.added_water_pct, fill_water_content_pct=fill_pct
    )
    worked = {
        "peak_added_water": found.added_water_pct,
        "peak_converted_wet_density": found.converted_wet_density_kgm3,
        "maximum_dry_density": found.converted_wet_density_kgm3 / (1 + fill_pct / _HUNDRED),
        "optimum_water_content": fill_pct - deviation,
        "water_content_deviation": deviation,
    }
    if "fill_wet_density" in example:
        worked["percent_compaction"] = rapid_method.percent_compaction_pct(
            fill_wet_density_kgm3=si(example["fill_wet_density"], "fill_wet_density"),
            peak_converted_wet_density_kgm3=found.converted_wet_density_kgm3,
        )
    check.expected(worked)


def run_family(example: Example, check: Check) -> None:
    """The line through the peaks of a family, or one point on a family that is constructed on such a line."""
    if "peaks" in example:
        line = family_of_curves.spine([(Decimal(maximum), Decimal(optimum)) for maximum, optimum in example["peaks"]])
        check.expected(
            {
                "slope": line.slope_pct_per_kgm3,
                "intercept": line.intercept_pct,
                "correlation": line.correlation,
                "residual_sd": line.residual_sd_pct,
            }
        )
        return
    spine = example["spine"]
    intercept, slope = si(spine["intercept"], "spine.intercept"), si(spine["slope"], "spine.slope")
    curves = [_on_the_spine(Decimal(maximum), intercept=intercept, slope=slope) for maximum in example["maxima"]]
    found = family_of_curves.one_point(
        curves,
        water_content_pct=si(example["water_content"], "water_content"),
        dry_density_kgm3=si(example["dry_density"], "dry_density"),
    )
    check.expected(
        {
            "maximum_dry_density": found.maximum_dry_density_kgm3,
            "optimum_water_content": found.optimum_water_content_pct,
            "percent_of_optimum": found.percent_of_optimum,
        }
    )


def _on_the_spine(maximum_pcf: Decimal, *, intercept: Decimal, slope: Decimal) -> ReferenceFacts:
    """A curve on the spine with a dry limb that falls by the square of the distance from the optimum."""
    optimum, maximum = intercept + slope * maximum_pcf, to_si(maximum_pcf, "pcf")
    shares = [Decimal(text) for text in ("0.7", "0.8", "0.9", "1.0")]
    return ReferenceFacts(
        code=f"P-{maximum_pcf}",
        rev=1,
        approved=True,
        method="T99-A",
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        points=tuple(CurvePoint(share * optimum, maximum * (1 - (1 - share) ** 2)) for share in shares),
    )


RELATIVE_DENSITY = Topic(
    code="relative_density",
    title="Relative density beside percent compaction",
    run=run_relative_density,
    needs=("inputs",),
    inputs={
        "maximum_index_density": "with `minimum_index_density` and `percent_compaction`",
        "minimum_index_density": "loosest state",
        "percent_compaction": "of the maximum index density",
        "water_content": "water content",
        "wet_density": "wet density, with the five below and a printed `relative_density`",
        "specific_gravity": "of the solids",
        "water_density": "density of water",
        "maximum_void_ratio": "loosest state",
        "minimum_void_ratio": "densest state",
    },
    figures={
        "dry_density": "from percent compaction",
        "relative_density": "place between the ends",
        "wet_density": "dry density with the water content",
        "percent_compaction_at_zero": "percent compaction at zero relative density",
        "void_ratio": "from the wet density",
    },
)
RAPID = Topic(
    code="rapid_method",
    title="The rapid method",
    run=run_rapid,
    needs=("points", "fill_water_content"),
    keys={
        "fill_water_content": "water content of the fill",
        "fill_wet_density": "wet density of the fill, for percent compaction",
        "points": "specimens with `added_water` (percent of the wet mass, negative where dried), `wet_density` and "
        "`converted`",
    },
    figures={
        "peak_added_water": "at the peak of the converted wet densities",
        "peak_converted_wet_density": "there",
        "maximum_dry_density": "that belongs to it",
        "optimum_water_content": "that belongs to it",
        "water_content_deviation": "of the fill from the optimum",
        "percent_compaction": "of the fill",
    },
)
FAMILY = Topic(
    code="family_of_curves",
    title="A family of curves",
    run=run_family,
    keys={
        "peaks": "pairs of maximum (lb/ft3) and optimum (%), numbers in quotes; or the keys below",
        "spine": "a line with `intercept` (%) and `slope` (% per lb/ft3) on which curves are constructed",
        "maxima": "maxima of those curves, lb/ft3",
        "water_content": "of the one point",
        "dry_density": "of the one point",
    },
    figures={
        "slope": "of the line through the peaks, in the units given",
        "intercept": "of that line",
        "correlation": "of optimum and maximum",
        "residual_sd": "standard deviation about the line",
        "maximum_dry_density": "by the one point",
        "optimum_water_content": "by the one point",
        "percent_of_optimum": "water content of the point as a percentage of the optimum found",
    },
)
