"""The one path from what was observed to what it means: posting, amending, preview, reassessment, rebuild check."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Final

from compaction.calculations import criteria
from compaction.calculations.quantities import quantise_all
from compaction.evaluation import choice, comparison, fractions, judging, material, remarks, rotations, severity
from compaction.evaluation.digests import inputs_digest
from compaction.evaluation.work import Work, begin
from compaction.facts import CriterionResult, EvaluationInputs, Outcome

#: What an evaluation goes through before it is judged, in this order.
STAGES: Final = (choice.settle, material.work_out, comparison.work_out, fractions.work_out, remarks.add)
#: How many tests go through a stage one after the other: few enough that their figures stay in the cache as well.
TOGETHER: Final = 40


def evaluate(inputs: EvaluationInputs, *, worksheet: bool = True, named: bool = True) -> Outcome:
    """The outcome of one test, from its inputs alone. What formulas refuse becomes a finding, never an error.

    Where tests are gone through for their results, `worksheet=False` leaves out the steps and the sentences of the
    criteria, which nobody reads then, and `named=False` the digest of the inputs, by which an outcome is stored. Every
    figure, finding and result is the same.
    """
    return next(_evaluated((inputs,), worksheet=worksheet, named=named))


def evaluate_all(tests: Iterable[EvaluationInputs], *, worksheet: bool = True, named: bool = True) -> Iterator[Outcome]:
    """The outcomes of many tests in their order, each the same as that of `evaluate`.

    A number of tests go through each stage together: its code is then in the processor's cache for all of them but the
    first, which saves a quarter of the time.
    """
    rest = iter(tests)
    while several := tuple(islice(rest, TOGETHER)):
        yield from _evaluated(several, worksheet=worksheet, named=named)


def _evaluated(tests: Sequence[EvaluationInputs], *, worksheet: bool, named: bool) -> Iterator[Outcome]:
    """Each test, or each turned reading of one whose readings are judged apart, is worked out by itself."""
    apart = [rotations.each_turned(inputs) for inputs in tests]
    readings = [one for inputs, turned in zip(tests, apart, strict=True) for one in turned or (inputs,)]
    works = [begin(inputs, worksheet=worksheet) for inputs in readings]
    for stage in STAGES:
        for work in works:
            stage(work)
    results = [judging.judge(work) for work in works]
    names = [inputs_digest(inputs) if named else "" for inputs in tests]
    worked = zip(works, results, strict=True)
    for inputs, turned, name in zip(tests, apart, names, strict=True):
        outcomes = [_outcome(*next(worked), name) for _ in turned or (inputs,)]
        outcome = rotations.together(inputs, outcomes, inputs_digest=name) if turned else outcomes[0]
        yield severity.as_specified(outcome, inputs.specification)


def _outcome(work: Work, results: tuple[CriterionResult, ...], name: str) -> Outcome:
    basis, reasons = judging.basis(work)
    return Outcome(
        result=criteria.combine([(one.result, one.contractual) for one in results]),
        basis=basis,
        basis_reasons=reasons,
        criteria=results,
        figures=quantise_all(work.figures),
        findings=tuple(work.findings),
        steps=work.sheet.steps,
        inputs_digest=name,
    )
