"""A specification in sentences, as a clause reads."""

from dataclasses import dataclass

from compaction.facts import CriterionFacts, SpecificationFacts
from compaction.forms.specifications import ROUNDED_WORDS
from compaction.records import frequency_words as frequencies
from compaction.records import looks, specification_diff
from compaction.records.criterion_words import beside, wanted, where
from compaction.views.display import criterion_words, length_unit, word
from projects.models import Project


@dataclass(frozen=True)
class Clause:
    """One criterion as words."""

    number: int
    sentence: str
    where: str
    contractual: bool
    as_written: str
    beside: str = ""


def clauses(project: Project, facts: SpecificationFacts) -> list[Clause]:
    """The criteria in order."""
    return [
        Clause(
            item.number, _sentence(project, item), _where(project, item), item.contractual, item.clause, beside(item)
        )
        for item in facts.criteria
    ]


def _sentence(project: Project, item: CriterionFacts) -> str:
    return f"{word(project, criterion_words(item.quantity))}: {wanted(item)}"


def _where(project: Project, item: CriterionFacts) -> str:
    return where(item, length_unit=length_unit(project), density_unit=project.units)


def retest_words(project: Project, facts: SpecificationFacts) -> str:
    """The rule of retests, or today's practice."""
    return specification_diff.retest_words(facts.retest, length_unit(project))


def looks_words(project: Project, facts: SpecificationFacts) -> dict[str, str]:
    """From when a page points something out, as stated or by common practice."""
    return looks.looks_words(facts.looks, length_unit(project))


def frequency_words(facts: SpecificationFacts) -> list[tuple[str, str]]:
    """Each rule of frequency as a sentence, with its clause."""
    return [(frequencies.sentence(rule), rule.clause) for rule in facts.frequency]


def rounding_words(facts: SpecificationFacts) -> list[str]:
    """The rounding rule, step by step."""
    if facts.absolute:
        return ["Figures are compared unrounded (ASTM E29, absolute method)."]
    if not facts.rounding:
        return ["No rounding is named: figures are compared as they are worked out."]
    told = []
    for step in facts.rounding:
        what = ROUNDED_WORDS[step.quantity]
        increment = format(step.increment.normalize(), "f")
        if step.method == "truncate":
            told.append(f"{what}: cut off to {increment} {step.unit}")
        else:
            tie = "a tie goes to the even digit" if step.tie == "half_even" else "a tie goes up"
            told.append(f"{what}: rounded to {increment} {step.unit}; {tie}")
    return told
