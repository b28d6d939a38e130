"""The fields of the entry form, from the descriptions of the record and of each method's readings.

A field knows its place in the record (a JSON pointer). The script builds the record from the fields, so the form
sends exactly what any other client would send.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from compaction.calculations.methods import METHODS
from compaction.calculations.quantities import UNITS
from compaction.calculations.readings import Field as ReadingField
from compaction.forms.quantities import units_of
from compaction.observation.description import FIELDS
from projects.models import Project


@dataclass(frozen=True)
class EntryField:
    """One input. `only_with`: sent only if the field at that pointer is filled in."""

    pointer: str
    kind: str  # text lines choice quantity number count whole yes_no time station offset
    label: str
    value: str = ""
    unit: str = ""
    units: tuple[tuple[str, str], ...] = ()
    choices: tuple[tuple[str, str], ...] = ()
    needed: bool = False
    only_with: str = ""  # pointers, parted by blanks: one of them has to be filled in
    other_pointer: str = ""  # where it belongs if one of `other_units` is chosen
    other_units: str = ""
    help: str = ""
    keep: str = ""  # "always": the last value stands; "day": only on the day it was written
    longest: int = 200

    @property
    def id(self) -> str:
        return "f" + self.pointer.replace("/", "-")


ONLY_WITH: Final = {
    "/reference_basis": "/reference",
    "/reference_choice/basis": "/reference_choice/wet_density",
    "/reference_choice/family": "/reference_choice/wet_density",
    "/position/alignment": "/position/station /position/rtk/latitude /position/easting",
    "/position/elevation_from": "/position/elevation",
    "/oversize/sieve": "/oversize/percent /oversize/wet_mass",
    "/oversize/basis": "/oversize/percent /oversize/wet_mass",
    "/notified/at": "/notified/person",
    "/notified/how": "/notified/person",
    "/readings/water_offset/in_display": "/readings/water_offset/value /readings/water_offset/factor",
    "/readings/density_offset/in_display": "/readings/density_offset/value /readings/density_offset/factor",
    "/readings/water_offset/factor_of": "/readings/water_offset/factor",
    "/readings/trench/in_display": "/readings/trench/moisture_count",
    "/readings/rotation": "/readings/rotated/0/wet_density",
}
KEPT: Final = {
    "/method", "/purpose", "/reference", "/reference_basis", "/position/alignment", "/position/elevation_from", "/lift",
    "/lift_thickness", "/structure", "/readings/mode", "/readings/depth", "/readings/serial", "/readings/count_time",
    "/readings/cone_and_plate_mass", "/readings/cone_and_plate_volume", "/readings/cone_mass", "/readings/cone_volume",
    "/readings/pouring_cylinder", "/readings/sand_bulk_density", "/readings/empty_apparatus_mass", "/readings/standard",
    "/apparatus/gauge", "/apparatus/cone", "/apparatus/sand", "/apparatus/balloon",
    "/apparatus/balance", "/apparatus/oven", "/apparatus/carbide_tester", "/apparatus/mould",
}  # fmt: skip
#: how many entries of a list a form offers: a gauge turned by 90, 180 and 270 degrees
ROWS_OF_GROUPS: Final = 3
#: kept for the day only: a gauge is standardised anew every day (ASTM D6938, section on standardisation; from memory)
KEPT_FOR_THE_DAY: Final = {"/readings/density_standard_count", "/readings/moisture_standard_count", "/weather"}


def at(content: Mapping[str, Any], pointer: str) -> Any:
    """What a record holds at a pointer; None if nothing."""
    found: Any = content
    for part in pointer.strip("/").split("/"):
        if isinstance(found, Mapping):
            found = found.get(part)
        elif isinstance(found, list) and part.isdigit() and int(part) < len(found):
            found = found[int(part)]
        else:
            return None
    return found


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)


def with_value(project: Project, field: EntryField, kind_of_unit: str, content: Mapping[str, Any]) -> EntryField:
    """The field with what a record holds for it, and the units of its kind."""
    keep = "day" if field.pointer in KEPT_FOR_THE_DAY else "always" if field.pointer in KEPT else ""
    field = replace(field, keep=keep, only_with=ONLY_WITH.get(field.pointer, ""))
    value = _text(at(content, field.pointer)) or (
        _text(at(content, field.other_pointer)) if field.other_pointer else ""
    )
    if field.kind != "quantity":
        return replace(field, value=value)
    kinds = kind_of_unit.split("|")
    units = tuple(unit for kind in kinds for unit in units_of(project, kind))
    number, _, unit = value.partition(" ")
    return replace(field, value=number, unit=unit or units[0][0], units=units)


def record_fields(project: Project, content: Mapping[str, Any]) -> dict[str, EntryField]:
    """The members of a record apart from its readings, by pointer without slashes ("position_station")."""
    found = {}
    for description in FIELDS:
        kind = {"/position/station": "station", "/position/offset": "offset"}.get(description.pointer, description.kind)
        unit_kind = (
            "thickness" if description.pointer in ("/lift_thickness", "/maximum_particle") else description.unit_kind
        )
        field = EntryField(
            pointer=description.pointer,
            kind={"uuid": "text", "flag": "yes_no"}.get(kind, kind),
            label=description.label,
            choices=tuple((description.choices or {}).items()),
            needed=description.required,
            longest=description.longest or 200,
        )
        filled = with_value(project, field, unit_kind, content)
        if filled.kind == "offset":
            filled = _offset(project, filled)
        found[description.pointer.strip("/").replace("/", "_")] = filled
    return found


def _offset(project: Project, field: EntryField) -> EntryField:
    number, _, side = field.value.partition(" ")
    sides = (("L", "left"), ("R", "right"))
    if side not in ("", "L", "R"):  # written in another way: kept as it stands
        return replace(field, kind="text")
    return replace(field, value=number, unit=side or "L", units=sides)


def reading_fields(project: Project, method: str, content: Mapping[str, Any]) -> dict[str, EntryField]:
    """The readings of a method by name. Two that exclude each other are one field, whose unit tells which is meant."""
    return _readings(project, METHODS[method].fields, "/readings", content if content.get("method") == method else {})


def _readings(
    project: Project, fields: Iterable[ReadingField], place: str, content: Mapping[str, Any], *, within: bool = False
) -> dict[str, EntryField]:
    """Fields by name. `within` a group nothing is needed: the group may be left out."""
    found: dict[str, EntryField] = {}
    first_of: dict[str, str] = {}
    for field in fields:
        pointer = f"{place}/{field.name}"
        if field.kind == "group":
            found |= {
                f"{field.name}_{name}": sub
                for name, sub in _readings(project, field.fields, pointer, content, within=True).items()
            }
            continue
        if field.kind == "groups":
            found |= {
                f"{field.name}_{row}_{name}": sub
                for row in range(ROWS_OF_GROUPS)
                for name, sub in _readings(project, field.fields, f"{pointer}/{row}", content, within=True).items()
            }
            continue
        kind_of_unit = "thickness" if field.kind == "length" else field.kind
        quantity = all(kind in UNITS for kind in field.kind.split("|"))
        entry = EntryField(
            pointer=pointer,
            kind="quantity" if quantity else field.kind,
            label=field.label,
            choices=(
                *((("", "not stated"),) if field.kind == "choice" and not field.required else ()),
                *((choice, choice.replace("_", " ")) for choice in field.choices),
            ),
            needed=not within and (field.required or bool(field.one_of)),
        )
        filled = with_value(project, entry, kind_of_unit, content)
        if field.one_of in first_of and filled.kind == "quantity":
            name = first_of[field.one_of]
            found[name] = _joined(found[name], filled)
            continue
        if field.one_of:
            first_of[field.one_of] = field.name
        found[field.name] = filled
    return found


def _joined(one: EntryField, other: EntryField) -> EntryField:
    use_other = bool(other.value) or (not one.value and any(unit == "%" for unit, _ in other.units))
    return replace(
        one,
        value=other.value if use_other else one.value,
        unit=other.unit if use_other else one.unit,
        units=(*one.units, *other.units),
        other_pointer=other.pointer,
        other_units=" ".join(unit for unit, _ in other.units),
    )


def kept_from(content: Mapping[str, Any], *, same_day: bool) -> dict[str, Any]:
    """What of the last record stands in a new form."""
    kept: dict[str, Any] = {}
    for pointer in (*KEPT, *(KEPT_FOR_THE_DAY if same_day else ())):
        value = at(content, pointer)
        if value is not None:
            *parents, name = pointer.strip("/").split("/")
            place = kept
            for parent in parents:
                place = place.setdefault(parent, {})
            place[name] = value
    return kept
