"""The one path from what was observed to what it means: posting, amending, preview, reassessment, rebuild check."""

from compaction.calculations import criteria
from compaction.calculations.quantities import quantise
from compaction.evaluation import choice, comparison, fractions, judging, material, remarks, rotations, severity
from compaction.evaluation.digests import inputs_digest
from compaction.evaluation.work import begin
from compaction.facts import EvaluationInputs, Outcome


def evaluate(inputs: EvaluationInputs, *, worksheet: bool = True, named: bool = True) -> Outcome:
    """The outcome of one test, from its inputs alone. What formulas refuse becomes a finding, never an error.

    Where many tests are gone through for their results, `worksheet=False` leaves out the steps and the sentences of
    the criteria, which nobody reads then, and `named=False` the digest of the inputs, by which an outcome is stored.
    Every figure, finding and result is the same.
    """
    if turned := rotations.each_turned(inputs):
        outcomes = [_evaluate(one, worksheet=worksheet, named=named) for one in turned]
        outcome = rotations.together(inputs, outcomes, inputs_digest=inputs_digest(inputs) if named else "")
    else:
        outcome = _evaluate(inputs, worksheet=worksheet, named=named)
    return severity.as_specified(outcome, inputs.specification)


def _evaluate(inputs: EvaluationInputs, *, worksheet: bool, named: bool) -> Outcome:
    work = begin(inputs, worksheet=worksheet)
    choice.settle(work)
    material.work_out(work)
    comparison.work_out(work)
    fractions.work_out(work)
    remarks.add(work)
    results = judging.judge(work)
    basis, reasons = judging.basis(work)
    return Outcome(
        result=criteria.combine((one.result, one.contractual) for one in results),
        basis=basis,
        basis_reasons=reasons,
        criteria=results,
        figures={name: quantise(work.figures[name]) for name in sorted(work.figures)},
        findings=tuple(work.findings),
        steps=work.sheet.steps,
        inputs_digest=inputs_digest(inputs) if named else "",
    )
