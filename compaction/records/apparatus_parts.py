"""Parts of an instrument's record: repeats of a calibration, check masses, upkeep, the rule of its standard counts."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import repeats, standard_count_log
from compaction.calculations.errors import CalculationError, ReadingError, ReadingsError
from compaction.calculations.quantities import UNITS, parse_quantity
from compaction.calculations.readings import Field, Values, read_fields
from compaction.calculations.repeats import Spread
from compaction.calculations.standard_count_log import CountRule
from compaction.facts import Finding
from compaction.records import calibration_weighings
from compaction.records.calibration_weighings import Weighing
from compaction.records.reading import day

UPKEEP: Final = {
    "leak_test": "leak test",
    "inventory": "physical inventory",
    "service": "service or repair",
    "moved": "moved to another place",
    "check": "check between calibrations",
    "other": "other",
}
LONGEST_INTERVAL_DAYS: Final = 3660
MOST_REPEATS: Final = 20
#: serial numbers stand in addresses
SERIAL: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}", re.ASCII)
SERIAL_WORDS: Final = "A serial number has up to 40 letters, digits, points, hyphens and underscores."

CALIBRATION_FIELDS: Final = (
    Field("quantity", "text", True, "Calibrated quantity"),
    Field("allowed_spread", "percent", False, "Allowed distance of one repeat from the mean"),
    Field("source", "text", False, "Who allows it"),
    Field("person", "text", False, "Calibrated by"),
    Field("remarks", "text", False, "Remarks"),
)
CHECK_MASS_FIELDS: Final = (
    Field("nominal", "mass", True, "Check mass"),
    Field("shown", "mass", True, "Shown by the balance"),
    Field("allowed", "mass", False, "Allowed difference"),
)
UPKEEP_FIELDS: Final = (
    Field("what", "choice", True, "What", tuple(UPKEEP)),
    Field("done_on", "text", False, "Done on the day"),
    Field("due_on", "text", False, "Due again on the day"),
    Field("remarks", "text", False, "Remarks"),
)
COUNT_RULE_FIELDS: Final = (
    Field("compare_with", "choice", False, "Compared with", standard_count_log.COMPARED_WITH),
    Field("density_limit", "percent", False, "Allowed change of the density count"),
    Field("moisture_limit", "percent", False, "Allowed change of the moisture count"),
    Field("window", "count", False, "Counts in the rolling mean"),
    Field("interval_days", "count", False, "A count serves, days"),
    Field("certificate_on", "text", False, "Day of the certificate"),
    Field("certificate_density_count", "count", False, "Density count of the certificate"),
    Field("certificate_moisture_count", "count", False, "Moisture count of the certificate"),
    Field("source", "text", False, "Who sets the limits"),
)


@dataclass(frozen=True)
class Calibration:
    """Repeats of one quantity as written, with their mean and spread; or the weighings that they follow from."""

    quantity: str
    written: tuple[str, ...]
    spread: Spread
    person: str = ""
    remarks: str = ""
    weighings: tuple[Weighing, ...] = ()


@dataclass(frozen=True)
class Upkeep:
    """Something done to an instrument, and when it is due again."""

    what: str
    done_on: date | None
    due_on: date | None
    remarks: str = ""


def value_of(text: Any, pointer: str = "") -> Decimal:
    """A quantity whose unit says what kind it is, in the unit used inside. Raises `ReadingError`."""
    unit = text.rpartition(" ")[2] if isinstance(text, str) else ""
    kind = next((kind for kind, units in UNITS.items() if unit in units), "mass")
    return parse_quantity(text, kind, pointer)


def name(written: Any, pointer: str) -> str:
    """The name of a calibrated value. Raises `ReadingError`."""
    if not isinstance(written, str) or not written.isidentifier() or not written.isascii() or len(written) > 60:
        raise ReadingError(pointer, "name", "Names are lower-case words joined by underscores.")
    return written


def calibrations(written: Any, pointer: str) -> list[Calibration]:
    """The calibrations of a record. Raises `ReadingError`, `ReadingsError`."""
    if not isinstance(written, list) or len(written) > 10:
        raise ReadingError(pointer, "not-a-list", "A list of at most 10 calibrations is wanted here.")
    return [_calibration(item, f"{pointer}/{number}") for number, item in enumerate(written)]


def _calibration(written: Any, pointer: str) -> Calibration:
    if not isinstance(written, Mapping):
        raise ReadingError(pointer, "not-an-object", "An object with named members is wanted here, {...}.")
    flat = {name: value for name, value in written.items() if name not in ("repeats", "weighings")}
    values = read_fields(CALIBRATION_FIELDS, flat, pointer)
    quantity = name(values.text("quantity"), f"{pointer}/quantity")
    if "repeats" in written and "weighings" in written:
        raise ReadingError(
            f"{pointer}/weighings", "stated-twice", "Give finished repeats or their weighings, not both."
        )
    place = "weighings" if "weighings" in written else "repeats"
    given = written.get(place)
    if not isinstance(given, list) or not 1 <= len(given) <= MOST_REPEATS:
        words = f"Give 1 to {MOST_REPEATS} determinations, finished as 'repeats' or as 'weighings'."
        raise ReadingError(f"{pointer}/{place}", "not-a-list", words)
    weighings = tuple(
        calibration_weighings.read(item, quantity, f"{pointer}/weighings/{number}")
        for number, item in enumerate(given if place == "weighings" else ())
    )
    texts = [] if weighings else given
    numbers = [one.value for one in weighings] or _repeats(texts, f"{pointer}/repeats")
    percent = values.optional_decimal("allowed_spread")
    if percent is not None and not 0 <= percent <= 100:
        raise ReadingError(f"{pointer}/allowed_spread", "out-of-range", "A spread from 0 to 100 % is wanted here.")
    allowed = repeats.allowed_for(quantity, percent=percent, source=values.text("source"))
    try:
        found = repeats.spread(numbers, allowed=allowed)
    except CalculationError as error:
        raise ReadingError(f"{pointer}/{place}", error.code, error.sentence) from error
    return Calibration(quantity, tuple(texts), found, values.text("person"), values.text("remarks"), weighings)


def _repeats(texts: list[Any], pointer: str) -> list[Decimal]:
    numbers = [value_of(text, f"{pointer}/{number}") for number, text in enumerate(texts)]
    units = {str(text).rpartition(" ")[2] for text in texts}
    if len(units) > 1:
        words = f"Write all repeats in one unit; found {', '.join(sorted(units))}."
        raise ReadingError(pointer, "units-differ", words)
    return numbers


def check_mass(values: Values) -> tuple[Finding, ...]:
    """What one check mass shows against the balance. Raises `ReadingsError`."""
    try:
        return repeats.check_mass_findings(
            nominal_kg=values.decimal("nominal"),
            shown_kg=values.decimal("shown"),
            allowed_kg=values.optional_decimal("allowed"),
        )
    except CalculationError as error:
        raise ReadingsError([ReadingError("/check_masses", error.code, error.sentence)]) from error


def upkeep(values: Values) -> Upkeep:
    """One entry of upkeep. Raises `ReadingsError`."""
    done, due = (
        day(text, f"/upkeep/{name}") if (text := values.text(name)) else None for name in ("done_on", "due_on")
    )
    if done is None and due is None:
        raise ReadingsError(
            [ReadingError("/upkeep", "missing", "Give the day it was done, the day it is due, or both.")]
        )
    return Upkeep(values.text("what"), done, due, values.text("remarks"))


def days(value: int | None, pointer: str) -> int | None:
    """A number of days within reason. Raises `ReadingError`."""
    if value is not None and not 1 <= value <= LONGEST_INTERVAL_DAYS:
        raise ReadingError(pointer, "out-of-range", f"A number of days from 1 to {LONGEST_INTERVAL_DAYS} is wanted.")
    return value


def count_rule(written: Any, pointer: str) -> CountRule:
    """How a gauge's counts are judged; what is not said is ASTM D6938's. Raises `ReadingError`, `ReadingsError`."""
    values = read_fields(COUNT_RULE_FIELDS, written, pointer)
    plain = standard_count_log.DEFAULT_RULE
    limits = {}
    for kind in standard_count_log.KINDS:
        limit = values.optional_decimal(f"{kind}_limit")
        if limit is not None and not 0 < limit <= 20:
            raise ReadingError(f"{pointer}/{kind}_limit", "out-of-range", "A limit above 0 and up to 20 % is wanted.")
        limits[kind] = plain.allowed_pct[kind] if limit is None else limit
    window = values.optional_count("window")
    if window is not None and not 1 <= window <= 30:
        raise ReadingError(f"{pointer}/window", "out-of-range", "A window of 1 to 30 counts is wanted here.")
    on = values.text("certificate_on")
    counts = {
        kind: count
        for kind in standard_count_log.KINDS
        if (count := values.optional_count(f"certificate_{kind}_count")) is not None
    }
    if bool(on) != bool(counts) or any(count < 1 for count in counts.values()):
        raise ReadingError(
            f"{pointer}/certificate_on", "certificate", "Give the certificate's day together with its counts above 0."
        )
    if values.text("compare_with") == standard_count_log.CERTIFICATE and not counts:
        raise ReadingError(f"{pointer}/compare_with", "certificate", "To compare with the certificate give its counts.")
    return CountRule(
        compare_with=values.text("compare_with") or plain.compare_with,
        allowed_pct=limits,
        window=plain.window if window is None else window,
        interval_days=days(values.optional_count("interval_days"), f"{pointer}/interval_days") or plain.interval_days,
        certificate_on=day(on, f"{pointer}/certificate_on") if on else None,
        certificate=counts,
        source=values.text("source") or plain.source,
    )
