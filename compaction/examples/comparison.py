"""Gauge against sand cone, chance in counts, precision, uncertainty."""

from decimal import Decimal

from compaction.calculations import count_stability, paired_comparison, precision, uncertainty
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic

_OPERATORS = ("same_operator", "between_laboratories")


def run(example: Example, check: Check) -> None:
    """What the example is about is told by the keys it has."""
    if "mean_count" in example:
        count = Decimal(example["mean_count"])
        limits = count_stability.chance_limit(reference_count=count)
        check.expected({"chance": count.sqrt(), "limits_95": limits})
    elif "paired_sites" in example:
        standard = example.get("standard", "ATT-48")
        check.same("paired_sites", int(example["paired_sites"]), paired_comparison.PAIRS_WANTED[standard])
    elif "pairs" in example:
        _pairs(example, check)
    elif "quantity" in example:
        for name in _OPERATORS:
            allowed = precision.allowed_difference(
                example["quantity"],
                standard=example["standard"],
                soil=example.get("soil", ""),
                mean=si(example["mean"], "mean"),
                same_operator=name == "same_operator",
            )
            check.figure(name, example[name], allowed)
    else:
        _budget(example, check)


def _pairs(example: Example, check: Check) -> None:
    pairs = [
        paired_comparison.Pair(name, si(gauge, f"pairs[{place}]"), si(cone, f"pairs[{place}]"))
        for place, (name, gauge, cone) in enumerate(example["pairs"], 1)
    ]
    found = paired_comparison.compare(pairs)
    check.found(found.findings)
    names = ("mean_difference", "standard_deviation", "confidence_low", "confidence_high", "agreement_low")
    worked = {name: getattr(found, name) for name in (*names, "agreement_high", "t")}
    worked["proposed_constant"] = paired_comparison.proposed_constant(found)
    check.expected(worked)


def _budget(example: Example, check: Check) -> None:
    given = {name: si(text, f"inputs.{name}") for name, text in example["inputs"].items()}
    budget = uncertainty.percent_compaction_budget(
        dry_density=uncertainty.Input("dry", given["dry_density"], given["dry_density_uncertainty"]),
        maximum_dry_density=uncertainty.Input("max", given["maximum_dry_density"], given["maximum_uncertainty"]),
    )
    probability = uncertainty.conformity_probability_pct(
        value=budget.value, standard_uncertainty=budget.standard_uncertainty, lower=si(example["limit"], "limit")
    )
    check.expected(
        {
            "percent_compaction": budget.value,
            "standard_uncertainty": budget.standard_uncertainty,
            "conformity_probability": probability,
        }
    )


COMPARISON = Topic(
    code="comparison_and_uncertainty",
    title="Gauge against sand cone, counts, precision, uncertainty",
    run=run,
    keys={
        "mean_count": "mean of a series of counts, a number in quotes",
        "paired_sites": "number of pairs that a rule wants, with `standard`",
        "pairs": "a name, the gauge's and the sand cone's figure",
        "quantity": "quantity whose precision is asked, with `standard`, `mean` and the two differences",
        "standard": "whose rule or precision it is",
        "soil": "class of soil, where the precision depends on it",
        "mean": "mean of the two results",
        "same_operator": "difference allowed to one operator",
        "between_laboratories": "difference allowed between laboratories",
        "limit": "lower limit, with the inputs below",
    },
    inputs={
        "dry_density": "dry density",
        "dry_density_uncertainty": "its standard uncertainty",
        "maximum_dry_density": "maximum of the reference",
        "maximum_uncertainty": "its standard uncertainty",
    },
    figures={
        "chance": "standard deviation of one count by chance alone",
        "limits_95": "95 % limits of one count by chance alone",
        "mean_difference": "of the pairs, gauge less sand cone",
        "standard_deviation": "of the differences",
        "confidence_low": "95 % confidence interval of the mean difference",
        "confidence_high": "its upper end",
        "agreement_low": "95 % limits of agreement",
        "agreement_high": "their upper end",
        "t": "of the paired test",
        "proposed_constant": "to be added to the gauge",
        "percent_compaction": "of the budget",
        "standard_uncertainty": "of percent compaction",
        "conformity_probability": "that the true value meets the limit",
    },
)
