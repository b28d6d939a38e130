"""A lot as it is declared: its extent, the rules that its tests must meet together, and how retests count."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.lot_declaration import LotFacts
from compaction.calculations.readings import Field, Values
from compaction.observation.choices import PURPOSES
from compaction.records.lot_rule import MOST_TESTS, read_rule, written_rules
from compaction.records.reading import Part, day, list_of, long_text, read_record

K_FIELDS: Final = (Field("tests", "count", True, "Number of tests"), Field("k", "number", True, "k"))
FIELDS: Final = (
    Field("title", "text", True, "Title"),
    Field("zone", "text", False, "Zone"),
    Field("area", "text", False, "Area"),
    Field("lift_from", "count", False, "From lift"),
    Field("lift_to", "count", False, "To lift"),
    Field("alignment", "text", False, "Alignment"),
    Field("station_from", "text", False, "From station"),
    Field("station_to", "text", False, "To station"),
    Field("offset_from", "text", False, "From offset"),
    Field("offset_to", "text", False, "To offset"),
    Field("next_tests", "count", False, "The next tests"),
    Field("retests", "choice", False, "Retests", ("replace", "count", "leave_out")),
    Field("individual_failures", "choice", False, "Failures of single tests", ("stand", "governed")),
    Field("comparison_risk", "percent", False, "Risk of the comparison"),
    Field("k_source", "text", False, "Where k comes from"),
)
_STATION: Final = ("alignment", "station_from", "station_to")
_OFFSET: Final = ("offset_from", "offset_to")


@dataclass(frozen=True)
class LotRecord:
    """The facts (declared when, is for the action to say), and the place in words that geometry has to read."""

    facts: LotFacts
    area: str
    stations: Mapping[str, str]  # alignment, station_from ...; empty: no range
    reason: str


def _purposes(written: Any, pointer: str) -> tuple[str, ...]:
    if not isinstance(written, list) or not written or any(one not in PURPOSES for one in written):
        raise ReadingError(pointer, "not-purposes", f"List one or more of {', '.join(PURPOSES)}.")
    return tuple(name for name in PURPOSES if name in written)


def _entry(values: Values) -> tuple[int, Decimal]:
    return values.optional_count("tests") or 0, values.decimal("k")


PARTS: Final = (
    Part("rules", written_rules, required=True),
    Part("purposes", _purposes),
    Part("first_day", day),
    Part("last_day", day),
    Part("k_by_tests", list_of(_entry, K_FIELDS, at_most=60)),
    Part("reason", long_text),
    Part("remarks", long_text),
)  # fmt: skip


def read(body: Mapping[str, Any], *, code: str, rev: int) -> LotRecord:
    """The lot as declared. Raises `ReadingsError` with every problem that was found."""
    values, parts = read_record(FIELDS, PARTS, body)
    k_by_tests = tuple(sorted(parts.get("k_by_tests", ())))
    errors: list[ReadingError] = []
    rules = []
    for index, (given, unit) in enumerate(parts["rules"]):
        try:
            rules.append(read_rule(given, unit, k_by_tests, values.text("k_source"), f"/rules/{index}"))
        except ReadingError as error:
            errors.append(error)
    for check in (_extent, _numbers):
        errors.extend(check(values, parts))
    if errors:
        raise ReadingsError(errors)
    lift_from, lift_to = values.optional_count("lift_from"), values.optional_count("lift_to")
    facts = LotFacts(
        code=code,
        rev=rev,
        declared_at=datetime.min.replace(tzinfo=UTC),
        rules=tuple(rules),
        zone=values.text("zone"),
        lift_from=lift_from,
        lift_to=lift_from if lift_to is None else lift_to,
        first_day=parts.get("first_day"),
        last_day=parts.get("last_day"),
        next_tests=values.optional_count("next_tests"),
        purposes=parts.get("purposes", ("acceptance",)),
        retests=values.text("retests") or "replace",
        individual_failures=values.text("individual_failures") or "stand",
        comparison_risk_pct=values.optional_decimal("comparison_risk") or Decimal(5),
    )
    stations = {name: values.text(name) for name in (*_STATION, *_OFFSET) if values.text(name)}
    return LotRecord(facts, values.text("area"), stations, parts.get("reason", ""))


def _extent(values: Values, parts: Mapping[str, Any]) -> list[ReadingError]:
    errors = []
    given = [name for name in _STATION if values.text(name)]
    if given and len(given) < len(_STATION):
        errors.append(ReadingError("/station_from", "range-incomplete", "Give alignment, station_from and station_to."))
    offsets = [name for name in _OFFSET if values.text(name)]
    if offsets and (len(offsets) == 1 or not given):
        errors.append(ReadingError("/offset_from", "range-incomplete", "Give both offsets, with their stations."))
    lift_from, lift_to = values.optional_count("lift_from"), values.optional_count("lift_to")
    if lift_to is not None and (lift_from is None or lift_from > lift_to):
        errors.append(ReadingError("/lift_to", "limits-crossed", "Give the lower lift first."))
    first, last = parts.get("first_day"), parts.get("last_day")
    if isinstance(first, date) and isinstance(last, date) and first > last:
        errors.append(ReadingError("/last_day", "limits-crossed", "The last day lies before the first."))
    bounded = values.text("zone") or values.text("area") or given or lift_from is not None
    if not bounded and last is None and values.optional_count("next_tests") is None:
        errors.append(
            ReadingError("", "no-extent", "Say which tests: a zone, area, lift or stations, a last day, or how many.")
        )
    return errors


def _numbers(values: Values, _: Mapping[str, Any]) -> list[ReadingError]:
    errors = []
    for name, low, high in (("next_tests", 1, MOST_TESTS), ("lift_from", 0, 9999), ("lift_to", 0, 9999)):
        count = values.optional_count(name)
        if count is not None and not low <= count <= high:
            errors.append(ReadingError(f"/{name}", "out-of-range", f"A number from {low} to {high} is wanted here."))
    risk = values.optional_decimal("comparison_risk")
    if risk is not None and not 0 < risk < 50:
        errors.append(ReadingError("/comparison_risk", "out-of-range", "A risk lies above 0 and below 50 %."))
    return errors
