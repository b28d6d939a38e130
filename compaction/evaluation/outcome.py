"""The one path from what was observed to what it means: posting, amending, preview, reassessment, rebuild check."""

from compaction.calculations import criteria
from compaction.calculations.quantities import quantise
from compaction.evaluation import comparison, fractions, judging, material, remarks
from compaction.evaluation.digests import inputs_digest
from compaction.evaluation.work import begin
from compaction.facts import EvaluationInputs, Outcome


def evaluate(inputs: EvaluationInputs) -> Outcome:
    """The outcome of one test, from its inputs alone. What formulas refuse becomes a finding, never an error."""
    work = begin(inputs)
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
        figures={name: quantise(value) for name, value in sorted(work.figures.items())},
        findings=tuple(work.findings),
        steps=work.sheet.steps,
        inputs_digest=inputs_digest(inputs),
    )
