"""What is wrong and what to do about it at the spot, in plain words."""

from decimal import Decimal

from compaction.facts import CriterionResult, Outcome
from compaction.views.display import with_unit, word
from projects.models import Project


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
    found, by = with_unit(item.judged, item.unit), with_unit(abs(item.margin or Decimal(0)), item.unit)
    low = item.minimum is not None and item.judged < item.minimum
    if item.kind == "density" and low:
        name = "Relative density" if item.quantity == "relative_density" else "Density"
        return (
            f"{name} is {by} short ({found}). More passes on the same {word(project, 'lift')} at the right "
            f"{word(project, 'water content')}. If it does not come up, the {word(project, 'reference')} may be wrong."
        )
    if item.kind == "moisture" and low:
        return f"Too dry by {by}: wet it, mix it in, roll again."
    if item.kind == "moisture":
        return f"Too wet by {by}: dry or aerate it, roll again."
    return f"{item.quantity.replace('_', ' ').capitalize()} is outside its limit by {by} ({found})."
