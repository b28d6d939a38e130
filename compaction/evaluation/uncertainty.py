"""How sure the figures of one test are, through the same path that worked them out. The verdict never follows from it.

The model of every budget is the evaluation itself, without its rounding rule; so that what enters twice (water content
in the dry density and in the oversize) is followed with its correlation. Sources: JCGM 100:2008, clause 5;
JCGM 106:2012, clauses 7 and 8.3 (from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import CalculationError, OutsideValidity
from compaction.calculations.uncertainty import Budget, Input, budget, conformity_probability_pct
from compaction.evaluation import choice, comparison, material, rotations, selection
from compaction.evaluation.outcome import evaluate
from compaction.evaluation.uncertain_inputs import UncertainInput, one_reading, uncertain_inputs
from compaction.evaluation.work import FIGURE_OF, begin
from compaction.facts import CriterionFacts, EvaluationInputs

COVERAGE_FACTOR: Final = Decimal(2)
#: figures that get a budget where they are known, beside those that criteria judge
FIGURES: Final = ("wet_density_kgm3", "water_content_pct", "dry_density_unrounded_kgm3", "percent_compaction")
NOTES: Final = (
    "Inputs are taken as independent of each other; what enters twice is followed through the whole calculation.",
    "Masses on one balance share its error of scale, which partly cancels in a difference: taken as independent it is "
    "overstated.",
    "Sand that has changed moves its bulk density and the sand in the cone the same way: taken as independent that is "
    "understated.",
    "What biases a test (walls squeezing in, soil lost, oversize left out) does not scatter and is not in here; the "
    "findings tell it.",
    "The verdict is made from the figure itself, as the specification says. Nothing here changes it.",
)


@dataclass(frozen=True)
class Conformity:
    """One criterion: the probability that the true figure meets it, and its limits with a guard band of U = k u."""

    number: int
    quantity: str
    value: Decimal
    minimum: Decimal | None
    maximum: Decimal | None
    probability_pct: Decimal
    guard_band: Decimal

    @property
    def guarded_minimum(self) -> Decimal | None:
        """The minimum raised by the guard band (JCGM 106, clause 8.3.2)."""
        return None if self.minimum is None else self.minimum + self.guard_band

    @property
    def guarded_maximum(self) -> Decimal | None:
        """The maximum lowered by the guard band."""
        return None if self.maximum is None else self.maximum - self.guard_band

    @property
    def beyond_guard_band(self) -> bool:
        """Whether the figure lies within the limits by more than the guard band."""
        low, high = self.guarded_minimum, self.guarded_maximum
        return (low is None or self.value >= low) and (high is None or self.value <= high)


@dataclass(frozen=True)
class UncertaintyReport:
    """The budgets of the figures, what they mean for each criterion, and what was assumed."""

    budgets: tuple[Budget, ...]
    conformities: tuple[Conformity, ...]
    notes: tuple[str, ...] = NOTES
    coverage_factor: Decimal = COVERAGE_FACTOR
    inputs: tuple[Input, ...] = ()  # every input looked at, those without effect included


def report(inputs: EvaluationInputs, *, stated: Mapping[str, Decimal] | None = None) -> UncertaintyReport:
    """Budgets and conformity of one test; `stated` are standard uncertainties (SI) by name of the input.

    Figures that could not be worked out have no budget; inputs without effect on any figure are left out.
    """
    turned = rotations.each_turned(inputs)
    return _apart(turned, stated or {}) if turned else _of_one(one_reading(inputs), stated or {})


def _apart(turned: Sequence[EvaluationInputs], stated: Mapping[str, Decimal]) -> UncertaintyReport:
    """Readings judged apart: the budgets are of the reading whose figures stand, each criterion is by its own."""
    outcomes = [evaluate(one, worksheet=False, named=False) for one in turned]
    worst, deciding = rotations.worst_place(outcomes), rotations.deciding_places(outcomes)
    reports = {place: _of_one(turned[place], stated) for place in {worst, *deciding.values()}}
    conformities = tuple(
        one for number, place in deciding.items() for one in reports[place].conformities if one.number == number
    )
    said = f"Of {len(turned)} readings judged apart these are the figures of reading {worst + 1}, which decides."
    others = sorted({place + 1 for place in deciding.values()} - {worst + 1})
    if others:
        said += f" A limit that reading {' or '.join(map(str, others))} meets least is told with that reading."
    return replace(reports[worst], conformities=conformities, notes=(said, *NOTES))


def _of_one(inputs: EvaluationInputs, stated: Mapping[str, Decimal]) -> UncertaintyReport:
    inputs = _settled(inputs)
    uncertain = uncertain_inputs(inputs, stated=stated)
    asked = dict.fromkeys((*FIGURES, *(FIGURE_OF[one.quantity] for one in _criteria(inputs))))
    if inputs.observation.rapid is not None:  # worked from specimens of the fill, which have no budget here
        asked = {name: None for name in asked if name in FIGURES[:3]}
    chain = _Chain(inputs, uncertain)
    known = chain.figures({one.input.name: one.input.value for one in uncertain})
    budgets = tuple(
        budget(name, lambda values, name=name: chain.figure(name, values), [one.input for one in uncertain])  # type: ignore[misc]
        for name in asked
        if name in known
    )
    budgets = tuple(replace(one, lines=tuple(line for line in one.lines if line.contribution)) for one in budgets)
    return UncertaintyReport(
        budgets, tuple(_conformities(inputs, budgets)), inputs=tuple(one.input for one in uncertain)
    )


def _settled(inputs: EvaluationInputs) -> EvaluationInputs:
    """With the reference that governs in its place, and without rounding: neither is to be worked again."""
    specification = inputs.specification
    if specification is not None:
        inputs = replace(inputs, specification=replace(specification, rounding=(), absolute=True))
    work = begin(inputs, worksheet=False)
    choice.settle(work)
    settled = work.inputs
    if settled.reference is not None and settled.reference.kind == choice.FAMILY:
        settled = replace(settled, reference=replace(settled.reference, kind="moisture_density"))
    return settled


class _Chain:
    """The evaluation as a function of its uncertain inputs; each set of values is worked once for all figures."""

    def __init__(self, inputs: EvaluationInputs, uncertain: tuple[UncertainInput, ...]) -> None:
        self._inputs = inputs
        self._uncertain = uncertain
        self._worked: dict[tuple[Decimal, ...], Mapping[str, Decimal]] = {}

    def figures(self, values: Mapping[str, Decimal]) -> Mapping[str, Decimal]:
        key = tuple(values[one.input.name] for one in self._uncertain)
        if key not in self._worked:
            inputs = self._inputs
            for one, value in zip(self._uncertain, key, strict=True):
                if value != one.input.value:
                    inputs = one.put(inputs, value)
            work = begin(inputs, worksheet=False)
            try:
                material.work_out(work)
                comparison.work_out(work)
            except CalculationError:
                work.figures.clear()
            self._worked[key] = work.figures
        return self._worked[key]

    def figure(self, name: str, values: Mapping[str, Decimal]) -> Decimal:
        found = self.figures(values).get(name)
        if found is None:
            raise OutsideValidity("figure-not-known", f"The {name.replace('_', ' ')} cannot be worked out there.")
        return found


def _criteria(inputs: EvaluationInputs) -> tuple[CriterionFacts, ...]:
    return tuple(one for one in selection.chosen(inputs).criteria if one.quantity in FIGURE_OF)


def _conformities(inputs: EvaluationInputs, budgets: tuple[Budget, ...]) -> list[Conformity]:
    by_figure = {one.name: one for one in budgets}
    found = []
    for criterion in _criteria(inputs):
        one = by_figure.get(FIGURE_OF[criterion.quantity])
        if one is None or (criterion.minimum is None and criterion.maximum is None):
            continue
        probability = conformity_probability_pct(
            value=one.value,
            standard_uncertainty=one.standard_uncertainty,
            lower=criterion.minimum,
            upper=criterion.maximum,
        )
        band = one.expanded(COVERAGE_FACTOR)
        found.append(
            Conformity(
                criterion.number,
                criterion.quantity,
                one.value,
                criterion.minimum,
                criterion.maximum,
                probability,
                band,
            )
        )
    return found
