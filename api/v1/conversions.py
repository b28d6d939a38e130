"""Station and offset, easting and northing, latitude and longitude, each from any other, in bulk."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.site import text_of
from compaction.queries import conversion
from compaction.queries.conversion import Conversion
from projects.geometry.conversion_rows import NO_STATION, PLACED, QUESTION, REFUSED, Converted, in_unit
from projects.geometry.crs import Grid
from projects.geometry.linear_units import LinearUnit


class PositionConversion(ProjectResource):
    """A converter for positions; it stores nothing."""

    tag = "site"
    operations = {
        "POST": Operation(
            needs="read",
            summary="Convert positions",
            words=(
                "Each row is converted on the alignments in force now and on the project's grid. A row that can be "
                "read in more than one way has the state `question` and no figures; a place beyond an end, outside "
                "a corner or at the centre of a curve has `no_station`. Eastings and northings go in with their unit."
            ),
            body="PositionsToConvert",
            answers={200: "ConvertedPositions"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Convert."""
        sent = self.members("alignment", "rows", required=("rows",))
        asked = conversion.read_rows(sent["rows"], alignment=text_of(sent, "alignment", 40))
        return Response(converted(conversion.converted(self.opened, asked, now=self.now)))


def converted(found: Conversion) -> dict[str, Any]:
    """The answer: rows in order, counts, unit and grid."""
    unit = found.coordinate_unit
    return {
        "rows": [row(one, unit) for one in found.rows],
        "summary": {state: found.count(state) for state in (PLACED, QUESTION, NO_STATION, REFUSED)},
        "coordinate_unit": unit.code,
        "grid": None if found.grid is None else grid(found.grid),
    }


def row(one: Converted, unit: LinearUnit) -> dict[str, Any]:
    """One row; easting and northing in the unit of the grid."""
    shown = dict(answers.plain(one))
    del shown["easting_m"], shown["northing_m"]
    shown["easting"] = answers.plain(in_unit(one.easting_m, unit))
    shown["northing"] = answers.plain(in_unit(one.northing_m, unit))
    return shown


def grid(found: Grid) -> dict[str, Any]:
    """The grid with the operation between it and WGS 84, and how good that is; null where nobody knows."""
    return {
        "epsg": found.epsg,
        "name": found.name,
        "unit": found.unit.code,
        "operation": found.operation,
        "accuracy_m": None if found.accuracy_m < 0 else answers.plain(found.accuracy_m),
        "frame_m": answers.plain(found.frame_m),
    }
