"""Examples of relative density, rapid method, family of curves, statistics, comparison and uncertainty."""

from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations import acceptance_statistics as statistics
from compaction.calculations import (
    count_stability,
    density,
    family_of_curves,
    paired_comparison,
    precision,
    rapid_method,
    relative_density,
    uncertainty,
    zero_air_voids,
)
from compaction.calculations.quantities import from_si, to_si
from compaction.calculations.sheet_check import printed_figure
from compaction.facts import CurvePoint, ReferenceFacts
from tests.worked_examples.example_files import all_si, assert_met, codes, examples, si

D = Decimal
HUNDRED = D(100)


def by_id(topic: str) -> Any:
    return pytest.mark.parametrize("example", examples(topic), ids=lambda example: example["id"])


def expected(example: dict[str, Any]) -> list[tuple[str, Any]]:
    figures = [*example.get("printed", {}).items(), *example.get("recomputed", {}).items()]
    assert figures
    return figures


@by_id("relative_density")
def test_relative_density(example: dict[str, Any]) -> None:
    given = all_si(example["inputs"])
    worked: dict[str, Decimal] = {}
    if "percent_compaction" in given:
        ends = {
            "minimum_index_density_kgm3": given["minimum_index_density"],
            "maximum_index_density_kgm3": given["maximum_index_density"],
        }
        worked["dry_density"] = given["percent_compaction"] * given["maximum_index_density"] / HUNDRED
        worked["relative_density"] = relative_density.relative_density_pct(
            dry_density_kgm3=worked["dry_density"], **ends
        )
        worked["wet_density"] = worked["dry_density"] * (1 + given.get("water_content", D(0)) / HUNDRED)
        worked["percent_compaction_at_zero"] = density.percent_compaction(
            dry_density_kgm3=relative_density.dry_density_at_relative_density_kgm3(relative_density_pct=D(0), **ends),
            maximum_dry_density_kgm3=given["maximum_index_density"],
        )
    else:
        phases = {key: given[key] for key in ("specific_gravity", "maximum_void_ratio", "minimum_void_ratio")}
        findings = relative_density.printed_relative_density_findings(
            printed_figure("relative_density", example["printed"]["relative_density"]),
            wet_density_kgm3=given["wet_density"],
            water_content_pct=given["water_content"],
            water_density_kgm3=given["water_density"],
            **phases,
        )
        assert codes(findings) == example["findings"]
        if example["kind"] == "published-with-error":
            return
        worked["void_ratio"] = zero_air_voids.void_ratio(
            dry_density_kgm3=given["wet_density"] / (1 + given["water_content"] / HUNDRED),
            specific_gravity=given["specific_gravity"],
            water_density_kgm3=given["water_density"],
        )
        worked["relative_density"] = relative_density.relative_density_from_void_ratios_pct(
            void_ratio=worked["void_ratio"],
            maximum_void_ratio=given["maximum_void_ratio"],
            minimum_void_ratio=given["minimum_void_ratio"],
        )
    for name, text in expected(example):
        assert_met(text, worked[name], name=name)


@by_id("rapid_method")
def test_rapid_method(example: dict[str, Any]) -> None:
    points = [
        rapid_method.RapidPoint(added_water_pct=si(point["added_water"]), wet_density_kgm3=si(point["wet_density"]))
        for point in example["points"]
    ]
    for point, text in zip(points, (point["converted"] for point in example["points"]), strict=True):
        converted = rapid_method.converted_wet_density_kgm3(
            wet_density_kgm3=point.wet_density_kgm3, added_water_pct=point.added_water_pct
        )
        assert_met(text, converted, name="converted")
    found = rapid_method.peak(points)
    assert codes(found.findings) == example["findings"]
    fill_pct = si(example["fill_water_content"])
    deviation = rapid_method.water_content_deviation_pct(
        peak_added_water_pct=found.added_water_pct, fill_water_content_pct=fill_pct
    )
    worked = {
        "peak_added_water": found.added_water_pct,
        "peak_converted_wet_density": found.converted_wet_density_kgm3,
        "maximum_dry_density": found.converted_wet_density_kgm3 / (1 + fill_pct / HUNDRED),
        "optimum_water_content": fill_pct - deviation,
        "water_content_deviation": deviation,
    }
    if "fill_wet_density" in example:
        worked["percent_compaction"] = rapid_method.percent_compaction_pct(
            fill_wet_density_kgm3=si(example["fill_wet_density"]),
            peak_converted_wet_density_kgm3=found.converted_wet_density_kgm3,
        )
    for name, text in expected(example):
        assert_met(text, worked[name], name=name)


@by_id("family_of_curves")
def test_family_of_curves(example: dict[str, Any]) -> None:
    if "peaks" in example:
        line = family_of_curves.spine([(D(maximum), D(optimum)) for maximum, optimum in example["peaks"]])
        worked = {
            "slope": line.slope_pct_per_kgm3,
            "intercept": line.intercept_pct,
            "correlation": line.correlation,
            "residual_sd": line.residual_sd_pct,
        }
        for name, text in expected(example):
            assert_met(text, worked[name], name=name)
        return
    found = family_of_curves.one_point(
        [curve_on_the_spine(D(maximum)) for maximum in example["maxima"]],
        water_content_pct=si(example["water_content"]),
        dry_density_kgm3=si(example["dry_density"]),
    )
    worked = {
        "maximum_dry_density": found.maximum_dry_density_kgm3,
        "optimum_water_content": found.optimum_water_content_pct,
        "percent_of_optimum": found.percent_of_optimum,
    }
    for name, text in expected(example):
        assert_met(text, worked[name], name=name)


