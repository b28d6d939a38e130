"""A standard count of a gauge, or repeated counts that show whether the gauge is stable."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.quantities import parse_count
from compaction.calculations.readings import Field
from compaction.records.apparatus_parts import SERIAL, SERIAL_WORDS
from compaction.records.reading import Part, long_text, moment, read_record

STANDARD, STABILITY = "standard", "stability"
PURPOSES: Final = {STANDARD: "standard count before use", STABILITY: "stability check of repeated counts"}
MOST_COUNTS: Final = 64

FIELDS: Final = (
    Field("serial", "text", True, "Serial number of the gauge"),
    Field("purpose", "choice", False, "Purpose", tuple(PURPOSES)),
    Field("count_time", "time", False, "Count time"),
    Field("prescale", "number", False, "Prescale of the display"),
    Field("person", "text", False, "Taken by"),
    Field("replaces", "text", False, "Id of the count that was written wrongly"),
)


@dataclass(frozen=True)
class StandardCountRecord:
    """Counts as written. `replaces` is the id of an earlier record that is no longer to be judged."""

    serial: str
    purpose: str
    taken_at: datetime
    density_counts: tuple[int, ...]
    moisture_counts: tuple[int, ...]
    prescale: Decimal
    person: str
    remarks: str
    replaces: UUID | None


def _counts(written: Any, pointer: str) -> tuple[int, ...]:
    if not isinstance(written, list) or not 1 <= len(written) <= MOST_COUNTS:
        raise ReadingError(pointer, "not-a-list", f"Give 1 to {MOST_COUNTS} counts in a list.")
    counts = tuple(parse_count(item, f"{pointer}/{number}") for number, item in enumerate(written))
    if min(counts) < 1:
        raise ReadingError(pointer, "out-of-range", "A count is greater than zero.")
    return counts


PARTS: Final = (
    Part("taken_at", moment, required=True),
    Part("density_counts", _counts),
    Part("moisture_counts", _counts),
    Part("remarks", long_text),
)


def read(body: Mapping[str, Any]) -> StandardCountRecord:
    """A record of counts; a standard count needs its density counts. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    errors = []
    purpose = values.text("purpose") or STANDARD
    density, moisture = parts.get("density_counts", ()), parts.get("moisture_counts", ())
    if not density and not moisture:
        errors.append(ReadingError("/density_counts", "missing", "Give density counts, moisture counts or both."))
    prescale = values.optional_decimal("prescale")
    if prescale is not None and not 0 < prescale <= 1000:
        errors.append(ReadingError("/prescale", "out-of-range", "A prescale above 0 and up to 1000 is wanted here."))
    replaces = None
    if written := values.text("replaces"):
        replaces = uuid_of(written, errors)
    if SERIAL.fullmatch(values.text("serial")) is None:
        errors.append(ReadingError("/serial", "not-a-serial", SERIAL_WORDS))
    if errors:
        raise ReadingsError(errors)
    return StandardCountRecord(
        serial=values.text("serial"),
        purpose=purpose,
        taken_at=parts["taken_at"],
        density_counts=density,
        moisture_counts=moisture,
        prescale=Decimal(1) if prescale is None else prescale,
        person=values.text("person"),
        remarks=parts.get("remarks", ""),
        replaces=replaces,
    )


def uuid_of(written: str, errors: list[ReadingError]) -> UUID | None:
    """An id in its canonical form; a problem is added to `errors`."""
    try:
        found = UUID(written)
    except ValueError:
        found = None
    if found is None or str(found) != written:
        errors.append(ReadingError("/replaces", "not-a-uuid", "An id is a UUID in lower case with hyphens."))
        return None
    return found
