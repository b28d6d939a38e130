"""The water content of a specimen on the entry form: as a value, one can, weighings while it dries, or a dial."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from compaction.calculations.moisture_standards import CAUTIONS, MOISTURE_STANDARDS
from compaction.observation.choices import FRACTIONS, WATER_CONTENT_METHODS
from compaction.views.entry_fields import EntryField, with_value
from projects.models import Project

_AT: Final = "/water_contents/0"
#: any of these makes a determination
ANCHORS: Final = " ".join(f"{_AT}/{tail}" for tail in ("value", "cans/0/wet_and_can", "weighings/0", "dial"))
SHOWN_WEIGHINGS: Final = 4


def water_fields(project: Project, content: Mapping[str, Any], label: str) -> dict[str, EntryField]:
    """The fields by name; method, fraction and standard are sent only with a determination."""

    def quantity(tail: str, words: str, kind: str, only_with: str = "") -> EntryField:
        field = with_value(project, EntryField(f"{_AT}/{tail}", "quantity", words), kind, content)
        return replace(field, only_with=only_with)

    def choice(name: str, words: str, choices: Mapping[str, str], empty: str = "") -> EntryField:
        listed = (("", empty),) * bool(empty) + tuple(choices.items())
        field = EntryField(f"{_AT}/{name}", "choice", words, choices=listed)
        return replace(with_value(project, field, "", content), only_with=ANCHORS)

    standards = {code: one.title for code, one in MOISTURE_STANDARDS.items()}
    half = EntryField(f"{_AT}/half_specimen", "yes_no", "Half a specimen, dial not doubled")
    return {
        "value": quantity("value", label, "percent"),
        "method": choice("method", "Got by", WATER_CONTENT_METHODS),
        "fraction": choice("fraction", "Specimen", FRACTIONS),
        "standard": choice("standard", "Held against", standards, "no standard"),
        "specimen_mass": quantity("specimen_mass", "Moist specimen, without its dish", "mass", ANCHORS),
        "can_number": with_value(
            project, EntryField(f"{_AT}/cans/0/can", "text", "Can number", longest=40), "", content
        ),
        "wet": quantity("cans/0/wet_and_can", "Can and wet soil", "mass"),
        "dry": quantity("cans/0/dry_and_can", "Can and dry soil", "mass"),
        "can": quantity("cans/0/can_mass", "Can", "mass"),
        **{
            f"weighing_{number}": quantity(f"weighings/{number}", f"Weighing {number + 1}", "mass")
            for number in range(SHOWN_WEIGHINGS)
        },
        "dial": quantity("dial", "Dial, percent of the wet mass", "percent"),
        "half": replace(with_value(project, half, "", content), only_with=f"{_AT}/dial"),
    }


def cautions() -> list[tuple[str, str]]:
    """Method in words and its caution."""
    return [(WATER_CONTENT_METHODS[method], text) for method, text in CAUTIONS.items()]
