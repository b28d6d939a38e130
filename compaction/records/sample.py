"""A sample of soil as the laboratory writes it: where it is from, grain sizes, limits, and what follows from them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import classification, gradation
from compaction.calculations.classification import Classification
from compaction.calculations.errors import CalculationError, ReadingError, ReadingsError
from compaction.calculations.gradation import Fractions, Passing
from compaction.calculations.plasticity import Limits
from compaction.calculations.readings import Field, Values
from compaction.facts import Finding, ReferenceFacts, SoilFacts
from compaction.records.reading import Part, day, list_of, long_text, read_record
from compaction.records.sample_findings import limit_findings, once, or_finding, reported_findings
from projects import canonical

MOST_SIZES: Final = 40
FIELDS: Final = (
    Field("description", "text", True, "Description"),
    Field("source", "text", False, "Source"),
    Field("location", "text", False, "Location"),
    Field("alignment", "text", False, "Alignment"),
    Field("station", "text", False, "Station"),
    Field("sampled_by", "text", False, "Sampled by"),
    Field("liquid_limit", "percent", False, "Liquid limit"),
    Field("plastic_limit", "percent", False, "Plastic limit"),
    Field("non_plastic", "yes_no", False, "Non-plastic"),
    Field("liquid_limit_oven_dried", "percent", False, "Liquid limit after oven drying"),
    Field("peat", "yes_no", False, "Mainly organic matter (peat)"),
    Field("specific_gravity", "number", False, "Specific gravity of solids"),
    Field("specific_gravity_measured", "yes_no", False, "Specific gravity was measured"),
    Field("natural_water_content", "percent", False, "Natural water content"),
    Field("maximum_particle", "length", False, "Largest particle"),
    Field("reported_symbol", "text", False, "Group symbol as the laboratory reports it"),
    Field("reported_name", "text", False, "Group name as the laboratory reports it"),
    Field("aashto_group", "text", False, "AASHTO M 145 group as the laboratory reports it"),
)
SIZE_FIELDS: Final = (
    Field("sieve", "choice", False, "Sieve", tuple(gradation.SIEVES), one_of="size"),
    Field("size", "length", False, "Opening or grain size", one_of="size"),
    Field("passing", "percent", True, "Passing"),
)


def _passing(values: Values) -> Passing:
    sieve, size_m = values.text("sieve"), values.optional_decimal("size")
    size_mm = gradation.SIEVES[sieve][1] if sieve else (size_m or Decimal(0)) * 1000
    return Passing(size_mm, values.decimal("passing"))


PARTS: Final = (
    Part("gradation", list_of(_passing, SIZE_FIELDS, at_most=MOST_SIZES)),
    Part("sampled_on", day),
    Part("reason", long_text),
    Part("remarks", long_text),
)


@dataclass(frozen=True)
class SampleRecord:
    """A sample as read. What does not follow from what was written is None; `findings` say why."""

    code: str
    rev: int
    description: str
    gradation: tuple[Passing, ...]
    fractions: Fractions | None
    uniformity: Decimal | None
    curvature: Decimal | None
    limits: Limits
    plastic_limit_pct: Decimal | None
    classification: Classification | None
    specific_gravity: Decimal | None
    specific_gravity_measured: bool
    natural_water_content_pct: Decimal | None
    sampled_on: date | None
    reason: str
    findings: tuple[Finding, ...]
    facts: SoilFacts
    digest: str


def read(body: Mapping[str, Any], *, code: str, rev: int) -> SampleRecord:
    """The sample, with group symbol and name where gradation and limits reach. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    findings: list[Finding] = []
    given = _gradation(parts.get("gradation", []))
    limits = _limits(values)
    gravity = values.optional_decimal("specific_gravity")
    if gravity is not None and not 1 < gravity < 6:
        raise ReadingsError(
            [ReadingError("/specific_gravity", "out-of-range", "A specific gravity between 1 and 6 is wanted.")]
        )
    fractions = or_finding(lambda: gradation.fractions(given), findings) if given else None
    classified = None
    if given or values.yes("peat"):
        classified = or_finding(
            lambda: classification.classify_sample(given, limits=limits, peat=values.yes("peat")), findings
        )
    findings.extend(limit_findings(limits))
    findings.extend(reported_findings(values.text("reported_symbol"), values.text("reported_name"), classified))
    uniformity, curvature = classification.coefficients(given) if given else (None, None)
    particle_m = values.optional_decimal("maximum_particle")
    facts = SoilFacts(
        sample=code,
        rev=rev,
        group_symbol=classified.group_symbol if classified else "",
        liquid_limit_pct=limits.liquid_limit_pct,
        plasticity_index_pct=Decimal(0) if limits.non_plastic else limits.plasticity_index_pct,
        fines_pct=fractions.fines_pct if fractions else None,
        gravel_pct=fractions.gravel_pct if fractions else None,
        maximum_particle_mm=None if particle_m is None else particle_m * 1000,
        aashto_group=values.text("aashto_group"),
        specific_gravity=gravity,
        specific_gravity_measured=values.yes("specific_gravity_measured"),
    )
    return SampleRecord(
        code=code,
        rev=rev,
        description=values.text("description"),
        gradation=given,
        fractions=fractions,
        uniformity=uniformity,
        curvature=curvature,
        limits=limits,
        plastic_limit_pct=values.optional_decimal("plastic_limit"),
        classification=classified,
        specific_gravity=gravity,
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        natural_water_content_pct=values.optional_decimal("natural_water_content"),
        sampled_on=parts.get("sampled_on"),
        reason=parts.get("reason", ""),
        findings=once(findings),
        facts=facts,
        digest=canonical.digest(
            [
                facts.group_symbol,
                facts.liquid_limit_pct,
                facts.plasticity_index_pct,
                facts.maximum_particle_mm,
                gravity,
                [[one.size_mm, one.passing_pct] for one in given],
                *([facts.aashto_group] if facts.aashto_group else []),
            ]
        ),
    )


