"""How the reference of a test was chosen: one specimen compacted beside it (AASHTO T 272)."""

from typing import Final

from compaction.facts import OnePointReading
from compaction.observation.choices import LENGTHS
from compaction.observation.members import Members

BASES: Final = {"one_point": "one-point test", "family": "one point within a family of curves"}


def read_choice(members: Members | None) -> OnePointReading | None:
    """The one point: wet density and water content of the specimen, and the family it was held against.

    It may stand beside a reference that was chosen otherwise, as a check of that choice.
    """
    if members is None:
        return None
    members.choice("basis", BASES, required=True)
    wet = members.quantity("wet_density", "density", required=True)
    water = members.quantity("water_content", "percent", required=True)
    family = members.text("family", longest=LENGTHS["code"])
    members.finish()
    for name, value in (("wet_density", wet), ("water_content", water)):
        if value is not None and value <= 0:
            members.problem(name, "out-of-range", "This must be above zero.")
    return None if wet is None or water is None else OnePointReading(wet, water, family)
