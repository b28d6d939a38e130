"""What a revision of a specification changes against another, criterion by criterion and rule by rule, in words.

Criteria have no name of their own, and their number moves when one is put in between. They are matched first where
everything but the limits is the same, then by quantity and number; what is left is new or gone.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import describe, plain_number
from compaction.facts import CriterionFacts, RetestRule, SpecificationFacts
from compaction.records import criterion_words, frequency_words
from compaction.records.looks import looks_words

ADDED: Final = "added"
REMOVED: Final = "removed"
CHANGED: Final = "changed"


@dataclass(frozen=True)
class Difference:
    """One difference. `before` and `after` are sentences; an added criterion has no before, a removed one no after."""

    kind: str
    what: str
    before: str = ""
    after: str = ""


def differences(
    old: SpecificationFacts, new: SpecificationFacts, *, length_unit: str = "m", density_unit: str = "kg/m3"
) -> tuple[Difference, ...]:
    """Criteria in the order of the new revision, then those that are gone, then the rules beside them."""

    def say(item: CriterionFacts) -> str:
        return criterion_words.sentence(item, length_unit=length_unit, density_unit=density_unit)

    found = [*_criteria(old.criteria, new.criteria, say)]
    before, after = _rules(old, length_unit, density_unit), _rules(new, length_unit, density_unit)
    found += [
        Difference(CHANGED, name, words, after[name][1])
        for name, (value, words) in before.items()
        if value != after[name][0]
    ]
    return tuple(found)


def _criteria(
    old: tuple[CriterionFacts, ...], new: tuple[CriterionFacts, ...], say: Callable[[CriterionFacts], str]
) -> list[Difference]:
    pairs: dict[int, CriterionFacts] = {}
    left = list(old)
    for key in (_all_of_it, _place, lambda item: (item.quantity, item.number)):
        for item in new:
            if item.number in pairs:
                continue
            match = next((one for one in left if key(one) == key(item)), None)
            if match is not None:
                pairs[item.number] = match
                left.remove(match)
    found = []
    for item in new:
        match = pairs.get(item.number)
        if match is None:
            found.append(Difference(ADDED, f"criterion {item.number}", after=_with_clause(item, say)))
        elif _all_of_it(match) != _all_of_it(item):
            what = f"criterion {item.number}" + (f" (was {match.number})" if match.number != item.number else "")
            clauses = match.clause != item.clause
            found.append(
                Difference(
                    CHANGED,
                    what,
                    _with_clause(match, say) if clauses else say(match),
                    _with_clause(item, say) if clauses else say(item),
                )
            )
    found += [Difference(REMOVED, f"criterion {item.number}", before=_with_clause(item, say)) for item in left]
    return found


def _with_clause(item: CriterionFacts, say: Callable[[CriterionFacts], str]) -> str:
    return f"{say(item)}; clause: {item.clause}" if item.clause else say(item)


def _all_of_it(item: CriterionFacts) -> CriterionFacts:
    return replace(item, number=0)


def _place(item: CriterionFacts) -> CriterionFacts:
    return replace(item, number=0, minimum=None, maximum=None, unit="", clause="")


def _rules(facts: SpecificationFacts, length_unit: str, density_unit: str) -> dict[str, tuple[object, str]]:
    """Rule -> what it rests on, which is compared, and its words: these round, and depend on the units."""
    steps = "; ".join(f"{step.quantity.replace('_', ' ')} {describe(step)}" for step in facts.rounding)
    told = {
        "rounding": "compared unrounded (ASTM E29, absolute method)" if facts.absolute else steps or "none is named",
        "oven": "a field value leaves the result provisional" if facts.oven_required else "a field value is final",
        "held above": f"{plain_number(facts.hold_above_percent_compaction)} % compaction",
        "remarked above": f"{plain_number(facts.review_above_percent_compaction)} % compaction",
        "tolerance above zero air voids": f"{plain_number(facts.saturation_tolerance_pct)} % of saturation",
        "density of water": _density(facts.water_density_kgm3, density_unit),
        "findings that hold": ", ".join(sorted(facts.held_findings)) or "none",
        "purposes that decide": ", ".join(facts.purposes).replace("_", " ") or "all",
        "editions of test standards": ", ".join(map(" ".join, facts.editions)) or "the newest on file",
        "frequency of testing": "; ".join(frequency_words.sentence(one) for one in facts.frequency) or "none is named",
        "retests": retest_words(facts.retest, length_unit),
        **{f"pointed out, {name}": said for name, said in looks_words(facts.looks, length_unit).items()},
    }
    rests_on: dict[str, object] = {
        "density of water": facts.water_density_kgm3,
        "retests": facts.retest or RetestRule(),
    }
    return {name: (rests_on.get(name, words), words) for name, words in told.items()}


def _density(value_kgm3: Decimal, unit: str) -> str:
    return f"{plain_number(quantise(from_si(value_kgm3, unit)), decimals=3)} {unit}"


def retest_words(rule: RetestRule | None, length_unit: str) -> str:
    """The rule of retests in words, with today's practice where none is written."""
    if rule is None:
        return "one passing retest; an engineer closes"
    count = "one passing retest" if rule.passing_retests == 1 else f"{rule.passing_retests} passing retests in a row"
    near = "" if rule.distance_m is None else f" within {criterion_words.length(rule.distance_m, length_unit)}"
    closer = {"engineer": "an engineer closes", "supervisor": "a supervisor or an engineer closes"}
    return f"{count}{near}; {closer.get(rule.closed_by, 'passing tests close it')}"
