"""The figures against the acceptance criteria of the specification, and the basis that the result stands on."""

from compaction.calculations import criteria
from compaction.calculations.quantities import quantise
from compaction.evaluation.work import FIGURE_OF, NO_CRITERION, Work
from compaction.facts import CriterionFacts, CriterionResult, Finding


def judge(work: Work) -> tuple[CriterionResult, ...]:
    """One result for every criterion that holds where the test is; none in an exempt area or without specification."""
    specification, position = work.inputs.specification, work.inputs.position
    if specification is None or position.exempt:
        return ()
    selection = criteria.select(specification.criteria, zone=position.zone, depth_m=position.depth_below_grade_m)
    _remark_selection(work, selection)
    return tuple(_judge_one(work, criterion) for criterion in selection.criteria)


def _judge_one(work: Work, criterion: CriterionFacts) -> CriterionResult:
    found = work.figures.get(FIGURE_OF[criterion.quantity])
    kind = criteria.KINDS[criterion.quantity]
    if found is None:
        result, sentence = work.missing.get(criterion.quantity, (NO_CRITERION, "The figure is not known."))
        return CriterionResult(
            number=criterion.number,
            quantity=criterion.quantity,
            kind=kind,
            result=result,
            found=None,
            judged=None,
            minimum=criterion.minimum,
            maximum=criterion.maximum,
            margin=None,
            contractual=criterion.contractual,
            clause=criterion.clause,
            sentence=sentence,
        )
    judgement = criteria.judge(
        quantity=criterion.quantity,
        found_pct=found,
        minimum=criterion.minimum,
        maximum=criterion.maximum,
        rule=work.rule,
    )
    return CriterionResult(
        number=criterion.number,
        quantity=criterion.quantity,
        kind=kind,
        result=judgement.result,
        found=quantise(found),
        judged=judgement.judged,
        minimum=criterion.minimum,
        maximum=criterion.maximum,
        margin=judgement.margin,
        contractual=criterion.contractual,
        clause=criterion.clause,
        sentence=judgement.sentence,
    )


def _remark_selection(work: Work, selection: criteria.Selection) -> None:
    if selection.depth_wanted:
        numbers = ", ".join(str(criterion.number) for criterion in selection.depth_wanted)
        work.findings.append(
            Finding(
                "depth-needed-for-criterion",
                "validity",
                f"Criterion {numbers} holds for a depth below grade, but the depth of this test is not known. State an "
                "elevation (with the grade of the project) or the depth below grade.",
                {"criteria": numbers},
            )
        )
    for one, other in selection.contested:
        work.findings.append(
            Finding(
                "criteria-overlap",
                "validity",
                f"Criteria {one} and {other} of the specification claim the same quantity at the same place; the lower "
                "number was applied. Correct the specification.",
                {"criteria": f"{one}, {other}"},
            )
        )


def basis(work: Work) -> tuple[str, tuple[str, ...]]:
    """ "final" or "provisional", and the codes of the reasons for the latter."""
    reasons = []
    specification, reference = work.inputs.specification, work.inputs.reference
    if specification is not None and specification.oven_required and work.water_method not in ("oven", ""):
        reasons.append("field-moisture")
    if reference is None:
        reasons.append("reference-missing")
    elif not reference.approved:
        reasons.append("reference-not-approved")
    if specification is None:
        reasons.append("specification-missing")
    elif not specification.approved:
        reasons.append("specification-not-approved")
    return ("provisional" if reasons else "final"), tuple(reasons)
