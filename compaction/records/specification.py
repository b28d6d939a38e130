"""A specification revision as the engineer writes it: criteria, rounding rule, hold limits."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import editions, quantities, rounding, water_density
from compaction.calculations.errors import CalculationError, ReadingError, ReadingsError
from compaction.calculations.hole_sizes import SMALLEST_HOLES
from compaction.calculations.moisture_specimens import SPECIMEN_TABLES
from compaction.calculations.readings import Field, Values
from compaction.facts import RetestRule, RoundingStep, SpecificationFacts
from compaction.observation.choices import PURPOSES
from compaction.records import criterion, frequency_rule, looks
from compaction.records.reading import Part, day, list_of, long_text, read_record
from compaction.records.reference import REACHES
from projects import canonical

ROUNDED: Final = (
    "water_content",
    "dry_density",
    "maximum",
    "corrected_maximum",
    "optimum",
    "percent_compaction",
    "relative_density",
    "water_content_deviation",
    "air_voids",
    "saturation",
    "water_content_ratio",
)
STEP_FIELDS: Final = (
    Field("quantity", "choice", True, "Quantity", ROUNDED),
    Field("increment", "number", True, "Increment"),
    Field("unit", "text", True, "Unit of the increment"),
    Field("method", "choice", False, "Method", ("round", "truncate")),
    Field("tie", "choice", False, "Tie", ("half_even", "half_up")),
)
CERTAINTIES: Final = ("read", "from_memory", "common_practice")
CLOSED_BY: Final = ("engineer", "supervisor", "tests")
MOST_RETESTS: Final = 10
FIELDS: Final = (
    Field("title", "text", True, "Title"),
    Field("absolute", "yes_no", False, "Compare unrounded (ASTM E29 absolute method)"),
    Field("oven_required", "yes_no", False, "Field moisture leaves the result provisional"),
    Field("hold_above_percent_compaction", "percent", False, "Hold above"),
    Field("review_above_percent_compaction", "percent", False, "Review above"),
    Field("saturation_tolerance", "percent", False, "Tolerance above zero air voids"),
    Field("water_density", "density", False, "Density of water"),
    Field("water_temperature", "temperature", False, "Temperature that the density of water is taken at"),
    Field("reach", "choice", False, "Which tests it governs", REACHES),
    Field("edition", "text", False, "Edition of the document"),
    Field("draft", "yes_no", False, "A draft: edition and clauses are still to be filled in"),
    Field("source", "text", False, "Where the figures come from"),
    Field("certainty", "choice", False, "How certain that is", CERTAINTIES),
    Field(
        "retest",
        "group",
        False,
        "Retests",
        fields=(
            Field("distance", "length", False, "A retest lies within"),
            Field("passing_retests", "count", False, "Passing retests in a row"),
            Field("closed_by", "choice", False, "Who closes a failure", CLOSED_BY),
        ),
    ),
)

#: codes of findings that hold a test; more would not fit beside a test's other holds
MOST_HELD: Final = 10
#: areas in which observation is taken in place of densities
MOST_OBSERVED: Final = 40
#: standards whose tables are kept by edition; a specification may name the edition in force
DATED_STANDARDS: Final = tuple(
    dict.fromkeys(name.partition(" method ")[0] for name in (*SMALLEST_HOLES, *SPECIMEN_TABLES))
)
EDITION_YEAR: Final = editions.YEAR.pattern
_CODE: Final = re.compile(r"[a-z][a-z0-9-]{0,39}", re.ASCII)


@dataclass(frozen=True)
class SpecificationRecord:
    facts: SpecificationFacts
    title: str
    reach: str
    effective_from: date | None
    reason: str
    edition: str = ""
    draft: bool = False


def _step(values: Values) -> RoundingStep:
    return RoundingStep(
        quantity=values.text("quantity"),
        increment=values.decimal("increment"),
        unit=values.text("unit"),
        method=values.text("method") or "round",
        tie=values.text("tie") or "half_even",
    )


def _held(written: Any, pointer: str) -> tuple[str, ...]:
    if not isinstance(written, list) or len(written) > MOST_HELD:
        raise ReadingError(pointer, "not-a-list", f"A list of at most {MOST_HELD} codes of findings is wanted here.")
    for number, code in enumerate(written):
        if not isinstance(code, str) or _CODE.fullmatch(code) is None:
            raise ReadingError(f"{pointer}/{number}", "not-a-code", "Codes are lower-case words with hyphens.")
    return tuple(dict.fromkeys(written))


def _areas(written: Any, pointer: str) -> tuple[str, ...]:
    if not isinstance(written, list) or not 1 <= len(written) <= MOST_OBSERVED:
        raise ReadingError(pointer, "not-a-list", f"A list of 1 to {MOST_OBSERVED} codes of areas is wanted here.")
    for number, code in enumerate(written):
        if not isinstance(code, str) or not 0 < len(code) <= 40 or not code.isprintable():
            raise ReadingError(f"{pointer}/{number}", "not-a-code", "The code of an area is wanted here.")
    return tuple(written)


def _editions(written: Any, pointer: str) -> tuple[tuple[str, str], ...]:
    """Standard -> year of the edition that the contract names, for the tables kept by edition."""
    if not isinstance(written, Mapping) or not written:
        raise ReadingError(pointer, "not-an-object", "Editions by standard are wanted here, {...}.")
    for standard, year in written.items():
        if standard not in DATED_STANDARDS:
            words = f"Tables are kept of {', '.join(DATED_STANDARDS)}."
            raise ReadingError(f"{pointer}/{standard!s:.40}", "standard-unknown", words)
        if not isinstance(year, str) or editions.YEAR.fullmatch(year) is None:
            raise ReadingError(f"{pointer}/{standard}", "not-a-year", "The year of the edition is wanted, as '2015'.")
    return tuple(sorted(written.items()))


def _purposes(written: Any, pointer: str) -> tuple[str, ...]:
    if not isinstance(written, list) or not written or any(one not in PURPOSES for one in written):
        raise ReadingError(pointer, "not-purposes", f"A list is wanted here, of {', '.join(PURPOSES)}.")
    return tuple(purpose for purpose in PURPOSES if purpose in written)


PARTS: Final = (
    Part("criteria", criterion.read, required=True),
    Part("rounding", list_of(_step, STEP_FIELDS, at_most=20)),
    Part("held_findings", _held),
    Part("observation_accepts", _areas),
    Part("purposes", _purposes),
    Part("editions", _editions),
    Part("frequency", frequency_rule.read_rules),
    Part("looks", looks.read_looks),
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
        water_density_kgm3=_water_density(values, plain.water_density_kgm3),
        held_findings=parts.get("held_findings", ()),
        purposes=parts.get("purposes", ()),
        retest=_retest(values.group("retest")),
        frequency=parts.get("frequency", ()),
        editions=parts.get("editions", ()),
        looks=parts.get("looks", plain.looks),
    )
    return SpecificationRecord(
        facts=replace(facts, digest=digest(facts)),
        title=values.text("title"),
        reach=reach,
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        edition=values.text("edition"),
        draft=values.yes("draft"),
    )


def still_to_fill_in(record: SpecificationRecord) -> str:
    """What a draft lacks before anybody can approve it, as a sentence; empty where it lacks nothing or is none."""
    if not record.draft:
        return ""
    lacking = [] if record.edition.strip() else ["the edition of the document"]
    without = [str(one.number) for one in record.facts.criteria if not one.clause.strip()]
    if without:
        lacking.append(f"the clause of criterion {', '.join(without)}")
    if not lacking:
        return ""
    return f"This is a draft; {' and '.join(lacking)} has to be filled in from the contract before it is approved."


def _retest(given: Values | None) -> RetestRule | None:
    if given is None:
        return None
    passing = given.optional_count("passing_retests")
    if passing is not None and not 1 <= passing <= MOST_RETESTS:
        raise ReadingsError(
            [ReadingError("/retest/passing_retests", "out-of-range", f"Ask for 1 to {MOST_RETESTS} passing retests.")]
        )
    distance_m = given.optional_decimal("distance")
    if distance_m is not None and distance_m <= 0:
        raise ReadingsError([ReadingError("/retest/distance", "out-of-range", "A distance lies above zero.")])
    return RetestRule(distance_m, passing or 1, given.text("closed_by") or "engineer")


def _water_density(values: Values, default: Decimal) -> Decimal:
    """Density of water as stated, or at the stated temperature; one of the two."""
    stated, at = values.optional_decimal("water_density"), values.optional_decimal("water_temperature")
    if at is None:
        return default if stated is None else stated
    if stated is not None:
        raise ReadingsError(
            [
                ReadingError(
                    "/water_temperature", "stated-twice", "Give the density of water or its temperature, not both."
                )
            ]
        )
    try:
        return quantities.quantise(water_density.water_density_at_kgm3(temperature_degc=at))
    except CalculationError as error:
        raise ReadingsError([ReadingError("/water_temperature", error.code, error.sentence)]) from error


def _or(values: Values, name: str, default: Decimal) -> Decimal:
    given = values.optional_decimal(name)
    return default if given is None else given


def digest(facts: SpecificationFacts) -> str:
    """Names everything a result can depend on; the clause text is not among it."""
    return canonical.digest(
        {
            "criteria": [
                [
                    *[c.quantity, c.minimum, c.maximum, c.contractual, c.zone, c.depth_from_m, c.depth_to_m],
                    *([more] if (more := criterion.plain(c)) else []),
                ]
                for c in facts.criteria
            ],
            "rounding": [[s.quantity, s.increment, s.unit, s.method, s.tie] for s in facts.rounding],
            "absolute": facts.absolute,
            "oven": facts.oven_required,
            "hold": facts.hold_above_percent_compaction,
            "review": facts.review_above_percent_compaction,
            "saturation": facts.saturation_tolerance_pct,
            "water": facts.water_density_kgm3,
            **({"held": sorted(facts.held_findings)} if facts.held_findings else {}),
            **({"purposes": sorted(facts.purposes)} if facts.purposes else {}),
            **({"editions": [list(one) for one in facts.editions]} if facts.editions else {}),
            **({"retest": retest} if (retest := _retest_plain(facts.retest)) else {}),
            **({"frequency": frequency_rule.digested(facts.frequency)} if facts.frequency else {}),
            **({"looks": stated} if (stated := looks.plain(facts.looks)) else {}),
        }
    )


def _retest_plain(rule: RetestRule | None) -> list[Any]:
    return [] if rule is None else [rule.distance_m, rule.passing_retests, rule.closed_by]
