"""What is wrong and what to do about it at the spot, in plain words."""

from decimal import Decimal

from compaction.facts import CriterionResult, Outcome
from compaction.views.display import number, word
from projects.models import Project

_TENTH = Decimal("0.1")


def advice(project: Project, outcome: Outcome) -> list[str]:
    """Sentences in the order in which they matter; empty where nothing is to be done."""
    told = [f"Do not leave yet: {finding.sentence}" for finding in outcome.holds]
    failing = [item for item in outcome.criteria if item.contractual and item.result == "fail"]
    told += [_failing(project, item) for item in failing]
    if failing:
        told.append(
            "Tell the foreman now and note whom you told. Mark the area; after rework test again at the same spot."
        )
    if outcome.result == "pending" or any(item.result.startswith("pending") for item in outcome.criteria):
        told.append(f"Keep a sample for the oven: the result stands only with its {word(project, 'water content')}.")
    return told


def _failing(project: Project, item: CriterionResult) -> str:
    if item.judged is None:
        return "A criterion fails."
    found = number(item.judged, _TENTH if item.judged == item.judged.quantize(_TENTH) else Decimal("0.01"))
    short = (
        number(abs(item.margin), _TENTH if item.margin == item.margin.quantize(_TENTH) else Decimal("0.01"))
        if item.margin
        else "0"
    )
    low = item.minimum is not None and item.judged < item.minimum
    if item.kind == "density":
        return (
            f"Density is {short} % short ({found} %). More passes on the same {word(project, 'lift')} at the right "
            f"{word(project, 'water content')}; if it does not come up, the {word(project, 'reference')} may not be the right one."
            if low
            else f"Density is {short} % above the limit ({found} %)."
        )
    if item.kind == "moisture":
        return (
            f"Too dry by {short} %: wet it, mix it in, roll again."
            if low
            else f"Too wet by {short} %: dry or aerate it, roll again."
        )
    return f"{item.quantity.replace('_', ' ').capitalize()} is outside its limit by {short} ({found} %)."
