"""The body of a test, read strictly and once: every problem together, nothing guessed, nothing dropped.

The clock is not consulted here: whether a time is too far ahead or behind is for the action that records the test.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import methods
from compaction.calculations.quantities import parse_quantity
from compaction.facts import Observation
from compaction.observation import choices
from compaction.observation.choices import LENGTHS
from compaction.observation.members import ContentError, Members
from compaction.observation.one_point import read_choice
from compaction.observation.position import StatedPosition, read_members
from compaction.observation.rapid import read_rapid
from compaction.observation.soil import read_oversize, read_water_content
from compaction.observation.spot import read_spot

#: number of the body's form; a change that old bodies do not satisfy raises it and brings an upgrader
SCHEMA: Final = 1


@dataclass(frozen=True)
class Notice:
    """Who was told of the result, when and how."""

    person: str
    at: datetime
    how: str


def read(content: Mapping[str, Any]) -> Observation:
    """The observation from the body of a test. Raises `ContentError` with every problem, those of the position too."""
    members = _members(content)
    observation = _observation(members)
    read_members(members.mapping("position"))
    _notice(members.mapping("notified"))
    for name in ("soil", "weather", "witness", "remarks"):
        members.text(name, longest=LENGTHS[name], lines=True)
    members.finish()
    if members.errors or observation is None:
        raise ContentError(members.errors)
    return observation


def read_position(content: Mapping[str, Any]) -> StatedPosition:
    """The stated position alone; empty where none is stated. Raises `ContentError`."""
    members = _members(content)
    position = read_members(members.mapping("position"))
    if members.errors:
        raise ContentError(members.errors)
    return position


def read_notice(content: Mapping[str, Any]) -> Notice | None:
    """Who was told, if anybody. Raises `ContentError`."""
    members = _members(content)
    notice = _notice(members.mapping("notified"))
    if members.errors:
        raise ContentError(members.errors)
    return notice


def _members(content: Any) -> Members:
    if not isinstance(content, Mapping):
        raise ContentError([("", "not-an-object", "The body of a test must be a JSON object.")])
    return Members(content, "", [])


def _observation(members: Members) -> Observation | None:
    performed_at = members.time("performed_at", required=True)
    label = members.text("label", longest=LENGTHS["label"])
    technician = members.text("technician", longest=LENGTHS["name"])
    purpose = members.choice("purpose", choices.PURPOSES, required=True)
    method = members.choice("method", methods.METHODS, required=True)
    readings = members.through("readings", lambda written: _readings(method, written), required=True)
    water_contents = members.items("water_contents", most=choices.MOST_WATER_CONTENTS)
    water = tuple(read_water_content(item) for item in water_contents)
    oversize = read_oversize(members.mapping("oversize"))
    maximum_particle_m = members.quantity("maximum_particle", "length")
    reference_code = members.text("reference", longest=LENGTHS["code"])
    reference_basis = members.choice("reference_basis", choices.REFERENCE_BASES)
    reference_choice = read_choice(members.mapping("reference_choice"))
    rapid = read_rapid(members.mapping("rapid"))
    lift = members.whole("lift", within=choices.LIFT_RANGE)
    lift_thickness_m = members.quantity("lift_thickness", "length")
    apparatus = _apparatus(members.mapping("apparatus"))
    printed, printed_text = _printed(members.mapping("printed"))
    if method == "transcribed":
        _add_transcribed(members.content.get("readings"), printed, printed_text)
    spot = read_spot(members)
    structure = members.text("structure", longest=LENGTHS["name"])
    structure_distance_m = members.quantity("structure_distance", "length")
    retest_of = members.uuid("retest_of")
    check_of = members.uuid("check_of")
    members.uuid("location")  # a planned location; kept in the content, no result depends on it
    if retest_of and check_of:
        members.problem(
            "check_of",
            "contradiction",
            "A test is a retest after rework or a check beside an earlier test, not both; send one of the two.",
        )
    if performed_at is None or readings is None:
        return None
    return Observation(
        performed_at=performed_at,
        method=method,
        readings=readings,
        purpose=purpose,
        label=label,
        technician=technician,
        reference_code=reference_code,
        reference_basis=reference_basis,
        water_contents=water,
        oversize=oversize,
        maximum_particle_mm=None if maximum_particle_m is None else maximum_particle_m * 1000,
        lift=lift,
        lift_thickness_m=lift_thickness_m,
        printed=printed,
        printed_text=printed_text,
        retest_of=retest_of,
        check_of=check_of,
        apparatus=apparatus,
        spot=spot,
        structure=structure,
        structure_distance_m=structure_distance_m,
        rapid=rapid,
        reference_choice=reference_choice,
    )


def _readings(method: str, written: Mapping[str, Any]) -> object:
    """The readings of a known method; those of an unknown one are not looked at, the method is the error."""
    if method not in methods.METHODS:
        return None
    return methods.read_readings(method, methods.METHODS[method].schema, written)


def _apparatus(members: Members | None) -> dict[str, str]:
    if members is None:
        return {}
    named = {kind: members.text(kind, longest=LENGTHS["serial"]) for kind in choices.APPARATUS_KINDS}
    members.finish()
    return {kind: serial for kind, serial in named.items() if serial}


def _printed(members: Members | None) -> tuple[dict[str, Decimal], dict[str, str]]:
    printed: dict[str, Decimal] = {}
    if members is None:
        return printed, {}
    for name, kind in choices.PRINTED_FIGURES.items():
        value = members.quantity(name, kind)
        if value is not None:
            printed[name] = value
    members.finish()
    return printed, {name: members.content[name] for name in printed}


def _add_transcribed(written: Any, printed: dict[str, Decimal], printed_text: dict[str, str]) -> None:
    """The readings of a transcribed test are themselves figures as printed; their last digit matters for the checks."""
    if not isinstance(written, Mapping):
        return
    for name in ("wet_density", "dry_density", "water_content"):
        if name in written and name not in printed:
            try:
                printed[name] = parse_quantity(written[name], choices.PRINTED_FIGURES[name])
            except ValueError:
                continue  # already told with the readings
            printed_text[name] = written[name]


def _notice(members: Members | None) -> Notice | None:
    if members is None:
        return None
    person = members.text("person", longest=LENGTHS["name"], required=True)
    at = members.time("at", required=True)
    how = members.choice("how", choices.NOTICE_WAYS, required=True)
    members.finish()
    return None if at is None else Notice(person, at, how)
