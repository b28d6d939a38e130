"""A specification revision as the engineer writes it: criteria, rounding rule, hold limits."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import rounding
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.facts import CriterionFacts, RoundingStep, SpecificationFacts
from compaction.records.reading import Part, day, list_of, long_text, read_record
from compaction.records.reference import REACHES
from projects import canonical

QUANTITIES: Final = ("percent_compaction", "water_content_deviation", "water_content", "air_voids", "saturation")
ROUNDED: Final = (
    "water_content",
    "dry_density",
    "maximum",
    "corrected_maximum",
    "optimum",
    "percent_compaction",
    "water_content_deviation",
    "air_voids",
    "saturation",
)
CRITERION_FIELDS: Final = (
    Field("quantity", "choice", True, "Quantity", QUANTITIES),
    Field("minimum", "percent", False, "Minimum"),
    Field("maximum", "percent", False, "Maximum"),
    Field("contractual", "yes_no", False, "Contractual"),
    Field("zone", "text", False, "Zone"),
    Field("depth_from", "length", False, "From depth below grade"),
    Field("depth_to", "length", False, "To depth below grade"),
    Field("clause", "text", False, "Clause"),
)
STEP_FIELDS: Final = (
    Field("quantity", "choice", True, "Quantity", ROUNDED),
    Field("increment", "number", True, "Increment"),
    Field("unit", "text", True, "Unit of the increment"),
    Field("method", "choice", False, "Method", ("round", "truncate")),
    Field("tie", "choice", False, "Tie", ("half_even", "half_up")),
)
FIELDS: Final = (
    Field("title", "text", True, "Title"),
    Field("absolute", "yes_no", False, "Compare unrounded (ASTM E29 absolute method)"),
    Field("oven_required", "yes_no", False, "Field moisture leaves the result provisional"),
    Field("hold_above_percent_compaction", "percent", False, "Hold above"),
    Field("review_above_percent_compaction", "percent", False, "Review above"),
    Field("saturation_tolerance", "percent", False, "Tolerance above zero air voids"),
    Field("water_density", "density", False, "Density of water"),
    Field("reach", "choice", False, "Which tests it governs", REACHES),
)

DEEPEST_M: Final = 1000


@dataclass(frozen=True)
class SpecificationRecord:
    facts: SpecificationFacts
    title: str
    reach: str
    effective_from: date | None
    reason: str


def _criterion(values: Values) -> CriterionFacts:
    minimum, maximum = values.optional_decimal("minimum"), values.optional_decimal("maximum")
    if minimum is None and maximum is None:
        raise ReadingsError([ReadingError("/criteria", "no-limit", "A criterion needs a minimum, a maximum or both.")])
    if minimum is not None and maximum is not None and minimum > maximum:
        raise ReadingsError(
            [ReadingError("/criteria", "limits-crossed", f"The minimum {minimum} lies above the maximum {maximum}.")]
        )
    for name in ("depth_from", "depth_to"):
        depth_m = values.optional_decimal(name)
        if depth_m is not None and not 0 <= depth_m <= DEEPEST_M:
            raise ReadingsError(
                [ReadingError("/criteria", "out-of-range", f"A depth below grade lies between 0 and {DEEPEST_M} m.")]
            )
    return CriterionFacts(
        number=0,
        quantity=values.text("quantity"),
        minimum=minimum,
        maximum=maximum,
        contractual=values.yes("contractual"),
        zone=values.text("zone"),
        depth_from_m=values.optional_decimal("depth_from"),
        depth_to_m=values.optional_decimal("depth_to"),
        clause=values.text("clause"),
    )


def _step(values: Values) -> RoundingStep:
    return RoundingStep(
        quantity=values.text("quantity"),
        increment=values.decimal("increment"),
        unit=values.text("unit"),
        method=values.text("method") or "round",
        tie=values.text("tie") or "half_even",
    )


def _criteria(written: Any, pointer: str) -> list[CriterionFacts]:
    items = written if isinstance(written, list) else []
    marked = [{"contractual": True, **item} if isinstance(item, Mapping) else item for item in items]
    read_all = list_of(_criterion, CRITERION_FIELDS, at_most=60)(
        marked if isinstance(written, list) else written, pointer
    )
    if not read_all:
        raise ReadingError(pointer, "no-criteria", "A specification needs at least one criterion.")
    return [replace(item, number=number) for number, item in enumerate(read_all, start=1)]


PARTS: Final = (
    Part("criteria", _criteria, required=True),
    Part("rounding", list_of(_step, STEP_FIELDS, at_most=20)),
    Part("effective_from", day),
    Part("reason", long_text),
    Part("remarks", long_text),
)


def read(body: Mapping[str, Any], *, code: str, rev: int, approved: bool = False) -> SpecificationRecord:
    """The record and the facts that an evaluation uses. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    steps = tuple(parts.get("rounding", ()))
    try:
        rounding.rule(steps, absolute=values.yes("absolute"))
    except rounding.RoundingRuleError as error:
        raise ReadingsError([ReadingError("/rounding", "rounding-rule", str(error))]) from error
    reach = values.text("reach") or "all"
    if (reach == "from_date") != ("effective_from" in parts):
        raise ReadingsError(
            [
                ReadingError(
                    "/effective_from", "reach-and-day", "Give 'effective_from' with reach 'from_date', and only then."
                )
            ]
        )
    plain = SpecificationFacts(code=code, rev=rev, approved=approved, criteria=tuple(parts["criteria"]))
    facts = replace(
        plain,
        rounding=steps,
        absolute=values.yes("absolute"),
        oven_required=values.yes("oven_required"),
        hold_above_percent_compaction=_or(values, "hold_above_percent_compaction", plain.hold_above_percent_compaction),
        review_above_percent_compaction=_or(
            values, "review_above_percent_compaction", plain.review_above_percent_compaction
        ),
        saturation_tolerance_pct=_or(values, "saturation_tolerance", plain.saturation_tolerance_pct),
        water_density_kgm3=_or(values, "water_density", plain.water_density_kgm3),
    )
    return SpecificationRecord(
        facts=replace(facts, digest=digest(facts)),
        title=values.text("title"),
        reach=reach,
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
    )


def _or(values: Values, name: str, default: Decimal) -> Decimal:
    given = values.optional_decimal(name)
    return default if given is None else given


def digest(facts: SpecificationFacts) -> str:
    """Names everything a result can depend on; the clause text is not among it."""
    return canonical.digest(
        {
            "criteria": [
                [c.quantity, c.minimum, c.maximum, c.contractual, c.zone, c.depth_from_m, c.depth_to_m]
                for c in facts.criteria
            ],
            "rounding": [[s.quantity, s.increment, s.unit, s.method, s.tie] for s in facts.rounding],
            "absolute": facts.absolute,
            "oven": facts.oven_required,
            "hold": facts.hold_above_percent_compaction,
            "review": facts.review_above_percent_compaction,
            "saturation": facts.saturation_tolerance_pct,
            "water": facts.water_density_kgm3,
        }
    )
