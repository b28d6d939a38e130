"""Pairs of tests, the rule of comparison and corrections of a gauge, as they are written."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from compaction.calculations import comparison_rules, gauge_checks
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.gauge_readings import FACTOR_OF, MODES
from compaction.calculations.quantities import to_si
from compaction.calculations.readings import Field, Values
from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey
from compaction.records.reading import Part, day, long_text, read_record

_WHY: Final = "Say why, in words that another engineer can follow."
#: beyond these a correction is a slip of the pen: no gauge is adjusted by so much
LARGEST_KGM3: Final = to_si(Decimal(20), "pcf")
LARGEST_PCT: Final = Decimal(15)

PAIR_FIELDS: Final = (
    Field("gauge_test", "text", True, "Gauge test"),
    Field("direct_test", "text", False, "Direct test"),
    Field("counts", "yes_no", True, "The two are a pair"),
)
RULE_FIELDS: Final = (Field("rule", "choice", True, "Rule", tuple(comparison_rules.RULES)),)
DENSITY_FIELDS: Final = (
    Field("value", "density", False, "Offset, added to the display", one_of="offset"),
    Field("factor", "number", False, "Factor on the display", one_of="offset"),
)
WATER_FIELDS: Final = (
    Field("value", "density|percent", False, "Offset, added to the display", one_of="offset"),
    Field("factor", "number", False, "Factor on the display", one_of="offset"),
    Field("factor_of", "choice", False, "What the factor belongs to", choices=FACTOR_OF),
)
CORRECTION_FIELDS: Final = (
    Field("gauge", "text", True, "Gauge, serial number"),
    Field("reference", "text", False, "Reference; left out: any"),
    Field("mode", "choice", True, "Mode", choices=MODES),
    Field("depth", "length", False, "Depth of the source rod"),
    Field("density_offset", "group", False, "Wet density offset", fields=DENSITY_FIELDS),
    Field("water_offset", "group", False, "Moisture offset", fields=WATER_FIELDS),
    Field("ends", "yes_no", False, "Ends the correction before it, without another"),
    Field("analysis_digest", "text", False, "Digest of the comparison that was looked at"),
)


@dataclass(frozen=True)
class PairRecord:
    gauge_test: UUID
    direct_test: UUID | None
    counts: bool
    reason: str


@dataclass(frozen=True)
class CorrectionRecord:
    """A correction as proposed. `facts.ident` is empty until the row has its id."""

    key: GaugeKey
    facts: GaugeCorrectionFacts
    ends: bool
    analysis_digest: str
    reason: str


def _reason(parts: Mapping[str, Any]) -> str:
    reason = str(parts.get("reason", ""))
    if not reason.strip():
        raise ReadingsError([ReadingError("/reason", "missing", _WHY)])
    return reason


def _id(values: Values, name: str) -> UUID | None:
    text = values.text(name)
    if not text:
        return None
    try:
        return UUID(text)
    except ValueError:
        raise ReadingsError([ReadingError(f"/{name}", "not-an-id", "The id of a test is wanted here.")]) from None


def read_pair(body: Mapping[str, Any]) -> PairRecord:
    """Which gauge test and which direct test are a pair, or are none. Without a direct test its own oven specimen is
    meant. Raises `ReadingsError`."""
    values, parts = read_record(PAIR_FIELDS, (Part("reason", long_text, required=True),), body)
    gauge_test, direct_test = _id(values, "gauge_test"), _id(values, "direct_test")
    if gauge_test is None:
        raise ReadingsError([ReadingError("/gauge_test", "not-an-id", "The id of a gauge test is wanted here.")])
    return PairRecord(gauge_test, direct_test, values.yes("counts"), _reason(parts))


def read_rule(body: Mapping[str, Any]) -> tuple[str, str]:
    """Code of the rule, and why it is chosen. Raises `ReadingsError`."""
    values, parts = read_record(RULE_FIELDS, (Part("reason", long_text, required=True),), body)
    return values.text("rule"), _reason(parts)


def read_correction(body: Mapping[str, Any]) -> CorrectionRecord:
    """A correction of one gauge, mode and depth, from a day on. Raises `ReadingsError` with every problem."""
    values, parts = read_record(
        CORRECTION_FIELDS,
        (Part("effective_from", day, required=True), Part("reason", long_text, required=True)),
        body,
    )
    density, water = values.group("density_offset"), values.group("water_offset")
    in_points = water is not None and water.optional_decimal("value") is not None and water.kind("value") == "percent"
    value = water.optional_decimal("value") if water else None
    effective_from: date = parts["effective_from"]
    facts = GaugeCorrectionFacts(
        ident="",
        gauge=values.text("gauge"),
        reference=values.text("reference"),
        mode=values.text("mode"),
        effective_from=effective_from,
        density_offset_kgm3=density.optional_decimal("value") if density else None,
        density_factor=density.optional_decimal("factor") if density else None,
        water_offset_kgm3=None if in_points else value,
        water_offset_pct=value if in_points else None,
        water_factor=water.optional_decimal("factor") if water else None,
        water_factor_of=water.text("factor_of") if water else "",
    )
    ends, depth_m = values.yes("ends"), values.optional_decimal("depth")
    errors = _problems(facts, ends, depth_m)
    if errors:
        raise ReadingsError(errors)
    direct = facts.mode == "direct_transmission"
    facts = replace(facts, notch=gauge_checks.notch(depth_m) if direct and depth_m is not None else None)
    key = GaugeKey(facts.gauge, facts.reference, facts.mode, facts.notch)
    return CorrectionRecord(key, facts, ends, values.text("analysis_digest"), _reason(parts))


def _problems(facts: GaugeCorrectionFacts, ends: bool, depth_m: Decimal | None) -> list[ReadingError]:
    errors = []
    if len(facts.gauge) > 40 or len(facts.reference) > 40:
        errors.append(ReadingError("/gauge", "too-long", "A serial number or code has at most 40 characters."))
    direct = facts.mode == "direct_transmission"
    if direct and (depth_m is None or gauge_checks.notch(depth_m) is None):
        sentence = "Direct transmission belongs to one notch; give its depth, from 2 to 12 in. (50 to 300 mm)."
        errors.append(ReadingError("/depth", "depth-not-a-notch", sentence))
    if not direct and depth_m:
        errors.append(ReadingError("/depth", "not-with-this-mode", "This mode reads from the surface: no depth."))
    any_offset = facts.corrects_density or facts.corrects_water
    if ends == any_offset:
        sentence = "Give an offset of the wet density, of the moisture, or both; or say 'ends' and give neither."
        errors.append(ReadingError("/ends", "offset-or-end", sentence))
    if (facts.water_factor is None) != (not facts.water_factor_of):
        sentence = "A factor belongs to 'water' (per volume) or to 'water_content'; a constant says so by its unit."
        errors.append(ReadingError("/water_offset/factor_of", "factor-of-what", sentence))
    for pointer, offset, largest in (
        ("/density_offset/value", facts.density_offset_kgm3, LARGEST_KGM3),
        ("/water_offset/value", facts.water_offset_kgm3, LARGEST_KGM3),
        ("/water_offset/value", facts.water_offset_pct, LARGEST_PCT),
    ):
        if offset is not None and abs(offset) > largest:
            errors.append(ReadingError(pointer, "out-of-range", "No gauge is corrected by so much; check the unit."))
    for pointer, factor in (
        ("/density_offset/factor", facts.density_factor),
        ("/water_offset/factor", facts.water_factor),
    ):
        if factor is not None and not Decimal("0.5") <= factor <= 2:
            errors.append(ReadingError(pointer, "out-of-range", "A factor lies between 0.5 and 2."))
    return errors
