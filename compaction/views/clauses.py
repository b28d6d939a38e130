"""A specification in sentences, as a clause reads."""

from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.criteria import limits_text
from compaction.facts import CriterionFacts, SpecificationFacts
from compaction.views.display import length, percent, word
from projects.models import Project


@dataclass(frozen=True)
class Clause:
    """One criterion as words."""

    number: int
    sentence: str
    where: str
    contractual: bool
    as_written: str


def clauses(project: Project, facts: SpecificationFacts) -> list[Clause]:
    """The criteria in order."""
    return [
        Clause(item.number, _sentence(project, item), _where(project, item), item.contractual, item.clause)
        for item in facts.criteria
    ]


def _sentence(project: Project, item: CriterionFacts) -> str:
    name = word(project, item.quantity.replace("_", " "))
    if item.minimum is not None and item.maximum is None:
        limit = f"at least {limits_text(item.minimum, None)} %"
    elif item.quantity == "water_content_deviation" and item.minimum is not None and item.maximum is not None:
        return f"{name}: from {_side(item.minimum)} to {_side(item.maximum)}"
    else:
        limit = f"{limits_text(item.minimum, item.maximum)} %"
    return f"{name}: {limit}".replace("-", "\u2212")


def _side(value: Decimal) -> str:
    if value == 0:
        return "optimum"
    return f"{percent(abs(value))} % {'dry' if value < 0 else 'wet'} of optimum"


def _where(project: Project, item: CriterionFacts) -> str:
    where = f"in {item.zone}" if item.zone else "everywhere"
    if item.depth_from_m is not None and item.depth_to_m is not None:
        return f"{where}, from {length(project, item.depth_from_m)} to {length(project, item.depth_to_m)} below grade"
    if item.depth_from_m is not None:
        return f"{where}, deeper than {length(project, item.depth_from_m)} below grade"
    if item.depth_to_m is not None:
        return f"{where}, down to {length(project, item.depth_to_m)} below grade"
    return where


def rounding_words(facts: SpecificationFacts) -> list[str]:
    """The rounding rule, step by step."""
    if facts.absolute:
        return ["Figures are compared unrounded (ASTM E29, absolute method)."]
    if not facts.rounding:
        return ["No rounding is named: figures are compared as they are worked out."]
    told = []
    for step in facts.rounding:
        what = step.quantity.replace("_", " ")
        increment = format(step.increment.normalize(), "f")
        if step.method == "truncate":
            told.append(f"{what}: cut off to {increment} {step.unit}")
        else:
            tie = "a tie goes to the even digit" if step.tie == "half_even" else "a tie goes up"
            told.append(f"{what}: rounded to {increment} {step.unit}; {tie}")
    return told
