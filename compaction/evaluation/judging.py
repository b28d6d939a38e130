"""The figures against the acceptance criteria of the specification, and the basis that the result stands on."""

from dataclasses import replace
from decimal import Decimal

from compaction.calculations import criteria
from compaction.calculations.criteria_selection import Selection
from compaction.calculations.criterion_conditions import bound
from compaction.calculations.quantities import quantise
from compaction.evaluation import judged_figures, selection
from compaction.evaluation.work import NO_CRITERION, Work
from compaction.facts import CriterionFacts, CriterionResult, Finding


def judge(work: Work) -> tuple[CriterionResult, ...]:
    """One result for every criterion that holds where the test is; none in an exempt area or without specification."""
    specification = work.inputs.specification
    if specification is None or work.inputs.position.exempt:
        return ()
    chosen = selection.chosen(work.inputs, oversize_pct=work.oversize_pct, figures=work.figures)
    _remark_selection(work, chosen)
    decides = not specification.purposes or work.inputs.observation.purpose in specification.purposes
    if not decides:
        _remark_purpose(work, specification.purposes)
    judged = [_judge_one(work, criterion, decides) for criterion in chosen.criteria]
    results = [one for one in judged if one is not None]
    _remark_no_density(work, chosen)
    results += [_unknown(one, wanted, decides) for one, wanted in _unjudged(chosen)]
    return tuple(results)


def _result(
    criterion: CriterionFacts,
    decides: bool,
    result: str,
    sentence: str,
    found: Decimal | None = None,
    judged: Decimal | None = None,
    margin: Decimal | None = None,
) -> CriterionResult:
    return CriterionResult(
        criterion.number,
        criterion.quantity,
        criteria.KINDS[criterion.quantity],
        result,
        found,
        judged,
        criterion.minimum,
        criterion.maximum,
        margin,
        criterion.contractual and decides,
        criterion.clause,
        sentence,
        criterion.unit,
    )


def _judge_one(work: Work, criterion: CriterionFacts, decides: bool) -> CriterionResult | None:
    """The result of a criterion that holds; None where a crew did not write what it judges, which is remarked."""
    if refused := _other_effort(work, criterion):
        return _result(criterion, decides, NO_CRITERION, refused)
    found = judged_figures.found(work, criterion.quantity)
    if found is None and criterion.quantity in judged_figures.STATED:
        _remark_wanted(work, criterion, (judged_figures.STATED[criterion.quantity],))
        return None
    if found is None:
        result, sentence = judged_figures.why_not(work, criterion.quantity)
        return _result(criterion, decides, result, sentence)
    judgement = criteria.judge(
        quantity=criterion.quantity,
        found_pct=found,
        minimum=criterion.minimum,
        maximum=criterion.maximum,
        rule=work.rule,
        words=work.sheet.keeps,
        unit=criterion.unit,
    )
    result, judged, margin, sentence = judgement
    return _result(criterion, decides, result, sentence, quantise(found), judged, margin)


def _other_effort(work: Work, criterion: CriterionFacts) -> str:
    """Why a limit bound to laboratory methods is not applied to a maximum of another, with a finding; else ""."""
    if not criterion.reference_methods:
        return ""
    method = selection.reference_method(work.inputs)
    if not method or bound(criterion.reference_methods, method):
        return ""
    named = " or ".join(criterion.reference_methods)
    sentence = (
        f"Criterion {criterion.number} is a limit of {named}; the maximum of this test comes from {method}. It is not "
        f"judged by it: name a reference made by {named}."
    )
    numbers = {"criterion": str(criterion.number), "reference_method": method}
    work.findings.append(Finding("reference-method-not-bound", "validity", sentence, numbers))
    return sentence


def _unjudged(chosen: Selection) -> list[tuple[CriterionFacts, tuple[str, ...]]]:
    """Contractual criteria that wait for a fact, one a quantity that no other criterion judges."""
    if not chosen.facts_wanted:
        return []
    judged = {one.quantity for one in chosen.criteria if one.contractual}
    first: dict[str, tuple[CriterionFacts, tuple[str, ...]]] = {}
    for one, wanted in chosen.facts_wanted:
        if one.contractual and one.quantity not in judged:
            first.setdefault(one.quantity, (one, wanted))
    return list(first.values())


def _unknown(criterion: CriterionFacts, wanted: tuple[str, ...], decides: bool) -> CriterionResult:
    """Whether the criterion holds is not known: no limit is shown as if it did."""
    sentence = f"Which limit holds depends on {' and '.join(wanted)}, which is not known."
    free = replace(criterion, minimum=None, maximum=None, clause="")
    return _result(free, decides, NO_CRITERION, sentence)


def _remark_no_density(work: Work, chosen: Selection) -> None:
    """Where conditions leave a test without any limit on density, that is said: it may pass on the rest alone."""
    specification = work.inputs.specification
    if specification is None or not selection.looks_at_more(specification):
        return
    judged = (*chosen.criteria, *chosen.depth_wanted, *(one for one, _ in chosen.facts_wanted))
    if any(_on_density(one) for one in judged) or not any(_on_density(one) for one in specification.criteria):
        return
    work.findings.append(
        Finding(
            "no-density-criterion-holds",
            "validity",
            "The specification limits density, but none of these criteria holds here: their conditions are not met. "
            "Check zone, depth, reference and soil; ask the engineer what governs.",
        )
    )


def _on_density(criterion: CriterionFacts) -> bool:
    return criteria.KINDS[criterion.quantity] == "density"


def _remark_purpose(work: Work, purposes: tuple[str, ...]) -> None:
    work.findings.append(
        Finding(
            "purpose-does-not-count",
            "information",
            f"The specification counts tests for {', '.join(purposes)}; this one is for "
            f"{work.inputs.observation.purpose}, so that its results only inform.".replace("_", " "),
        )
    )


def _remark_wanted(work: Work, criterion: CriterionFacts, wanted: tuple[str, ...]) -> None:
    facts = " and ".join(wanted)
    work.findings.append(
        Finding(
            "fact-needed-for-criterion",
            "validity",
            f"Criterion {criterion.number} ({criteria.QUANTITIES[criterion.quantity]}) needs the {facts}, which is not "
            "known for this test. Enter it with the test, or with the sample of its reference.",
            {"criterion": str(criterion.number), "wanted": facts},
        )
    )


def _remark_selection(work: Work, chosen: Selection) -> None:
    for criterion, wanted in chosen.facts_wanted:
        _remark_wanted(work, criterion, wanted)
    if chosen.depth_wanted:
        numbers = ", ".join(str(criterion.number) for criterion in chosen.depth_wanted)
        work.findings.append(
            Finding(
                "depth-needed-for-criterion",
                "validity",
                f"Criterion {numbers} holds for a depth below grade, but the depth of this test is not known. State an "
                "elevation (with the grade of the project) or the depth below grade.",
                {"criteria": numbers},
            )
        )
    for one, other in chosen.contested:
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
    if work.inputs.observation.rapid is not None:  # its own specimens are the reference
        if specification is not None and specification.oven_required and work.water_method != "oven":
            reasons.append("rapid-method")
    elif reference is None:
        reasons.append("reference-missing")
    elif not reference.approved:
        reasons.append("reference-not-approved")
    if specification is None:
        reasons.append("specification-missing")
    elif not specification.approved:
        reasons.append("specification-not-approved")
    return ("provisional" if reasons else "final"), tuple(reasons)
