"""One test of an example through the whole evaluation, as if it had been posted."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from compaction import evaluation, observation
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example
from compaction.facts import (
    CriterionFacts,
    EvaluationInputs,
    Outcome,
    PositionFacts,
    ReferenceFacts,
    RoundingStep,
    SpecificationFacts,
)

_MADE_AT: Final = "2026-06-03T09:15:00Z"


def evaluate(
    body: Mapping[str, Any],
    *,
    reference: ReferenceFacts,
    criteria: Example,
    rounding: tuple[RoundingStep, ...] = (),
    siblings: tuple[ReferenceFacts, ...] = (),
    **more: Any,
) -> Outcome:
    """The outcome of a test as a client would post it, judged by one reference and the criteria given."""
    try:
        observed = observation.read({"performed_at": _MADE_AT, "purpose": "acceptance", "reference": "P-1", **body})
    except observation.ContentError as error:
        raise BrokenExample("readings", str(error), "Write them as in a test that is posted.") from error
    specification = SpecificationFacts(
        code="EXAMPLE", rev=1, approved=True, criteria=_criteria(criteria), rounding=rounding, **more
    )
    return evaluation.evaluate(
        EvaluationInputs(
            observation=observed,
            position=PositionFacts(),
            reference=reference,
            specification=specification,
            sibling_references=siblings,
        )
    )


def _criteria(criteria: Example) -> tuple[CriterionFacts, ...]:
    def end(quantity: str, limits: Example, name: str) -> Decimal | None:
        return si(limits[name], f"criteria.{quantity}.{name}") if name in limits else None

    return tuple(
        CriterionFacts(number, quantity, end(quantity, limits, "minimum"), end(quantity, limits, "maximum"))
        for number, (quantity, limits) in enumerate(criteria.items(), 1)
    )


def rounding(example: Example) -> tuple[RoundingStep, ...]:
    """The steps of an example's rounding rule."""
    return tuple(
        RoundingStep(step["quantity"], Decimal(step["increment"]), step["unit"]) for step in example.get("rounding", [])
    )


def reference(code: str, figures: Example, **more: Any) -> ReferenceFacts:
    """A reference from its maximum and optimum."""
    return ReferenceFacts(
        code=code,
        rev=1,
        approved=True,
        method="D698-A",
        maximum_dry_density_kgm3=si(figures["maximum_dry_density"], f"references.{code}.maximum_dry_density"),
        optimum_water_content_pct=si(figures["optimum_water_content"], f"references.{code}.optimum_water_content"),
        **more,
    )
