"""A moisture-density reference as the laboratory writes it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import laboratory_methods, moisture_density_curve
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.gradation import SIEVES as SIEVES_MM
from compaction.calculations.oversize import SIEVE_NAMES
from compaction.calculations.oversize_practices import DEFAULT_PRACTICE, OVERSIZE_LIMITS, PRACTICES
from compaction.calculations.quantities import to_si
from compaction.calculations.readings import Field, Values
from compaction.facts import Finding, ReferenceFacts
from compaction.records import bench_work
from compaction.records.bench_points import MOULD_FIELDS, BenchPoint, read_points
from compaction.records.bench_work import Mould, WorkedPoint
from compaction.records.reading import Part, day, long_text, read_record
from projects import canonical

SIEVES: Final = tuple(SIEVE_NAMES)
OVERSIZE_RULES: Final = ("none", "correct_maximum", "correct_field")
REACHES: Final = ("all", "from_date", "prospective")

FIELDS: Final = (
    Field("kind", "choice", False, "Kind", ("moisture_density",)),
    Field("soil", "text", False, "Soil"),
    Field("method", "text", True, "Method and procedure"),
    Field("maximum_dry_density", "density", True, "Maximum dry density"),
    Field("optimum_water_content", "percent", True, "Optimum water content"),
    Field("control_sieve", "choice", False, "Sieve that limited the specimen", SIEVES),
    Field("oversize_rule", "choice", False, "Oversize rule", OVERSIZE_RULES),
    Field("oversize_practice", "choice", False, "Whose limits of oversize", tuple(PRACTICES)),
    Field("oversize_bulk_specific_gravity", "number", False, "Bulk specific gravity of the oversize"),
    Field("oversize_water_content", "percent", False, "Water content of the oversize"),
    Field("standing_oversize", "percent", False, "Standing oversize"),
    Field("specific_gravity", "number", False, "Specific gravity of solids"),
    Field("specific_gravity_measured", "yes_no", False, "Specific gravity was measured"),
    Field("fit", "text", False, "How the curve was drawn"),
    Field("sample", "text", False, "Sample"),
    *MOULD_FIELDS,
    Field("mould_diameter", "length", False, "Inner diameter of the mould"),
    Field("layers", "count", False, "Layers"),
    Field("blows", "count", False, "Blows per layer"),
    Field("rammer_mass", "mass", False, "Mass of the rammer"),
    Field("rammer_drop", "length", False, "Drop of the rammer"),
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
    sample: str = ""
    points: tuple[WorkedPoint, ...] = ()  # each specimen, with its worksheet


PARTS: Final = (
    Part("points", read_points),
    Part("valid_until", day),
    Part("effective_from", day),
    Part("reason", long_text),
    Part("remarks", long_text),
)


def read(
    body: Mapping[str, Any],
    *,
    code: str,
    rev: int,
    approved: bool = False,
    moulds: Mapping[str, Mould] | None = None,
) -> ReferenceRecord:
    """The record and the facts that an evaluation uses; `moulds` is the register. Raises `ReadingsError`."""
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
    practice, sieve = values.text("oversize_practice") or DEFAULT_PRACTICE, values.text("control_sieve") or "no4"
    if rule != "none" and sieve not in OVERSIZE_LIMITS[practice]:
        known = ", ".join(OVERSIZE_LIMITS[practice])
        sentence = f"{PRACTICES[practice].name} states limits for {known} only."
        errors.append(ReadingError("/oversize_practice", "sieve-not-covered", sentence))
    reach = values.text("reach") or "all"
    if (reach == "from_date") != ("effective_from" in parts):
        errors.append(
            ReadingError(
                "/effective_from", "reach-and-day", "Give 'effective_from' with reach 'from_date', and only then."
            )
        )
    if errors:
        raise ReadingsError(errors)
    bench = parts.get("points", ())
    worked = bench_work.work_out(bench, stated=values, register=moulds)
    facts = ReferenceFacts(
        code=code,
        rev=rev,
        approved=approved,
        method=values.text("method"),
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        control_sieve=values.text("control_sieve") or "no4",
        oversize_rule=rule,
        oversize_practice=practice,
        valid_until=parts.get("valid_until"),
        oversize_bulk_specific_gravity=values.optional_decimal("oversize_bulk_specific_gravity"),
        oversize_water_content_pct=values.optional_decimal("oversize_water_content"),
        standing_oversize_pct=values.optional_decimal("standing_oversize"),
        specific_gravity=values.optional_decimal("specific_gravity"),
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        points=tuple(one.point for one in worked if one.point is not None),
    )
    return ReferenceRecord(
        facts=replace(facts, digest=digest(facts)),
        findings=(
            *curve_findings(facts, body["maximum_dry_density"]),
            *_effort(values, facts.method),
            *_bench(bench, worked, facts),
        ),
        soil=values.text("soil"),
        fit=values.text("fit"),
        reach=reach,
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        remarks=parts.get("remarks", ""),
        sample=values.text("sample"),
        points=worked,
    )


def curve_findings(facts: ReferenceFacts, maximum_text: str) -> tuple[Finding, ...]:
    """What the points say of themselves and of the reported maximum and optimum; none without points."""
    if not facts.points:
        return ()
    proposals = moisture_density_curve.propose(facts.points, specific_gravity=facts.specific_gravity)
    reported = moisture_density_curve.reported_findings(
        facts.points,
        maximum_dry_density_kgm3=facts.maximum_dry_density_kgm3,
        optimum_water_content_pct=facts.optimum_water_content_pct,
        half_digit_kgm3=_half_digit(maximum_text),
    )
    return (*proposals.findings, *reported)


def _half_digit(text: str) -> Decimal:
    """Half a unit of the last digit of a density as written, kg/m3."""
    number, _, unit = text.partition(" ")
    exponent = Decimal(number).as_tuple().exponent
    assert isinstance(exponent, int)
    return to_si(Decimal(1).scaleb(exponent) / 2, unit)


def _effort(values: Values, method: str) -> tuple[Finding, ...]:
    return laboratory_methods.stated_findings(
        method,
        mould_diameter_m=values.optional_decimal("mould_diameter"),
        mould_volume_m3=values.optional_decimal("mould_volume"),
        layers=values.optional_count("layers"),
        blows=values.optional_count("blows"),
        rammer_kg=values.optional_decimal("rammer_mass"),
        drop_m=values.optional_decimal("rammer_drop"),
        sieve=values.text("control_sieve"),
    )


def _bench(bench: Sequence[BenchPoint], worked: Sequence[WorkedPoint], facts: ReferenceFacts) -> list[Finding]:
    method = laboratory_methods.METHODS.get(laboratory_methods.method_code(facts.method))
    sieve_mm = SIEVES_MM[facts.control_sieve][1] if method is None else method.sieve_mm
    standard = "BS 1377-2" if method is not None and method.code.startswith("BS") else "ASTM D2216 method A"
    return bench_work.findings(bench, worked, maximum_particle_mm=sieve_mm, standard=standard)


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
            **({} if facts.oversize_practice == DEFAULT_PRACTICE else {"practice": facts.oversize_practice}),
            **({} if facts.valid_until is None else {"valid_until": facts.valid_until.isoformat()}),
        }
    )
