"""What every kind of reference has in common: its fields, its ranges, the tests that it governs."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.oversize_practices import OVERSIZE_LIMITS, PRACTICES
from compaction.calculations.readings import Field, Values
from compaction.facts import ReferenceFacts
from compaction.records.reading import Part, day, long_text
from compaction.records.reference import OVERSIZE_RULES, REACHES, SIEVES
from projects import canonical

KIND_WORDS: Final = {
    "moisture_density": "moisture-density curve",
    "index_density": "index densities",
    "control_strip": "control strip",
    "family": "family of curves",
}
LONGEST_METHOD: Final = 30
PARTS: Final = (
    Part("valid_until", day),
    Part("effective_from", day),
    Part("reason", long_text),
    Part("remarks", long_text),
)


def common_fields(kind: str) -> tuple[Field, ...]:
    """The fields that come with every kind but the moisture-density curve, whose record has its own."""
    return (
        Field("kind", "choice", True, "Kind", (kind,)),
        Field("soil", "text", False, "Soil"),
        Field("specific_gravity", "number", False, "Specific gravity of solids"),
        Field("specific_gravity_measured", "yes_no", False, "Specific gravity was measured"),
        Field("reach", "choice", False, "Which tests it governs", REACHES),
    )


OVERSIZE_FIELDS: Final = (
    Field("control_sieve", "choice", False, "Sieve that limited the specimen", SIEVES),
    Field("oversize_rule", "choice", False, "Oversize rule", OVERSIZE_RULES),
    Field("oversize_practice", "choice", False, "Whose limits of oversize", tuple(PRACTICES)),
    Field("oversize_bulk_specific_gravity", "number", False, "Bulk specific gravity of the oversize"),
    Field("oversize_water_content", "percent", False, "Water content of the oversize"),
    Field("standing_oversize", "percent", False, "Standing oversize"),
)


def oversize_facts(values: Values) -> dict[str, Any]:
    """The oversize members of the facts, as `ReferenceFacts` names them."""
    return {
        "control_sieve": values.text("control_sieve") or "no4",
        "oversize_rule": values.text("oversize_rule") or "none",
        "oversize_practice": values.text("oversize_practice") or "astm_d4718",
        "oversize_bulk_specific_gravity": values.optional_decimal("oversize_bulk_specific_gravity"),
        "oversize_water_content_pct": values.optional_decimal("oversize_water_content"),
        "standing_oversize_pct": values.optional_decimal("standing_oversize"),
    }


def check(values: Values, parts: Mapping[str, Any], facts: ReferenceFacts, *, densities: Iterable[str] = ()) -> None:
    """Ranges of the named densities and of what every kind has. Raises `ReadingsError` with every problem."""
    errors = [
        ReadingError(f"/{name}", "out-of-range", "A dry density between 500 and 4000 kg/m3 is wanted here.")
        for name in densities
        if (given := values.optional_decimal(name)) is not None and not 500 < given < 4000
    ]
    errors += [
        ReadingError(f"/{name}", "out-of-range", "A specific gravity between 1 and 6 is wanted.")
        for name, given in (
            ("specific_gravity", facts.specific_gravity),
            ("oversize_bulk_specific_gravity", facts.oversize_bulk_specific_gravity),
        )
        if given is not None and not 1 < given < 6
    ]
    optimum = values.optional_decimal("optimum_water_content")
    if optimum is not None and not 0 < optimum < 200:
        sentence = "An optimum between 0 and 200 % is wanted."
        errors.append(ReadingError("/optimum_water_content", "out-of-range", sentence))
    if len(facts.method) > LONGEST_METHOD:
        errors.append(ReadingError("/method", "too-long", f"At most {LONGEST_METHOD} characters are kept."))
    if facts.oversize_rule != "none" and facts.oversize_bulk_specific_gravity is None:
        errors.append(
            ReadingError(
                "/oversize_bulk_specific_gravity",
                "missing",
                "A correction for oversize needs the bulk specific gravity of the coarse particles.",
            )
        )
    errors += practice_errors(facts)
    reach = values.text("reach") or "all"
    if (reach == "from_date") != ("effective_from" in parts):
        errors.append(
            ReadingError(
                "/effective_from", "reach-and-day", "Give 'effective_from' with reach 'from_date', and only then."
            )
        )
    if errors:
        raise ReadingsError(errors)


def practice_errors(facts: ReferenceFacts) -> list[ReadingError]:
    """A practice that states no limits for the sieve of the reference can't be applied."""
    if facts.oversize_rule == "none" or facts.control_sieve in OVERSIZE_LIMITS[facts.oversize_practice]:
        return []
    known = ", ".join(OVERSIZE_LIMITS[facts.oversize_practice])
    return [
        ReadingError(
            "/oversize_practice",
            "sieve-not-covered",
            f"{PRACTICES[facts.oversize_practice].name} states limits for {known} only.",
        )
    ]


def digest(facts: ReferenceFacts) -> str:
    """Names the numbers that a result can depend on, for the kinds beside the moisture-density curve."""
    return canonical.digest(
        {
            "kind": facts.kind,
            "method": facts.method,
            "maximum": facts.maximum_dry_density_kgm3,
            "minimum_index": facts.minimum_index_density_kgm3,
            "optimum": facts.optimum_water_content_pct,
            "sieve": facts.control_sieve,
            "rule": facts.oversize_rule,
            "practice": facts.oversize_practice,
            "oversize_gravity": facts.oversize_bulk_specific_gravity,
            "oversize_water": facts.oversize_water_content_pct,
            "standing": facts.standing_oversize_pct,
            "gravity": facts.specific_gravity,
            "measured": facts.specific_gravity_measured,
            "family": list(facts.family),
            "valid_until": None if facts.valid_until is None else facts.valid_until.isoformat(),
        }
    )
