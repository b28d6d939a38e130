"""Placements, reworks, apparatus and decisions as they are written."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.quantities import UNITS, parse_quantity
from compaction.calculations.readings import Field
from compaction.records.reading import Part, day, long_text, moment, read_record

APPARATUS_KINDS: Final = ("nuclear_gauge", "sand_cone", "balance", "oven", "carbide_meter", "mould")
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
    quantity_m3: Decimal | None


PLACEMENT_FIELDS: Final = (
    Field("area", "text", True, "Area"),
    Field("lift", "count", True, "Lift"),
    Field("alignment", "text", True, "Alignment"),
    Field("station_from", "text", True, "From station"),
    Field("station_to", "text", True, "To station"),
    Field("offset_from", "text", True, "From offset"),
    Field("offset_to", "text", True, "To offset"),
    Field("elevation_top", "length", False, "Elevation of the finished lift"),
    Field("thickness", "length", False, "Lift thickness"),
    Field("quantity", "volume", False, "Quantity placed"),
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
)


def read_placement(body: Mapping[str, Any]) -> PlacementRecord:
    """A placement: area, lift, day and limits are compulsory. Raises `ReadingsError`."""
    values, parts = read_record(
        PLACEMENT_FIELDS, (Part("placed_at", moment, required=True), Part("remarks", long_text)), body
    )
    lift = values.optional_count("lift")
    if lift is None or lift > 9999:
        raise ReadingsError([ReadingError("/lift", "out-of-range", "A lift number from 0 to 9999 is wanted here.")])
    errors = [
        ReadingError(f"/{name}", "out-of-range", f"A value from {low} to {high} {unit} is wanted here.")
        for name, low, high, unit in PLACEMENT_LIMITS
        if (given := values.optional_decimal(name)) is not None and not low <= given <= high
    ]
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
        quantity_m3=values.optional_decimal("quantity"),
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
class ApparatusFields:
    serial: str
    kind: str
    name: str
    valid_from: date
    valid_until: date | None
    values: Mapping[str, str]


def _values(written: Any, pointer: str) -> dict[str, str]:
    if not isinstance(written, Mapping) or len(written) > 20:
        raise ReadingError(pointer, "not-an-object", "Calibrated values by name are wanted here, {...}.")
    for name, text in written.items():
        if not isinstance(name, str) or not name.isidentifier() or len(name) > 60:
            raise ReadingError(pointer, "name", "Names are lower-case words joined by underscores.")
        unit = text.rpartition(" ")[2] if isinstance(text, str) else ""
        kind = next((kind for kind, units in UNITS.items() if unit in units), "mass")
        parse_quantity(text, kind, f"{pointer}/{name}")
    return dict(written)


APPARATUS_FIELDS: Final = (
    Field("kind", "choice", True, "Kind", APPARATUS_KINDS),
    Field("name", "text", False, "Name"),
)


def read_apparatus(body: Mapping[str, Any], *, serial: str) -> ApparatusFields:
    """An instrument and the period in which its calibration holds. Raises `ReadingsError`."""
    values, parts = read_record(
        APPARATUS_FIELDS,
        (
            Part("valid_from", day, required=True),
            Part("valid_until", day),
            Part("values", _values),
            Part("remarks", long_text),
        ),
        body,
    )
    return ApparatusFields(
        serial=serial,
        kind=values.text("kind"),
        name=values.text("name"),
        valid_from=parts["valid_from"],
        valid_until=parts.get("valid_until"),
        values=parts.get("values", {}),
    )


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
