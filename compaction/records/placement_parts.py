"""Parts of a placement beside its flat fields, and the record "not tested, because"."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.records.reading import Part, list_of, long_text, moment, read_record

#: why an area is not tested: code -> words
REASONS: Final[Mapping[str, str]] = {
    "unsafe-access": "the spot cannot be reached safely",
    "rock": "too much rock for a test in place",
    "exempt-work": "no density is required of this work",
    "weather": "weather stopped the testing",
    "covered": "covered before it could be tested",
    "other": "another reason, in words",
}
NOT_TESTED_FIELDS: Final = (Field("reason_code", "choice", True, "Reason", tuple(REASONS)),)
NOTE_FIELDS: Final = (
    Field("area", "text", True, "Area"),
    Field("lift", "count", True, "Lift"),
    *NOT_TESTED_FIELDS,
)
CORNER_FIELDS: Final = (Field("easting", "length", True, "Easting"), Field("northing", "length", True, "Northing"))
RANGE: Final = ("alignment", "station_from", "station_to", "offset_from", "offset_to")
MOST_CORNERS: Final = 200
MOST_LIFT: Final = 9999
AREA_LENGTH: Final = 40


def _corner(values: Values) -> tuple[Decimal, Decimal]:
    return values.decimal("easting"), values.decimal("northing")


#: corners of the limits, where they are no range between stations
outline = list_of(_corner, CORNER_FIELDS, at_most=MOST_CORNERS)


def said_not_tested(written: Any, pointer: str) -> str:
    """Why no test is made of a placement, in words. Raises `ReadingsError` or `ReadingError`."""
    if not isinstance(written, Mapping):
        raise ReadingError(pointer, "not-an-object", "Give a reason_code and a reason here, {...}.")
    values, parts = read_record(NOT_TESTED_FIELDS, (Part("reason", long_text, required=True),), written)
    return words(values.text("reason_code"), parts["reason"])


def words(code: str, reason: str) -> str:
    """A reason as a sentence shows it.

    >>> words("rock", "boulders from 12+00 to 12+40")
    'too much rock for a test in place (boulders from 12+00 to 12+40)'
    """
    said = reason.strip()
    if code == "other":
        return said
    return f"{REASONS[code]} ({said})" if said else REASONS[code]


def range_or_outline(values: Values, corners: object) -> list[ReadingError]:
    """What is wrong with the limits: they are a range between stations, all of it, or an outline."""
    given = [name for name in RANGE if values.text(name)]
    if corners is not None:
        return [ReadingError("/outline", "limits-twice", "Give stations and offsets or an outline, not both.")] * bool(
            given
        )
    return [
        ReadingError(f"/{name}", "missing", f"Give {name!r}, or an 'outline' in its place.")
        for name in RANGE
        if name not in given
    ]


def quantity_m3(values: Values) -> Decimal | None:
    """What was placed: as surveyed, else loads times what one holds. Raises `ReadingsError` if loads lack that."""
    loads, each = values.optional_count("loads"), values.optional_decimal("load_volume")
    if (loads is None) != (each is None):
        raise ReadingsError(
            [ReadingError("/loads", "loads", "Give 'loads' and 'load_volume' together: how many, and how much each.")]
        )
    stated = values.optional_decimal("quantity")
    if stated is not None:
        return stated
    return None if loads is None or each is None else loads * each


@dataclass(frozen=True)
class NoteRecord:
    """Why an area on a lift is not tested."""

    area: str
    lift: int
    reason_code: str
    reason: str
    noted_at: datetime


def read_note(body: Mapping[str, Any]) -> NoteRecord:
    """A record "not tested, because". The words are compulsory. Raises `ReadingsError`."""
    values, parts = read_record(
        NOTE_FIELDS,
        (Part("noted_at", moment, required=True), Part("reason", long_text, required=True)),
        body,
    )
    lift = values.optional_count("lift")
    errors = []
    if lift is None or lift > MOST_LIFT:
        errors.append(ReadingError("/lift", "out-of-range", f"A lift number from 0 to {MOST_LIFT} is wanted here."))
    if not 0 < len(values.text("area")) <= AREA_LENGTH:
        errors.append(ReadingError("/area", "out-of-range", f"1 to {AREA_LENGTH} characters are wanted here."))
    if not parts["reason"].strip():
        errors.append(ReadingError("/reason", "missing", "Say why, in words that another engineer can follow."))
    if errors or lift is None:
        raise ReadingsError(errors)
    return NoteRecord(values.text("area"), lift, values.text("reason_code"), parts["reason"], parts["noted_at"])
