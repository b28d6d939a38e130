"""Placements, reworks and decisions as they are written."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field
from compaction.records import placement_parts
from compaction.records.reading import Part, long_text, moment, read_record

REWORK_METHODS: Final = ("rerolled", "dried", "wetted", "scarified", "removed", "stabilised", "other")


@dataclass(frozen=True)
class PlacementRecord:
    area: str
    lift: int
    placed_at: datetime
    alignment: str
    station_from: str
    station_to: str
    offset_from: str
    offset_to: str
    elevation_top_m: Decimal | None
    thickness_m: Decimal | None
    quantity_m3: Decimal | None  # as stated, else loads times what one holds
    outline: tuple[tuple[Decimal, Decimal], ...] = ()  # corners (easting, northing) in place of a range
    material: str = ""
    not_tested: str = ""
    side: str = ""
    lot: str = ""


PLACEMENT_FIELDS: Final = (
    Field("area", "text", True, "Area"),
    Field("lift", "count", True, "Lift"),
    Field("alignment", "text", False, "Alignment"),
    Field("station_from", "text", False, "From station"),
    Field("station_to", "text", False, "To station"),
    Field("offset_from", "text", False, "From offset"),
    Field("offset_to", "text", False, "To offset"),
    Field("elevation_top", "length", False, "Elevation of the finished lift"),
    Field("thickness", "length", False, "Lift thickness"),
    Field("quantity", "volume", False, "Quantity placed"),
    Field("loads", "count", False, "Loads"),
    Field("load_volume", "volume", False, "Volume of one load, compacted"),
    Field("material", "text", False, "Material, or the code of its reference"),
    Field("side", "text", False, "Side of a pipe or wall"),
    Field("lot", "text", False, "Lot"),
    Field("source", "text", False, "Source of the fill"),
    Field("equipment", "text", False, "Equipment"),
    Field("passes", "count", False, "Passes"),
    Field("weather", "text", False, "Weather"),
)

#: beyond these a figure is a slip of the pen, and no column could keep it
PLACEMENT_LIMITS: Final = (
    ("elevation_top", -20_000, 20_000, "m"),
    ("thickness", 0, 100, "m"),
    ("quantity", 0, 1_000_000_000, "m3"),
    ("load_volume", 0, 1000, "m3"),
)


PLACEMENT_PARTS: Final = (
    Part("placed_at", moment, required=True),
    Part("outline", placement_parts.outline),
    Part("not_tested", placement_parts.said_not_tested),
    Part("remarks", long_text),
)


def read_placement(body: Mapping[str, Any]) -> PlacementRecord:
    """A placement: area, lift, day and limits (a range or an outline) are compulsory. Raises `ReadingsError`."""
    values, parts = read_record(PLACEMENT_FIELDS, PLACEMENT_PARTS, body)
    lift = values.optional_count("lift")
    if lift is None or lift > 9999:
        raise ReadingsError([ReadingError("/lift", "out-of-range", "A lift number from 0 to 9999 is wanted here.")])
    errors = [
        ReadingError(f"/{name}", "out-of-range", f"A value from {low} to {high} {unit} is wanted here.")
        for name, low, high, unit in PLACEMENT_LIMITS
        if (given := values.optional_decimal(name)) is not None and not low <= given <= high
    ]
    errors += placement_parts.range_or_outline(values, parts.get("outline"))
    for name, longest in (("area", placement_parts.AREA_LENGTH), ("alignment", 40)):
        if len(values.text(name)) > longest:
            errors.append(ReadingError(f"/{name}", "out-of-range", f"At most {longest} characters are wanted here."))
    if errors:
        raise ReadingsError(errors)
    return PlacementRecord(
        area=values.text("area"),
        lift=lift,
        placed_at=parts["placed_at"],
        alignment=values.text("alignment"),
        station_from=values.text("station_from"),
        station_to=values.text("station_to"),
        offset_from=values.text("offset_from"),
        offset_to=values.text("offset_to"),
        elevation_top_m=values.optional_decimal("elevation_top"),
        thickness_m=values.optional_decimal("thickness"),
        quantity_m3=placement_parts.quantity_m3(values),
        outline=tuple(parts.get("outline", ())),
        material=values.text("material"),
        not_tested=parts.get("not_tested", ""),
        side=values.text("side"),
        lot=values.text("lot"),
    )


@dataclass(frozen=True)
class ReworkRecord:
    performed_at: datetime
    method: str
    remarks: str


REWORK_FIELDS: Final = (
    Field("method", "choice", True, "What was done", REWORK_METHODS),
    Field("equipment", "text", False, "Equipment"),
    Field("passes", "count", False, "Passes"),
    Field("reported_by", "text", False, "Reported by"),
)


def read_rework(body: Mapping[str, Any]) -> ReworkRecord:
    """What was done to a failed area, and when it was finished. Raises `ReadingsError`."""
    values, parts = read_record(
        REWORK_FIELDS, (Part("performed_at", moment, required=True), Part("remarks", long_text)), body
    )
    return ReworkRecord(parts["performed_at"], values.text("method"), parts.get("remarks", ""))


@dataclass(frozen=True)
class RulingRecord:
    """A decision as written: its meaning, a code and words for the reason, and the figures it was made on."""

    meaning: str
    reason_code: str
    reason: str
    detail: str
    basis_digest: str


RULING_FIELDS: Final = (
    Field("meaning", "text", True, "Meaning"),
    Field("reason_code", "text", False, "Reason"),
    Field("detail", "text", False, "Detail"),
    Field("basis_digest", "text", False, "Digest of the figures shown"),
)


def read_ruling(body: Mapping[str, Any]) -> RulingRecord:
    """A decision. The reason in words is compulsory. Raises `ReadingsError`."""
    values, parts = read_record(RULING_FIELDS, (Part("reason", long_text, required=True),), body)
    if not parts["reason"].strip():
        raise ReadingsError([ReadingError("/reason", "missing", "Say why, in words that another engineer can follow.")])
    return RulingRecord(
        meaning=values.text("meaning"),
        reason_code=values.text("reason_code"),
        reason=parts["reason"],
        detail=values.text("detail"),
        basis_digest=values.text("basis_digest"),
    )