def on_sample(facts: ReferenceFacts, soil: SoilFacts | None) -> ReferenceFacts:
    """The facts of a reference with those of its sample; its own specific gravity goes before the sample's."""
    if soil is None:
        return facts
    if facts.specific_gravity is not None or soil.specific_gravity is None:
        return replace(facts, soil=soil)
    return replace(
        facts,
        soil=soil,
        specific_gravity=soil.specific_gravity,
        specific_gravity_measured=soil.specific_gravity_measured,
    )


def _gradation(points: list[Passing]) -> tuple[Passing, ...]:
    try:
        return gradation.in_order(points)
    except CalculationError as error:
        raise ReadingsError([ReadingError("/gradation", error.code, error.sentence)]) from error


def _limits(values: Values) -> Limits:
    liquid, plastic = values.optional_decimal("liquid_limit"), values.optional_decimal("plastic_limit")
    none = values.yes("non_plastic")
    errors = []
    if none and plastic is not None:
        errors.append(
            ReadingError("/non_plastic", "limits-and-none", "A soil that is non-plastic has no plastic limit.")
        )
    if plastic is not None and liquid is not None and plastic > liquid:
        errors.append(
            ReadingError("/plastic_limit", "above-liquid-limit", "The plastic limit is above the liquid limit.")
        )
    for name in ("liquid_limit", "plastic_limit", "liquid_limit_oven_dried", "natural_water_content"):
        given = values.optional_decimal(name)
        if given is not None and given < 0:
            errors.append(ReadingError(f"/{name}", "out-of-range", "A percentage of zero or more is wanted."))
    if errors:
        raise ReadingsError(errors)
    return Limits(
        liquid_limit_pct=liquid,
        plasticity_index_pct=liquid - plastic if liquid is not None and plastic is not None else None,
        non_plastic=none,
        liquid_limit_oven_dried_pct=values.optional_decimal("liquid_limit_oven_dried"),
    )
