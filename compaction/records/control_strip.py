"""The maximum of a control strip as the field writes it: what the roller reached there, for as long as it holds."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.readings import Field, Values
from compaction.facts import Finding, ReferenceFacts
from compaction.records.reading import Part, day, list_of, read_record
from compaction.records.reference import ReferenceRecord
from compaction.records.reference_checks import PARTS as COMMON_PARTS
from compaction.records.reference_checks import check, common_fields, digest

KIND: Final = "control_strip"
#: Reported maximum and mean of the readings further apart than this, kg/m3, is no rounding.
ROUNDING_KGM3: Final = Decimal(1)
READING_FIELDS: Final = (Field("dry_density", "density", True, "Dry density of one reading"),)
FIELDS: Final = (
    *common_fields(KIND),
    Field("method", "text", True, "How the strip was tested"),
    Field("maximum_dry_density", "density", True, "Maximum of the strip, the mean of its readings"),
    Field("optimum_water_content", "percent", False, "Water content at which it was reached"),
    Field("area", "text", False, "Where the strip is"),
    Field("roller", "text", False, "Roller and passes"),
)


@dataclass(frozen=True)
class Strip:
    """Number, mean and standard deviation (kg/m3) of the readings of a strip; no deviation from one reading."""

    readings: int
    mean_kgm3: Decimal
    standard_deviation_kgm3: Decimal | None


def _reading(values: Values) -> Decimal:
    return values.decimal("dry_density")


PARTS: Final = (
    Part("valid_until", day, required=True),
    *(part for part in COMMON_PARTS if part.name != "valid_until"),
    Part("readings", list_of(_reading, READING_FIELDS, at_most=60)),
)


def strip_of(body: Mapping[str, Any]) -> Strip | None:
    """What the readings of a strip's body come to; None where it has none. Raises `ReadingsError`."""
    return _strip(read_record(FIELDS, PARTS, body)[1].get("readings", []))


def _strip(readings: Sequence[Decimal]) -> Strip | None:
    if not readings:
        return None
    mean = sum(readings, Decimal(0)) / len(readings)
    if len(readings) == 1:
        return Strip(1, mean, None)
    squares = sum(((value - mean) ** 2 for value in readings), Decimal(0))
    return Strip(len(readings), mean, (squares / (len(readings) - 1)).sqrt())


def read(body: Mapping[str, Any], *, code: str, rev: int, approved: bool = False) -> ReferenceRecord:
    """The record and its facts; until when it holds is compulsory. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    facts = ReferenceFacts(
        code=code,
        rev=rev,
        approved=approved,
        method=values.text("method"),
        maximum_dry_density_kgm3=values.decimal("maximum_dry_density"),
        optimum_water_content_pct=values.optional_decimal("optimum_water_content") or Decimal(0),
        specific_gravity=values.optional_decimal("specific_gravity"),
        specific_gravity_measured=values.yes("specific_gravity_measured"),
        kind=KIND,
        valid_until=parts["valid_until"],
    )
    check(values, parts, facts, densities=("maximum_dry_density",))
    return ReferenceRecord(
        facts=replace(facts, digest=digest(facts)),
        findings=_findings(_strip(parts.get("readings", [])), facts.maximum_dry_density_kgm3),
        soil=values.text("soil"),
        fit="",
        reach=values.text("reach") or "all",
        effective_from=parts.get("effective_from"),
        reason=parts.get("reason", ""),
        remarks=parts.get("remarks", ""),
    )


def _findings(strip: Strip | None, reported: Decimal) -> tuple[Finding, ...]:
    if strip is None or abs(strip.mean_kgm3 - reported) <= ROUNDING_KGM3:
        return ()
    return (
        Finding(
            "reported-differs-from-readings",
            "validity",
            f"The strip is reported with {reported:.1f} kg/m3; its {strip.readings} readings have a mean of "
            f"{strip.mean_kgm3:.1f} kg/m3. Check both.",
            {"reported_kgm3": f"{reported:.1f}", "mean_kgm3": f"{strip.mean_kgm3:.1f}"},
        ),
    )
