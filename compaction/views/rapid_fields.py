"""The specimens of the rapid method as fields of the entry form; a specimen counts once its wet density is typed."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from compaction.observation.rapid import SIGNS, SPECIMENS
from compaction.views.entry_fields import EntryField, with_value
from projects.models import Project


@dataclass(frozen=True)
class RapidFields:
    """Added water and wet density of each specimen, the sign of the sheet, the estimate of the fill's water."""

    points: tuple[tuple[EntryField, EntryField], ...]
    convention: EntryField
    estimate: EntryField
    given: bool


def rapid_fields(project: Project, content: Mapping[str, Any], water_word: str) -> RapidFields:
    """The fields, filled from a record."""
    points = []
    for place in range(SPECIMENS):
        at = f"/rapid/points/{place}"
        wet = EntryField(f"{at}/wet_density", "quantity", f"Specimen {place + 1}: wet density")
        added = EntryField(f"{at}/added_water", "quantity", f"Specimen {place + 1}: water added (+) or dried off (−)")
        shown = replace(with_value(project, added, "percent", content), only_with=wet.pointer)
        if place == 0 and not content.get("rapid"):
            shown = replace(shown, value="0")  # one of the three is the fill as it is
        points.append((shown, with_value(project, wet, "density", content)))
    anchor = points[0][1].pointer
    convention = EntryField("/rapid/convention", "choice", "On the sheet", choices=tuple(SIGNS.items()))
    estimate = EntryField("/rapid/estimated_water_content", "quantity", f"Estimated {water_word} of the fill")
    return RapidFields(
        tuple(points),
        replace(with_value(project, convention, "", content), only_with=anchor),
        replace(with_value(project, estimate, "percent", content), only_with=anchor),
        bool(content.get("rapid")),
    )
