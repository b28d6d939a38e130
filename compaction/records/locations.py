"""A draw of random locations as it is asked for, and the substitution of one of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field
from compaction.records.reading import Part, long_text, read_record
from compaction.records.standard_counts import uuid_of

MOST_LOCATIONS: Final = 500
LONGEST_M: Final = 100
REDRAW_REASONS: Final = {
    "fill_placed_since": "fill was placed or corrected since",
    "number_changed": "another number of tests is required",
    "rule_changed": "another margin or distance is wanted",
    "other": "another reason",
}
SUBSTITUTION_REASONS: Final = {
    "structure": "a structure, pipe or manhole is there",
    "stones": "stones too large for the method",
    "water": "standing water or frozen ground",
    "unsafe": "traffic, plant or slope make it unsafe",
    "covered": "the next lift already covers it",
    "outside": "outside the fill as it was really placed",
    "other": "another reason",
}
DRAW_FIELDS: Final = (
    Field("area", "text", True, "Area"),
    Field("lift", "count", True, "Lift"),
    Field("tests", "count", False, "Number of locations; as many as tests are required where it is left out"),
    Field("edge_margin", "length", True, "Kept off the sides of the fill"),
    Field("done_within", "length", True, "A test this near ticks a location off"),
    Field("replaces", "text", False, "Id of the draw that this one replaces"),
    Field("reason_code", "choice", False, "Why it is drawn again", tuple(REDRAW_REASONS)),
)
SUBSTITUTION_FIELDS: Final = (
    Field("reason_code", "choice", True, "Why it could not be tested there", tuple(SUBSTITUTION_REASONS)),
    Field("station", "text", False, "Station taken instead"),
    Field("offset", "text", False, "Offset taken instead"),
)


@dataclass(frozen=True)
class DrawRecord:
    """What a draw is asked for with. `tests` None: as many as are required."""

    area: str
    lift: int
    tests: int | None
    edge_margin_m: Decimal
    done_within_m: Decimal
    replaces: UUID | None
    reason_code: str
    reason: str


def read_draw(body: Mapping[str, Any]) -> DrawRecord:
    """A draw; one that replaces another says why, by code and in words. Raises `ReadingsError`."""
    values, parts = read_record(DRAW_FIELDS, (Part("reason", long_text),), body)
    errors: list[ReadingError] = []
    tests = values.optional_count("tests")
    if tests is not None and not 1 <= tests <= MOST_LOCATIONS:
        errors.append(ReadingError("/tests", "out-of-range", f"A number from 1 to {MOST_LOCATIONS} is wanted here."))
    lift = values.optional_count("lift")
    if lift is None or lift > 9999:
        errors.append(ReadingError("/lift", "out-of-range", "A lift number from 0 to 9999 is wanted here."))
    lengths = {name: values.optional_decimal(name) or Decimal(0) for name in ("edge_margin", "done_within")}
    for name, length in lengths.items():
        if not 0 <= length <= LONGEST_M:
            errors.append(ReadingError(f"/{name}", "out-of-range", f"A length from 0 to {LONGEST_M} m is wanted here."))
    written = values.text("replaces")
    replaces = uuid_of(written, errors) if written else None
    reason = parts.get("reason", "").strip()
    if written and not values.text("reason_code"):
        errors.append(
            ReadingError("/reason_code", "missing", "Say why it is drawn again; nobody draws until it suits.")
        )
    if written and not reason:
        errors.append(ReadingError("/reason", "missing", "Say in words why it is drawn again."))
    if errors:
        raise ReadingsError(errors)
    return DrawRecord(
        area=values.text("area"),
        lift=lift or 0,
        tests=tests,
        edge_margin_m=lengths["edge_margin"],
        done_within_m=lengths["done_within"],
        replaces=replaces,
        reason_code=values.text("reason_code"),
        reason=reason,
    )


@dataclass(frozen=True)
class SubstitutionRecord:
    """Why a location is given up. Without a station another random place is drawn in the same cell."""

    reason_code: str
    reason: str
    station: str
    offset: str


def read_substitution(body: Mapping[str, Any]) -> SubstitutionRecord:
    """A substitution, with a reason by code and in words. Raises `ReadingsError`."""
    values, parts = read_record(SUBSTITUTION_FIELDS, (Part("reason", long_text, required=True),), body)
    errors = []
    if not parts["reason"].strip():
        errors.append(ReadingError("/reason", "missing", "Say in words why it could not be tested there."))
    if bool(values.text("station")) != bool(values.text("offset")):
        errors.append(ReadingError("/offset", "missing", "Give station and offset together, or neither."))
    if errors:
        raise ReadingsError(errors)
    return SubstitutionRecord(
        values.text("reason_code"), parts["reason"].strip(), values.text("station"), values.text("offset")
    )
