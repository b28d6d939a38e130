"""Bodies and inputs with believable values, as plain functions."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from compaction import observation
from compaction.calculations.quantities import parse_quantity
from compaction.facts import (
    CriterionFacts,
    EvaluationInputs,
    Observation,
    PositionFacts,
    ReferenceFacts,
    RoundingStep,
    SpecificationFacts,
)

D = Decimal
PERFORMED_AT = datetime(2026, 6, 3, 15, 15, tzinfo=UTC)


def pcf(text: str) -> Decimal:
    return parse_quantity(f"{text} pcf", "density")


def cone_body(**changes: Any) -> dict[str, Any]:
    """The hole of PC-CHAIN (constructed by pencil), 12.4 % of the whole material."""
    body: dict[str, Any] = {
        "performed_at": "2026-06-03T09:15:00-06:00",
        "label": "1201",
        "technician": "a.technician",
        "purpose": "acceptance",
        "method": "sand_cone",
        "readings": {
            "mass_before": "6842 g",
            "mass_after": "2871 g",
            "cone_and_plate_mass": "1612 g",
            "sand_bulk_density": "1.412 g/cm3",
            "soil_wet_mass": "3421 g",
        },
        "water_contents": [{"method": "oven", "fraction": "total", "value": "12.4 %"}],
        "reference": "P-1",
        "position": {"alignment": "main", "station": "12+34.56", "offset": "15 L"},
        "lift": 4,
    }
    body.update(changes)
    return {name: value for name, value in body.items() if value is not None}


OVERSIZE = {
    "sieve": "no4",
    "basis": "this_hole",
    "percent": "18 %",
    "bulk_specific_gravity": "2.62",
    "water_content": "1.5 %",
}


def gauge_body(
    *, wet: str, water_content: str | None = None, water: str | None = None, **changes: Any
) -> dict[str, Any]:
    readings = {
        "mode": "direct_transmission",
        "depth": "6 in",
        "serial": "G-7",
        "density_standard_count": 2874,
        "moisture_standard_count": 660,
        "wet_density": wet,
    }
    readings |= {"water_content": water_content} if water is None else {"water": water}
    return cone_body(**{"method": "nuclear_gauge", "readings": readings, "water_contents": None} | changes)


def sheet_body(*, dry: str, water_content: str | None, **changes: Any) -> dict[str, Any]:
    readings = {"dry_density": dry} | ({} if water_content is None else {"water_content": water_content})
    return cone_body(**{"method": "transcribed", "readings": readings, "water_contents": None} | changes)


def reference(maximum: str = "118.0", optimum: str = "13.0", **changes: Any) -> ReferenceFacts:
    """A reference whose maximum is given in pcf."""
    facts: dict[str, Any] = {
        "code": "P-1",
        "rev": 1,
        "approved": True,
        "method": "D698-A",
        "maximum_dry_density_kgm3": pcf(maximum),
        "optimum_water_content_pct": D(optimum),
    }
    return ReferenceFacts(**facts | changes)


def criterion(
    number: int, quantity: str, minimum: str | None, maximum: str | None = None, **more: Any
) -> CriterionFacts:
    return CriterionFacts(
        number=number,
        quantity=quantity,
        minimum=None if minimum is None else D(minimum),
        maximum=None if maximum is None else D(maximum),
        **more,
    )


DENSITY_95 = criterion(1, "percent_compaction", "95")


def specification(*criteria: CriterionFacts, **changes: Any) -> SpecificationFacts:
    facts: dict[str, Any] = {"code": "EARTH", "rev": 1, "approved": True, "criteria": criteria or (DENSITY_95,)}
    return SpecificationFacts(**facts | changes)


def to_tenth_percent(**changes: Any) -> RoundingStep:
    return RoundingStep(**{"quantity": "percent_compaction", "increment": D("0.1"), "unit": "%"} | changes)


def inputs(
    body: dict[str, Any] | Observation,
    *,
    reference: ReferenceFacts | None = None,
    specification: SpecificationFacts | None = None,
    position: PositionFacts | None = None,
    **more: Any,
) -> EvaluationInputs:
    return EvaluationInputs(
        observation=body if isinstance(body, Observation) else observation.read(body),
        position=position or PositionFacts(),
        reference=reference,
        specification=specification,
        **more,
    )
