"""An instrument as registered: its period, calibrated values, the repeats behind them, upkeep, rule of its counts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Final

from compaction.calculations import repeats
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.calculations.standard_count_log import CountRule
from compaction.facts import Finding
from compaction.instrument_facts import ApparatusFacts
from compaction.records import apparatus_parts
from compaction.records.apparatus_parts import Calibration, Upkeep
from compaction.records.reading import Part, day, list_of, long_text, read_record

#: kind -> words. The pair of cone and plate is one instrument; its sand is another, with a shorter life.
KINDS: Final = {
    "nuclear_gauge": "nuclear gauge",
    "sand_cone": "sand cone with its plate",
    "sand": "batch of sand",
    "pouring_cylinder": "sand pouring cylinder",
    "cylinder": "drive cylinder or core cutter",
    "balloon": "rubber balloon apparatus",
    "balance": "balance",
    "oven": "oven",
    "carbide_meter": "carbide meter",
    "mould": "mould",
    "rammer": "rammer",
    "other": "other",
}
#: How long a record lasts that states neither an end nor an interval, days. ASTM D1556, annex on bulk density of the
#: sand: at intervals not exceeding 14 days (from memory). Other kinds last until a new record says otherwise.
DEFAULT_INTERVAL_DAYS: Final = {"sand": 14}
FIELDS: Final = (
    Field("kind", "choice", True, "Kind", tuple(KINDS)),
    Field("name", "text", False, "Name"),
    Field("belongs_to", "text", False, "Used with the cone and plate"),
    Field("interval_days", "count", False, "Lasts, days"),
)


@dataclass(frozen=True)
class ApparatusRecord:
    """A record as read. `findings` are what it shows against itself; they refuse nothing."""

    serial: str
    kind: str
    name: str
    valid_from: date
    valid_until: date | None
    values: Mapping[str, str]
    belongs_to: str = ""
    calibrations: tuple[Calibration, ...] = ()
    upkeep: tuple[Upkeep, ...] = ()
    count_rule: CountRule | None = None
    findings: tuple[Finding, ...] = ()
    remarks: str = ""
    check_masses: tuple[Mapping[str, str], ...] = field(default=())

    def facts(self, *, rev: int) -> ApparatusFacts:
        """What an evaluation uses. A mean stands in for a value that is not stated."""
        figures = {one.quantity: one.spread.mean for one in self.calibrations}
        figures |= {name: apparatus_parts.value_of(text) for name, text in self.values.items()}
        return ApparatusFacts(
            serial=self.serial,
            kind=self.kind,
            valid_from=self.valid_from,
            valid_until=self.valid_until,
            values=figures,
            rev=rev,
            belongs_to=self.belongs_to,
            faults=tuple(finding.code for finding in self.findings),
            count_interval_days=self.count_rule.interval_days if self.count_rule else None,
        )


def _values(written: Any, pointer: str) -> dict[str, str]:
    if not isinstance(written, Mapping) or len(written) > 20:
        raise ReadingError(pointer, "not-an-object", "Calibrated values by name are wanted here, {...}.")
    for name, text in written.items():
        apparatus_parts.name(name, pointer)
        apparatus_parts.value_of(text, f"{pointer}/{name}")
    return dict(written)


PARTS: Final = (
    Part("valid_from", day, required=True),
    Part("valid_until", day),
    Part("values", _values),
    Part("calibrations", apparatus_parts.calibrations),
    Part("check_masses", list_of(apparatus_parts.check_mass, apparatus_parts.CHECK_MASS_FIELDS, at_most=20)),
    Part("upkeep", list_of(apparatus_parts.upkeep, apparatus_parts.UPKEEP_FIELDS, at_most=20)),
    Part("standard_counts", apparatus_parts.count_rule),
    Part("remarks", long_text),
)


def read(body: Mapping[str, Any], *, serial: str) -> ApparatusRecord:
    """A record. A calibration that is off is recorded and remarked, never refused. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    kind, starts, until = values.text("kind"), parts["valid_from"], parts.get("valid_until")
    interval = _check(values, kind, parts)
    calibrations = tuple(parts.get("calibrations", ()))
    if until is None and interval is not None:
        until = starts + timedelta(days=interval)
    findings = [
        *(finding for one in calibrations for finding in repeats.spread_findings(one.quantity, one.spread)),
        *_stated(parts.get("values", {}), calibrations),
        *(finding for one in parts.get("check_masses", ()) for finding in one),
    ]
    return ApparatusRecord(
        serial=serial,
        kind=kind,
        name=values.text("name"),
        valid_from=starts,
        valid_until=until,
        values=parts.get("values", {}),
        belongs_to=values.text("belongs_to"),
        calibrations=calibrations,
        upkeep=tuple(parts.get("upkeep", ())),
        count_rule=parts.get("standard_counts"),
        findings=tuple(findings),
        remarks=parts.get("remarks", ""),
        check_masses=tuple(body.get("check_masses", ())),
    )


def _check(values: Values, kind: str, parts: Mapping[str, Any]) -> int | None:
    """What belongs together; returns the interval in days that ends the period."""
    errors = []
    interval = values.optional_count("interval_days")
    try:
        apparatus_parts.days(interval, "/interval_days")
    except ReadingError as error:
        errors.append(error)
    if interval is not None and "valid_until" in parts:
        errors.append(ReadingError("/interval_days", "end-twice", "Give the last day or the interval, not both."))
    pair = values.text("belongs_to")
    if pair and apparatus_parts.SERIAL.fullmatch(pair) is None:
        errors.append(ReadingError("/belongs_to", "not-a-serial", apparatus_parts.SERIAL_WORDS))
    if pair and kind != "sand":
        errors.append(ReadingError("/belongs_to", "not-sand", "Only a batch of sand belongs to a cone and plate."))
    for name, wanted in (("standard_counts", "nuclear_gauge"), ("check_masses", "balance")):
        if name in parts and kind != wanted:
            errors.append(ReadingError(f"/{name}", "other-kind", f"This belongs to a {KINDS[wanted]} only."))
    if errors:
        raise ReadingsError(errors)
    if "valid_until" in parts:
        return None
    return DEFAULT_INTERVAL_DAYS.get(kind) if interval is None else interval


def _stated(stated: Mapping[str, str], calibrations: tuple[Calibration, ...]) -> list[Finding]:
    """A value stated beside repeats that say otherwise by more than 0.1 % (more than rounding; common practice)."""
    findings = []
    for one in calibrations:
        if one.quantity not in stated:
            continue
        value = apparatus_parts.value_of(stated[one.quantity])
        if abs(value - one.spread.mean) * 1000 > one.spread.mean:
            words = one.quantity.replace("_", " ")
            findings.append(
                Finding(
                    "calibration-mean-differs",
                    "validity",
                    f"The {words} is stated as {stated[one.quantity]}, but its {one.spread.count} repeats have another "
                    "mean. Correct the value or the repeats.",
                    {"quantity": one.quantity},
                )
            )
    return findings
