"""What may be ticked as seen at the spot, by direction; the script shows those that bear on the chosen method."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compaction.calculations.methods import METHODS
from compaction.calculations.spot_observations import DIRECTIONS, OBSERVATIONS, spot_findings
from compaction.observation.spot import LONGEST_NOTE


@dataclass(frozen=True)
class SpotField:
    """One box with its note. `volume_by`: the methods that it is shown with, empty for all."""

    code: str
    words: str
    volume_by: str
    checked: bool = False
    note: str = ""
    longest: int = LONGEST_NOTE


def notes_of(content: Mapping[str, Any]) -> dict[str, str]:
    """Code and note of what a record holds, in the order written."""
    found = {}
    for item in content.get("spot", []):
        code = item.get("what", "") if isinstance(item, Mapping) else item
        found[code] = item.get("note", "") if isinstance(item, Mapping) else ""
    return found


def spot_groups(content: Mapping[str, Any]) -> list[tuple[str, list[SpotField]]]:
    """(direction in words with its arrow, boxes), the unsafe direction first."""
    notes = notes_of(content)
    return [
        (
            words,
            [
                SpotField(code, one.words, " ".join(one.volume_by), code in notes, notes.get(code, ""))
                for code, one in OBSERVATIONS.items()
                if one.direction == direction
            ],
        )
        for direction, (words, _) in DIRECTIONS.items()
    ]


def seen_at_the_spot(content: Mapping[str, Any]) -> list[dict[str, str]]:
    """What a test page tells: words, arrow with direction in words, the note."""
    notes = notes_of(content)
    method = METHODS[content["method"]]
    told = []
    for finding in spot_findings(notes, volume_by=method.volume_by):
        code, direction = finding.numbers["observation"], finding.numbers["direction"]
        arrow = DIRECTIONS[direction][0] if direction in DIRECTIONS else "– no known effect by this method"
        told.append({"words": OBSERVATIONS[code].words, "arrow": arrow, "note": notes[code]})
    return told
