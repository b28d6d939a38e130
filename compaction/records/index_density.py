"""Index densities of clean sand and gravel as the laboratory writes them (ASTM D4253, D4254)."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import CalculationError, ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.calculations.relative_density import mean_index_density_kgm3
from compaction.facts import Finding, ReferenceFacts
from compaction.records.reading import Part, list_of, read_record
from compaction.records.reference import ReferenceRecord
from compaction.records.reference_checks import PARTS as COMMON_PARTS
from compaction.records.reference_checks import check, common_fields, digest

KIND: Final = "index_density"
#: How the minimum was found: ASTM D4254 methods A (funnel), B (tube) and C (inverted cylinder); from memory.
MINIMUM_METHODS: Final = {
    "D4254-A": "D4254 method A, funnel or hand scoop",
    "D4254-B": "D4254 method B, tube",
    "D4254-C": "D4254 method C, inverted cylinder",
}
#: How the maximum was found: ASTM D4253 methods 1 and 2 (table), A (oven-dry) and B (wet); from memory.
MAXIMUM_METHODS: Final = {
    "D4253-1A": "D4253 method 1A, electromagnetic table, oven-dry soil",
    "D4253-1B": "D4253 method 1B, electromagnetic table, wet soil",
    "D4253-2A": "D4253 method 2A, eccentric or cam table, oven-dry soil",
    "D4253-2B": "D4253 method 2B, eccentric or cam table, wet soil",
}
#: Index densities are for soils with up to this much passing the No. 200 sieve, percent (D4253 scope, from memory).
MOST_FINES_PCT: Final = Decimal(15)
#: Reported and mean of the trials further apart than this, kg/m3, is no rounding: half of 0.1 lb/ft3 and a little.
ROUNDING_KGM3: Final = Decimal(1)
TRIAL_FIELDS: Final = (Field("index_density", "density", True, "Index density of one trial"),)
FIELDS: Final = (
    *common_fields(KIND),
    Field("minimum_index_density", "density", True, "Minimum index density"),
    Field("maximum_index_density", "density", True, "Maximum index density"),
    Field("minimum_method", "choice", True, "Method of the minimum", tuple(MINIMUM_METHODS)),
    Field("maximum_method", "choice", True, "Method of the maximum", tuple(MAXIMUM_METHODS)),
    Field("fines", "percent", False, "Passing the No. 200 (0.075 mm) sieve"),
)


def _trial(values: Values) -> Decimal:
    return values.decimal("index_density")


PARTS: Final = (
    *COMMON_PARTS,
    Part("minimum_trials", list_of(_trial, TRIAL_FIELDS, at_most=12)),
    Part("maximum_trials", list_of(_trial, TRIAL_FIELDS, at_most=12)),
)


def read(body: Mapping[str, Any], *, code: str, rev: int, approved: bool = False) -> ReferenceRecord:
    """The record and its facts; the maximum index density stands as the maximum. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    low, high = values.decimal("minimum_index_density"), values.decimal("maximum_index_density")
    facts = ReferenceFacts(
        code=code,
        rev=rev,
        approved=approved,
        method=f"{values.text('maximum_method')}, {values.text('minimum_method')}",
        maximum_dry_density_kgm3=high,
        optimum_water_content_pct=Decimal(0),
        specific_gravity=values.optional_decimal("specific_gravity"),
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        kind=KIND,
        minimum_index_density_kgm3=low,
        valid_until=parts.get("valid_until"),
    )
    check(values, parts, facts, densities=("minimum_index_density", "maximum_index_density"))
    if low >= high:
        raise ReadingsError(
            [
                ReadingError(
                    "/minimum_index_density",
                    "index-ends-exchanged",
                    "The minimum index density must be below the maximum. Check whether the two were exchanged.",
                )
            ]
        )
    return ReferenceRecord(
        facts=replace(facts, digest=digest(facts)),
        findings=(
            *_trial_findings("minimum", parts.get("minimum_trials", []), low),
            *_trial_findings("maximum", parts.get("maximum_trials", []), high),
            *_fines_findings(values.optional_decimal("fines")),
        ),
        soil=values.text("soil"),
        fit="",
        reach=values.text("reach") or "all",
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        remarks=parts.get("remarks", ""),
    )


def _trial_findings(end: str, trials: list[Decimal], reported: Decimal) -> tuple[Finding, ...]:
    if not trials:
        return ()
    try:
        mean, findings = mean_index_density_kgm3(trials)
    except CalculationError as error:
        return (Finding(error.code, "validity", error.sentence),)
    if abs(mean - reported) <= ROUNDING_KGM3:
        return findings
    return (
        *findings,
        Finding(
            "reported-differs-from-trials",
            "validity",
            f"The {end} index density is reported as {reported:.1f} kg/m3; its trials have a mean of {mean:.1f} kg/m3. "
            "Check both.",
            {"reported_kgm3": f"{reported:.1f}", "mean_kgm3": f"{mean:.1f}"},
        ),
    )


def _fines_findings(fines_pct: Decimal | None) -> tuple[Finding, ...]:
    if fines_pct is None or fines_pct <= MOST_FINES_PCT:
        return ()
    return (
        Finding(
            "fines-beyond-index-density",
            "validity",
            f"{fines_pct:.1f} % pass the No. 200 sieve; index densities are for soils with up to {MOST_FINES_PCT} % "
            "(ASTM D4253, scope). Use a moisture-density curve.",
            {"fines_pct": f"{fines_pct:.1f}"},
        ),
    )
