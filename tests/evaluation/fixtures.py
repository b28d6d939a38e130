"""The worked examples of `fixtures/worked_examples` that go through the whole evaluation."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from compaction.calculations.quantities import parse_quantity
from compaction.facts import CriterionFacts, ReferenceFacts

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples"


def example(file: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{file}.toml").read_text(encoding="utf-8"))["example"][0]


def reference_of(code: str, figures: dict[str, str], **more: Any) -> ReferenceFacts:
    return ReferenceFacts(
        code=code,
        rev=1,
        approved=True,
        method="D698-A",
        maximum_dry_density_kgm3=parse_quantity(figures["maximum_dry_density"], "density"),
        optimum_water_content_pct=parse_quantity(figures["optimum_water_content"], "percent"),
        **more,
    )


def references_of(one: dict[str, Any]) -> dict[str, ReferenceFacts]:
    return {code: reference_of(code, figures) for code, figures in one["references"].items()}


def criteria_of(one: dict[str, Any]) -> tuple[CriterionFacts, ...]:
    def limit(figures: dict[str, str], name: str) -> Decimal | None:
        return parse_quantity(figures[name], "percent") if name in figures else None

    return tuple(
        CriterionFacts(number, quantity, limit(figures, "minimum"), limit(figures, "maximum"))
        for number, (quantity, figures) in enumerate(one["criteria"].items(), 1)
    )
