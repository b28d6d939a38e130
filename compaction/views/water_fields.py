"""Water contents of specimens on the entry form: as a value, cans, weighings while one dries, or a dial."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from compaction.calculations.moisture_standards import CAUTIONS, MOISTURE_STANDARDS
from compaction.observation.choices import FRACTIONS, WATER_CONTENT_METHODS
from compaction.views.entry_fields import EntryField, at, with_value
from projects.models import Project

#: how many the form offers; the record takes more, which then stay as they are written
SHOWN_DETERMINATIONS: Final = 2
SHOWN_CANS: Final = 4
SHOWN_WEIGHINGS: Final = 4
#: how a determination is given at the form -> the member of the record that it stands in
GIVEN_AS: Final = {"value": "value", "can": "cans", "weighings": "weighings", "dial": "dial"}


@dataclass(frozen=True)
class Determination:
    """The fields of one determination: by name, and can by can. `given_as`: a key of `GIVEN_AS`."""

    number: int
    given_as: str
    written: bool
    fields: Mapping[str, EntryField]
    cans: tuple[Mapping[str, EntryField], ...]

    @property
    def more_cans_written(self) -> bool:
        """Whether there is anything in a can beside the first."""
        return any(field.value for can in self.cans[1:] for field in can.values())


def fits(content: Mapping[str, Any]) -> bool:
    """Whether the form shows all that a record holds of water contents."""
    written = content.get("water_contents", [])
    if len(written) > SHOWN_DETERMINATIONS:
        return False
    return all(
        sum(name in item for name in GIVEN_AS.values()) == 1
        and len(item.get("cans", [])) <= SHOWN_CANS
        and len(item.get("weighings", [])) <= SHOWN_WEIGHINGS
        for item in written
    )


def water_fields(project: Project, content: Mapping[str, Any], label: str) -> list[Determination]:
    """The determinations that the form offers, the second one for another method beside the first."""
    return [_determination(project, content, label, number) for number in range(SHOWN_DETERMINATIONS)]


def _determination(project: Project, content: Mapping[str, Any], label: str, number: int) -> Determination:
    """Method, fraction and standard are sent only with a determination: any of the anchors makes one."""
    place = f"/water_contents/{number}"
    anchors = [f"{place}/{tail}" for tail in ("value", "weighings/0", "dial")]
    anchors += [f"{place}/cans/{can}/wet_and_can" for can in range(SHOWN_CANS)]
    anchored = " ".join(anchors)

    def quantity(tail: str, words: str, kind: str, only_with: str = "") -> EntryField:
        field = with_value(project, EntryField(f"{place}/{tail}", "quantity", words), kind, content)
        return replace(field, only_with=only_with)

    def choice(name: str, words: str, choices: Mapping[str, str], empty: str = "") -> EntryField:
        listed = (("", empty),) * bool(empty) + tuple(choices.items())
        field = EntryField(f"{place}/{name}", "choice", words, choices=listed)
        return replace(with_value(project, field, "", content), only_with=anchored)

    def can(index: int) -> dict[str, EntryField]:
        named = "Can" if index == 0 else f"Can {index + 1}"
        return {
            "wet": quantity(f"cans/{index}/wet_and_can", f"{named}, wet" if index else "Can and wet soil", "mass"),
            "dry": quantity(f"cans/{index}/dry_and_can", f"{named}, dry" if index else "Can and dry soil", "mass"),
            "can": quantity(f"cans/{index}/can_mass", f"{named}, empty", "mass"),
            "number": with_value(
                project, EntryField(f"{place}/cans/{index}/can", "text", f"{named}, number", longest=40), "", content
            ),
        }

    standards = {code: one.title for code, one in MOISTURE_STANDARDS.items()}
    half = EntryField(f"{place}/half_specimen", "yes_no", "Half a specimen, dial not doubled")
    item = at(content, place) or {}
    return Determination(
        number=number,
        given_as=next((code for code, member in GIVEN_AS.items() if member in item), "value"),
        written=bool(item),
        fields={
            "value": quantity("value", label, "percent"),
            "method": choice("method", "Got by", WATER_CONTENT_METHODS),
            "fraction": choice("fraction", "Specimen", FRACTIONS),
            "standard": choice("standard", "Held against", standards, "no standard"),
            "specimen_mass": quantity("specimen_mass", "Moist specimen, without its dish", "mass", anchored),
            **{
                f"weighing_{index}": quantity(f"weighings/{index}", f"Weighing {index + 1}", "mass")
                for index in range(SHOWN_WEIGHINGS)
            },
            "dial": quantity("dial", "Dial, percent of the wet mass", "percent"),
            "half": replace(with_value(project, half, "", content), only_with=f"{place}/dial"),
        },
        cans=tuple(can(index) for index in range(SHOWN_CANS)),
    )


def cautions() -> list[tuple[str, str]]:
    """Method in words and its caution."""
    return [(WATER_CONTENT_METHODS[method], text) for method, text in CAUTIONS.items()]
