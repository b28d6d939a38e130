"""The question "what governs at this point?", with figures "how would this reading be judged?": read, never stored."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.criterion_conditions import MEASURED
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.methods import METHODS
from compaction.calculations.readings import Field
from compaction.observation import ContentError, read_position
from compaction.observation.position import StatedPosition
from compaction.records.reading import Part, moment, read_record

FIELDS: Final = (
    Field("zone", "text", False, "Zone, if it is not that of the position"),
    Field("depth_below_grade", "length", False, "Depth below grade"),
    Field("reference", "text", False, "Reference"),
    Field("method", "choice", False, "Method of testing", tuple(METHODS)),
    Field("group_symbol", "text", False, "Group symbol"),
    Field("aashto_group", "text", False, "AASHTO group"),
    Field("structure", "text", False, "Structure beside it"),
    *(Field(name, kind, False, words.capitalize()) for name, (kind, words) in MEASURED.items()),
    Field("dry_density", "density", False, "Dry density"),
    Field("water_content", "percent", False, "Water content"),
)
PARTS: Final = (Part("at", moment), Part("position", lambda written, pointer: _position(written, pointer)))


@dataclass(frozen=True)
class GoverningQuestion:
    """A place, a soil and a moment as far as they are stated; `dry_density_kgm3` asks for a judgement as well."""

    at: datetime | None = None
    position: StatedPosition = field(default_factory=StatedPosition)
    zone: str = ""
    depth_m: Decimal | None = None
    reference: str = ""
    method: str = ""
    group_symbol: str = ""
    aashto_group: str = ""
    structure: str = ""
    measured: Mapping[str, Decimal] = field(default_factory=dict)
    dry_density_kgm3: Decimal | None = None
    water_content_pct: Decimal | None = None


def read(body: Mapping[str, Any]) -> GoverningQuestion:
    """The question. Raises `ReadingsError` with every problem."""
    values, parts = read_record(FIELDS, PARTS, body)
    measured = {name: value for name in MEASURED if (value := values.optional_decimal(name)) is not None}
    if values.optional_decimal("water_content") is not None and values.optional_decimal("dry_density") is None:
        raise ReadingsError([ReadingError("/dry_density", "missing", "Give the dry density beside the water content.")])
    return GoverningQuestion(
        at=parts.get("at"),
        position=parts.get("position", StatedPosition()),
        zone=values.text("zone"),
        depth_m=values.optional_decimal("depth_below_grade"),
        reference=values.text("reference"),
        method=values.text("method"),
        group_symbol=values.text("group_symbol"),
        aashto_group=values.text("aashto_group"),
        structure=values.text("structure"),
        measured=measured,
        dry_density_kgm3=values.optional_decimal("dry_density"),
        water_content_pct=values.optional_decimal("water_content"),
    )


def _position(written: Any, pointer: str) -> StatedPosition:
    try:
        return read_position({"position": written})
    except ContentError as error:
        raise ReadingsError([ReadingError(at, code, sentence) for at, code, sentence in error.errors]) from error