def curve_on_the_spine(maximum_pcf: Decimal) -> ReferenceFacts:
    """A curve on the spine of FC-01 with a dry limb that falls by the square of the distance from the optimum."""
    optimum = D("67.892") - D("0.4776") * maximum_pcf
    maximum = to_si(maximum_pcf, "pcf")
    shares = [D(text) for text in ("0.7", "0.8", "0.9", "1.0")]
    return ReferenceFacts(
        code=f"P-{maximum_pcf}",
        rev=1,
        approved=True,
        method="T99-A",
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        points=tuple(CurvePoint(share * optimum, maximum * (1 - (1 - share) ** 2)) for share in shares),
    )


@by_id("statistics")
def test_statistics(example: dict[str, Any]) -> None:
    if "dry_densities" in example:
        values = [100 * D(text) / D(example["maximum"]) for text in example["dry_densities"]]
    else:
        values = [D(text) for text in example["values"]]
    lower, upper = (D(example[name]) if name in example else None for name in ("lower", "upper"))
    printed = example.get("printed", {})
    worked: dict[str, Decimal] = {
        "mean": statistics.mean(values),
        "standard_deviation": statistics.standard_deviation(values),
    }
    tests = len(values)
    if lower is not None:
        worked["lower_index"] = statistics.quality_index(values, lower=lower)
        worked["percent_within"] = statistics.percent_within_limits_pct(values, lower=lower, upper=upper)
        worked["four_tests_closed_form"] = 50 + 100 * worked["lower_index"] / 3
        worked["tabulated_lower"] = statistics.as_tabulated_pct(quality_index=worked["lower_index"], tests=tests)
    if upper is not None:
        index = statistics.quality_index(values, upper=upper)
        worked["tabulated_upper"] = statistics.as_tabulated_pct(quality_index=index, tests=tests)
        worked["tabulated_both"] = worked["tabulated_lower"] + worked["tabulated_upper"] - 100
    if "lower_index_from_printed" in printed:
        assert lower is not None
        findings = statistics.printed_quality_index_findings(
            printed_figure("quality_index", printed["lower_index_from_printed"]),
            values,
            lower=lower,
            printed_standard_deviation=printed_figure("standard_deviation", printed["standard_deviation"]),
        )
        assert codes(findings) == example["findings"]
        rounded = (worked["mean"] - lower) / D(printed["standard_deviation"])
        worked["lower_index_from_printed"] = rounded
        worked["tabulated_from_printed"] = statistics.as_tabulated_pct(quality_index=rounded, tests=tests)
        worked["percent_within_from_printed"] = statistics.within_one_limit_pct(quality_index=rounded, tests=tests)
    for name, text in expected(example):
        if name == "moving_average_of_4":
            assert statistics.moving_averages(values, of=4) == [D(average) for average in text]
        else:
            assert_met(text, worked[name], name=name)


@by_id("comparison_and_uncertainty")
def test_comparison_and_uncertainty(example: dict[str, Any]) -> None:
    if "mean_count" in example:
        reference = D(example["mean_count"])
        limit = count_stability.chance_limit(reference_count=reference)
        assert_met(example["recomputed"]["chance"], reference.sqrt(), name="chance")
        assert_met(example["recomputed"]["limits_95"], limit, name="limits_95")
    elif "paired_sites" in example:
        assert int(example["paired_sites"]) == paired_comparison.PAIRS_WANTED["ATT-48"]
    elif "pairs" in example:
        pairs = [paired_comparison.Pair(name, si(gauge), si(cone)) for name, gauge, cone in example["pairs"]]
        found = paired_comparison.compare(pairs)
        assert codes(found.findings) == example["findings"]
        for name, text in expected(example):
            assert_met(text, getattr(found, name), name=name)
        assert paired_comparison.proposed_constant(found) == -found.mean_difference
    elif "quantity" in example:
        for name in ("same_operator", "between_laboratories"):
            allowed = precision.allowed_difference(
                example["quantity"],
                standard=example["standard"],
                soil=example.get("soil", ""),
                mean=si(example["mean"]),
                same_operator=name == "same_operator",
            )
            assert_met(example[name], allowed, name=name, within=example.get("within", {}).get(name, ""))
    else:
        inputs = all_si(example["inputs"])
        budget = uncertainty.percent_compaction_budget(
            dry_density=uncertainty.Input("dry", inputs["dry_density"], inputs["dry_density_uncertainty"]),
            maximum_dry_density=uncertainty.Input("max", inputs["maximum_dry_density"], inputs["maximum_uncertainty"]),
        )
        probability = uncertainty.conformity_probability_pct(
            value=budget.value, standard_uncertainty=budget.standard_uncertainty, lower=si(example["limit"])
        )
        worked = {
            "percent_compaction": budget.value,
            "standard_uncertainty": budget.standard_uncertainty,
            "conformity_probability": probability,
        }
        for name, text in expected(example):
            assert_met(text, worked[name], name=name)


def test_the_optima_of_real_curves_do_not_sit_at_one_saturation() -> None:
    """FC-01: a check that the optimum lies at 75 to 95 % saturation would refuse genuine curves; there is none."""
    peaks = next(example["peaks"] for example in examples("family_of_curves") if "peaks" in example)
    saturations = [
        zero_air_voids.saturation_pct(
            dry_density_kgm3=to_si(D(maximum), "pcf"),
            water_content_pct=D(optimum),
            specific_gravity=D("2.70"),
            water_density_kgm3=to_si(D("62.4"), "pcf"),
        )
        for maximum, optimum in peaks
    ]
    assert round(min(saturations)) == 57
    assert round(max(saturations)) == 90
    assert from_si(to_si(D(100), "pcf"), "pcf") == 100
