"""Acceptance by statistics: mean, spread, quality index, percent within limits, moving average."""

from decimal import Decimal

from compaction.calculations import acceptance_statistics as statistics
from compaction.calculations.sheet_check import printed_figure
from compaction.examples.check import Check
from compaction.examples.topic import Example, Topic

_MOVING = "moving_average_of_4"


def run(example: Example, check: Check) -> None:
    """Every figure that follows from the values and the limits given."""
    if "dry_densities" in example:
        values = [100 * Decimal(text) / Decimal(example["maximum"]) for text in example["dry_densities"]]
    else:
        values = [Decimal(text) for text in example["values"]]
    lower, upper = (Decimal(example[name]) if name in example else None for name in ("lower", "upper"))
    worked = _worked(values, lower, upper)
    printed = example.get("printed", {})
    if "lower_index_from_printed" in printed and lower is not None:
        deviation = printed["standard_deviation"]
        check.found(
            statistics.printed_quality_index_findings(
                printed_figure("quality_index", printed["lower_index_from_printed"]),
                values,
                lower=lower,
                printed_standard_deviation=printed_figure("standard_deviation", deviation),
            )
        )
        rounded, tests = (worked["mean"] - lower) / Decimal(deviation), len(values)
        worked["lower_index_from_printed"] = rounded
        worked["tabulated_from_printed"] = statistics.as_tabulated_pct(quality_index=rounded, tests=tests)
        worked["percent_within_from_printed"] = statistics.within_one_limit_pct(quality_index=rounded, tests=tests)
    check.expected(worked, but=(_MOVING,))
    for part in ("printed", "recomputed"):
        if _MOVING in example.get(part, {}):
            averages = statistics.moving_averages(values, of=4)
            texts = example[part][_MOVING]
            check.same(f"{_MOVING}, number", len(texts), len(averages))
            for place, (text, average) in enumerate(zip(texts, averages, strict=False), 1):
                check.figure(f"{_MOVING}, {place}", text, average)


def _worked(values: list[Decimal], lower: Decimal | None, upper: Decimal | None) -> dict[str, Decimal]:
    tests = len(values)
    worked = {"mean": statistics.mean(values), "standard_deviation": statistics.standard_deviation(values)}
    if lower is not None:
        worked["lower_index"] = statistics.quality_index(values, lower=lower)
        worked["percent_within"] = statistics.percent_within_limits_pct(values, lower=lower, upper=upper)
        worked["tabulated_lower"] = statistics.as_tabulated_pct(quality_index=worked["lower_index"], tests=tests)
        if tests == 4:
            worked["four_tests_closed_form"] = 50 + 100 * worked["lower_index"] / 3
    if upper is not None:
        index = statistics.quality_index(values, upper=upper)
        worked["tabulated_upper"] = statistics.as_tabulated_pct(quality_index=index, tests=tests)
    if lower is not None and upper is not None:
        worked["tabulated_both"] = worked["tabulated_lower"] + worked["tabulated_upper"] - 100
    return worked


STATISTICS = Topic(
    code="statistics",
    title="Acceptance by statistics",
    run=run,
    keys={
        "values": "results, numbers in quotes; or `dry_densities` with `maximum`",
        "dry_densities": "dry densities in the unit of `maximum`; the results are their percentages of it",
        "maximum": "maximum of the reference",
        "lower": "lower limit",
        "upper": "upper limit",
    },
    figures={
        "mean": "of the results",
        "standard_deviation": "of the sample, with n - 1",
        "lower_index": "quality index against the lower limit",
        "percent_within": "percent within the limits, by the beta form",
        "four_tests_closed_form": "50 + 100 Q/3, for four results",
        "tabulated_lower": "percent within the lower limit as a table has it, next higher whole percent",
        "tabulated_upper": "the same for the upper limit",
        "tabulated_both": "both together",
        "lower_index_from_printed": "quality index with the printed standard deviation",
        "tabulated_from_printed": "percent from that index, as a table has it",
        "percent_within_from_printed": "percent from that index, by the beta form",
        "moving_average_of_4": "list of the averages of four results in a row",
    },
)
