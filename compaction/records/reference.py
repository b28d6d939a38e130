"""A moisture-density reference as the laboratory writes it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from compaction.calculations import compaction_effort, moisture_density_curve, quantities
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.facts import CurvePoint, Finding, ReferenceFacts
from compaction.records.reading import Part, day, list_of, long_text, read_record
from projects import canonical

SIEVES: Final = ("no4", "three_eighths", "three_quarters")
OVERSIZE_RULES: Final = ("none", "correct_maximum", "correct_field")
REACHES: Final = ("all", "from_date", "prospective")

POINT_FIELDS: Final = (
    Field("water_content", "percent", True, "Water content"),
    Field("dry_density", "density", True, "Dry density"),
    Field("rejected", "yes_no", False, "Rejected"),
    Field("why", "text", False, "Why it is rejected"),
)
FIELDS: Final = (
    Field("soil", "text", False, "Soil"),
    Field("method", "text", True, "Method and procedure"),
    Field("maximum_dry_density", "density", True, "Maximum dry density"),
    Field("optimum_water_content", "percent", True, "Optimum water content"),
    Field("control_sieve", "choice", False, "Sieve that limited the specimen", SIEVES),
    Field("oversize_rule", "choice", False, "Oversize rule", OVERSIZE_RULES),
    Field("oversize_bulk_specific_gravity", "number", False, "Bulk specific gravity of the oversize"),
    Field("oversize_water_content", "percent", False, "Water content of the oversize"),
    Field("standing_oversize", "percent", False, "Standing oversize"),
    Field("specific_gravity", "number", False, "Specific gravity of solids"),
    Field("specific_gravity_measured", "yes_no", False, "Specific gravity was measured"),
    Field("fit", "text", False, "How the curve was drawn"),
    Field("mould_diameter", "length", False, "Inner diameter of the mould"),
    Field("layers", "count", False, "Layers"),
    Field("blows", "count", False, "Blows per layer"),
    Field("reach", "choice", False, "Which tests it governs", REACHES),
)


@dataclass(frozen=True)
class ReferenceRecord:
    """A reference as read. `findings` are what its own figures say against each other; they refuse nothing."""

    facts: ReferenceFacts
    findings: tuple[Finding, ...]
    soil: str
    fit: str
    reach: str
    effective_from: date | None
    reason: str
    remarks: str


def _point(values: Values) -> CurvePoint:
    return CurvePoint(
        water_content_pct=values.decimal("water_content"),
        dry_density_kgm3=values.decimal("dry_density"),
        rejected=values.yes("rejected"),
    )


PARTS: Final = (
    Part("points", list_of(_point, POINT_FIELDS, at_most=40)),
    Part("effective_from", day),
    Part("reason", long_text),
    Part("remarks", long_text),
)


def read(body: Mapping[str, Any], *, code: str, rev: int, approved: bool = False) -> ReferenceRecord:
    """The record and the facts that an evaluation uses. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    maximum, optimum = values.decimal("maximum_dry_density"), values.decimal("optimum_water_content")
    errors = []
    if not 500 < maximum < 4000:
        errors.append(
            ReadingError("/maximum_dry_density", "out-of-range", "A maximum between 500 and 4000 kg/m3 is wanted here.")
        )
    if not 0 < optimum < 200:
        errors.append(
            ReadingError("/optimum_water_content", "out-of-range", "An optimum between 0 and 200 % is wanted.")
        )
    for name in ("specific_gravity", "oversize_bulk_specific_gravity"):
        given = values.optional_decimal(name)
        if given is not None and not 1 < given < 6:
            errors.append(ReadingError(f"/{name}", "out-of-range", "A specific gravity between 1 and 6 is wanted."))
    rule = values.text("oversize_rule") or "none"
    if rule != "none" and values.optional_decimal("oversize_bulk_specific_gravity") is None:
        errors.append(
            ReadingError(
                "/oversize_bulk_specific_gravity",
                "missing",
                "A correction for oversize needs the bulk specific gravity of the coarse particles.",
            )
        )
    reach = values.text("reach") or "all"
    if (reach == "from_date") != ("effective_from" in parts):
        errors.append(
            ReadingError(
                "/effective_from", "reach-and-day", "Give 'effective_from' with reach 'from_date', and only then."
            )
        )
    if errors:
        raise ReadingsError(errors)
    facts = ReferenceFacts(
        code=code,
        rev=rev,
        approved=approved,
        method=values.text("method"),
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        control_sieve=values.text("control_sieve") or "no4",
        oversize_rule=rule,
        oversize_bulk_specific_gravity=values.optional_decimal("oversize_bulk_specific_gravity"),
        oversize_water_content_pct=values.optional_decimal("oversize_water_content"),
        standing_oversize_pct=values.optional_decimal("standing_oversize"),
        specific_gravity=values.optional_decimal("specific_gravity"),
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        points=tuple(parts.get("points", ())),
    )
    return ReferenceRecord(
        facts=replace(facts, digest=digest(facts)),
        findings=(*curve_findings(facts), *_effort(values, facts.method)),
        soil=values.text("soil"),
        fit=values.text("fit"),
        reach=reach,
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        remarks=parts.get("remarks", ""),
    )


def curve_findings(facts: ReferenceFacts) -> tuple[Finding, ...]:
    """What the points say of themselves and of the reported maximum and optimum; none without points."""
    if not facts.points:
        return ()
    proposals = moisture_density_curve.propose(facts.points, specific_gravity=facts.specific_gravity)
    reported = moisture_density_curve.reported_findings(
        facts.points,
        maximum_dry_density_kgm3=facts.maximum_dry_density_kgm3,
        optimum_water_content_pct=facts.optimum_water_content_pct,
    )
    return (*proposals.findings, *reported)


def _effort(values: Values, method: str) -> tuple[Finding, ...]:
    mould_m = values.optional_decimal("mould_diameter")
    layers, blows = values.optional_count("layers"), values.optional_count("blows")
    if mould_m is None or layers is None or blows is None:
        return ()
    inches = int((mould_m / quantities.INCH_M).to_integral_value())
    return compaction_effort.effort_findings(method=method, mould_in=inches, layers=layers, blows=blows)


def digest(facts: ReferenceFacts) -> str:
    """Names the numbers that a result can depend on: a revision of a remark keeps it."""
    return canonical.digest(
        {
            "method": facts.method,
            "maximum": facts.maximum_dry_density_kgm3,
            "optimum": facts.optimum_water_content_pct,
            "sieve": facts.control_sieve,
            "rule": facts.oversize_rule,
            "oversize_gravity": facts.oversize_bulk_specific_gravity,
            "oversize_water": facts.oversize_water_content_pct,
            "standing": facts.standing_oversize_pct,
            "gravity": facts.specific_gravity,
            "measured": facts.specific_gravity_measured,
            "points": [[p.water_content_pct, p.dry_density_kgm3, p.rejected] for p in facts.points],
        }
    )
