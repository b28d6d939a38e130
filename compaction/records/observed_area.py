"""Proof rolls and areas that are observed because they cannot be tested, as they are written."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values
from compaction.records.placement_parts import AREA_LENGTH, MOST_LIFT
from compaction.records.reading import Part, long_text, moment, read_record
from compaction.records.standard_counts import uuid_of

PROOF_ROLL, OBSERVED = "proof_roll", "observed_only"
KINDS: Final = {PROOF_ROLL: "proof roll", OBSERVED: "observed, not testable"}
#: what the ground did under the roller; only the first is good
STABLE = "stable"
VERDICTS: Final = {STABLE: "stable", "pumping": "pumping", "rutting": "rutting"}
REASONS: Final = {
    "rock_fill": "rock fill: no hole or gauge measures it",
    "method_compaction": "compaction by method: passes and lift are specified",
    "other": "another reason, in the remarks",
}
MOST_PASSES: Final = 999
DEEPEST_M: Final = 2

FIELDS: Final = (
    Field("kind", "choice", True, "Kind", tuple(KINDS)),
    Field("area", "text", True, "Area"),
    Field("lift", "count", False, "Lift"),
    Field("alignment", "text", True, "Alignment"),
    Field("station_from", "text", True, "From station"),
    Field("station_to", "text", True, "To station"),
    Field("offset_from", "text", True, "From offset"),
    Field("offset_to", "text", True, "To offset"),
    Field("equipment", "text", True, "Equipment, with its mass or tyre pressure"),
    Field("passes", "count", True, "Passes"),
    Field("verdict", "choice", False, "What the ground did", tuple(VERDICTS)),
    Field("deflection", "length", False, "Deflection or depth of ruts"),
    Field("reason_code", "choice", False, "Why it cannot be tested", tuple(REASONS)),
    Field("watched_by", "text", True, "Who watched"),
    Field("replaces", "text", False, "Id of the record that was written wrongly"),
)
PARTS: Final = (
    Part("observed_at", moment, required=True),
    Part("watched", long_text),
    Part("remarks", long_text),
)


@dataclass(frozen=True)
class ObservedAreaRecord:
    """What was watched. `verdict` belongs to a proof roll, `reason_code` to an area that cannot be tested."""

    kind: str
    area: str
    lift: int | None
    observed_at: datetime
    alignment: str
    station_from: str
    station_to: str
    offset_from: str
    offset_to: str
    passes: int
    verdict: str
    reason_code: str
    replaces: UUID | None


def read(body: Mapping[str, Any]) -> ObservedAreaRecord:
    """A proof roll needs its verdict, with a depth unless stable; the other kind its reason and what was watched.

    Raises `ReadingsError`.
    """
    values, parts = read_record(FIELDS, PARTS, body)
    errors = [*_of_kind(values, parts), *_sizes(values)]
    replaces = uuid_of(values.text("replaces"), errors) if values.text("replaces") else None
    if errors:
        raise ReadingsError(errors)
    return ObservedAreaRecord(
        kind=values.text("kind"),
        area=values.text("area"),
        lift=values.optional_count("lift"),
        observed_at=parts["observed_at"],
        alignment=values.text("alignment"),
        station_from=values.text("station_from"),
        station_to=values.text("station_to"),
        offset_from=values.text("offset_from"),
        offset_to=values.text("offset_to"),
        passes=values.optional_count("passes") or 0,
        verdict=values.text("verdict"),
        reason_code=values.text("reason_code"),
        replaces=replaces,
    )


def _of_kind(values: Values, parts: Mapping[str, Any]) -> list[ReadingError]:
    errors = []
    rolled, verdict, depth_m = values.text("kind") == PROOF_ROLL, values.text("verdict"), _depth(values)
    if rolled and not verdict:
        errors.append(ReadingError("/verdict", "missing", "Say what the ground did: stable, pumping or rutting."))
    if rolled and verdict not in ("", STABLE) and depth_m is None:
        errors.append(ReadingError("/deflection", "missing", "Say how deep it moved or rutted, as 1.5 in."))
    if rolled and values.text("reason_code"):
        errors.append(ReadingError("/reason_code", "not-of-this-kind", "A proof roll needs no such reason."))
    if not rolled:
        if verdict or depth_m is not None:
            errors.append(ReadingError("/verdict", "not-of-this-kind", "Verdict and depth belong to a proof roll."))
        if not values.text("reason_code"):
            errors.append(ReadingError("/reason_code", "missing", "Say why it cannot be tested."))
        if not parts.get("watched", "").strip():
            errors.append(ReadingError("/watched", "missing", "Say what was watched: lift, rock size, passes, water."))
    if values.text("reason_code") == "other" and not parts.get("remarks", "").strip():
        errors.append(ReadingError("/remarks", "missing", "Say in the remarks why it cannot be tested."))
    return errors


def _depth(values: Values) -> Any:
    return values.optional_decimal("deflection")


def _sizes(values: Values) -> list[ReadingError]:
    errors = []
    lift, passes, depth_m = values.optional_count("lift"), values.optional_count("passes") or 0, _depth(values)
    if lift is not None and lift > MOST_LIFT:
        errors.append(ReadingError("/lift", "out-of-range", f"A lift number from 0 to {MOST_LIFT} is wanted here."))
    if not 1 <= passes <= MOST_PASSES:
        errors.append(ReadingError("/passes", "out-of-range", f"1 to {MOST_PASSES} passes are wanted here."))
    if depth_m is not None and not 0 <= depth_m <= DEEPEST_M:
        errors.append(ReadingError("/deflection", "out-of-range", f"A depth from 0 to {DEEPEST_M} m is wanted here."))
    for name in ("area", "alignment"):
        if not 0 < len(values.text(name)) <= AREA_LENGTH:
            errors.append(ReadingError(f"/{name}", "out-of-range", f"1 to {AREA_LENGTH} characters are wanted here."))
    for name in ("equipment", "watched_by"):
        if not values.text(name).strip():
            errors.append(ReadingError(f"/{name}", "missing", f"Give {name!r}."))
    return errors
