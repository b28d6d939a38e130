"""From the form of an area to its content, and to a drawing of it before it is put in force."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from compaction.actions.place import area_content
from compaction.calculations.quantities import quantise
from compaction.forms.places import HEIGHT_FIELDS
from compaction.plots import area_plan
from compaction.queries import limits, set_up
from compaction.queries.area_text import corners_of_text
from compaction.queries.conversion import coordinate_unit
from compaction.views.display import length_unit
from projects.access import Open
from projects.geometry.area_measure import AreaNotMeasured, measured
from projects.geometry.areas import area_from_plain
from projects.geometry.drawing import area_outline, polyline
from projects.geometry.linear_units import FOOT, METRE, linear_unit

SAGITTA_M = 0.1


def content_of(opened: Open, given: dict[str, Any], *, now: datetime) -> dict[str, Any]:
    """The content of an area. Raises `ReadingsError` for what is not understood."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    content: dict[str, Any] = {}
    if given["shape"] == "range":
        names = ("alignment", "station_from", "station_to", "offset_from", "offset_to")
        found = limits.range_from_text(under, moment=now, **{name: given[name] for name in names})
        content["alignment"] = found.alignment
        for name in ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m"):
            content[name] = _plain(getattr(found, name))
    else:
        unit = linear_unit(given["coordinate_unit"] or coordinate_unit(opened, now=now).code)
        corners = corners_of_text(
            given["corners"],
            kind=given["shape"],
            alignment=given["alignment"],
            unit=unit,
            under=under,
            lines=under.alignments_at(now),
        )
        content["polygon_m"] = [[_plain(easting), _plain(northing)] for easting, northing in corners]
    factor = (FOOT if length_unit(opened.project) == "ft" else METRE).metres
    for name in HEIGHT_FIELDS:
        if given[name]:
            content[f"{name}_m"] = _plain((Decimal(given[name]) * factor).quantize(Decimal("0.0001")))
    return content


def _plain(value: Decimal) -> str:
    return format(quantise(value).normalize(), "f")


def preview(opened: Open, given: dict[str, Any], *, now: datetime) -> tuple[bytes, str]:
    """The area as entered, drawn among what is there, and its size in words. Raises `ReadingsError`, `Refused`."""
    content = area_content(
        content_of(opened, given, now=now), code=given["code"], kind=given["kind"], name=given["name"]
    )
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    lines, area = under.alignments_at(now), area_from_plain(content)
    unit = coordinate_unit(opened, now=now)

    def outline(name: str, points: list[tuple[float, float]]) -> area_plan.Outline:
        return area_plan.Outline(name, [(e / float(unit.metres), n / float(unit.metres)) for e, n in points])

    drawn = area_plan.draw(
        outline(area.code, area_outline(area, lines, sagitta_m=SAGITTA_M)),
        lines=[outline(code, polyline(line, sagitta_m=SAGITTA_M)) for code, line in lines.items()],
        others=[
            outline(entry.code, points)
            for entry in under.areas_at(now)
            if entry.code != area.code and (points := area_outline(entry.geometry, lines, sagitta_m=SAGITTA_M))
        ],
        unit=unit.name,
    )
    try:
        return drawn, measured(area, lines, under.epsg_code)
    except AreaNotMeasured as error:
        return drawn, f"not measured: {error}"
