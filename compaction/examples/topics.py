"""Every topic by its code, and the part of the folder's README that describes them."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from compaction.examples import (
    comparison,
    curves,
    densities,
    field_sheets,
    geometry_curves,
    geometry_heights_and_grids,
    geometry_stations,
    in_place,
    laboratory,
    limits,
    oversize,
    references,
    sheets,
    statistics,
    water_contents,
)
from compaction.examples.topic import Topic

_ALL: Final = (
    sheets.SAND_CONE,
    in_place.IN_PLACE,
    densities.DENSITY,
    sheets.CALIBRATION,
    water_contents.WATER_CONTENT,
    oversize.OVERSIZE,
    curves.CURVE,
    curves.EFFORT,
    laboratory.LABORATORY_CURVE,
    laboratory.SOIL_CLASSIFICATION,
    references.RELATIVE_DENSITY,
    references.RAPID,
    references.FAMILY,
    statistics.STATISTICS,
    comparison.COMPARISON,
    limits.LIMITS,
    field_sheets.FIELD_SHEET,
    field_sheets.WHOLE_CHAIN,
    geometry_curves.CURVES,
    geometry_stations.STATIONING,
    geometry_stations.STATION_AND_OFFSET,
    geometry_heights_and_grids.PROFILES,
    geometry_heights_and_grids.GRIDS,
)
TOPICS: Final[Mapping[str, Topic]] = MappingProxyType({topic.code: topic for topic in _ALL})


def described() -> str:
    """All topics with what goes in and what comes out, as Markdown."""
    parts = []
    for topic in _ALL:
        parts.append(f"### `{topic.code}`: {topic.title}\n")
        for heading, names in (
            ("In the example", topic.keys),
            ("Under `[example.inputs]`", topic.inputs),
            ("Worked, under `[example.printed]` or `[example.recomputed]`", topic.figures),
        ):
            if names:
                lines = [
                    f"* `{name}`{' (needed)' if name in topic.needs else ''}: {meaning}"
                    for name, meaning in names.items()
                ]
                parts.append(f"{heading}:\n\n" + "\n".join(lines) + "\n")
    return "\n".join(parts)
