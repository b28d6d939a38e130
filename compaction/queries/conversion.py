"""The converter: rows as a client sends them, through the alignments and the grid of the project."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.quantities import parse_quantity
from compaction.observation.position import FARTHEST_M
from compaction.queries import set_up
from compaction.queries.alignments import station_format
from projects.access import Open
from projects.geometry import crs
from projects.geometry.conversion import convert
from projects.geometry.conversion_rows import MOST_ROWS, Asked, Converted
from projects.geometry.conversion_text import degrees_row
from projects.geometry.linear_units import METRE, LinearUnit, linear_unit

MEMBERS = ("label", "alignment", "station", "offset", "easting", "northing", "latitude", "longitude")
_WAYS = (("station", "offset"), ("easting", "northing"), ("latitude", "longitude"))
_LONGEST = 80


@dataclass(frozen=True)
class Conversion:
    """The rows, the unit that eastings and northings are shown in, and the grid, None for a site grid."""

    rows: tuple[Converted, ...]
    coordinate_unit: LinearUnit
    grid: crs.Grid | None

    def count(self, state: str) -> int:
        """How many rows are in a state."""
        return sum(row.state == state for row in self.rows)


def converted(opened: Open, asked: Sequence[Asked], *, now: datetime) -> Conversion:
    """Every row in all three ways, on the alignments in force now."""
    alignments = set_up.load(opened.project, setup_seq=opened.setup_seq).alignments_at(now)
    epsg = opened.project.epsg_code
    rows = convert(asked, alignments=alignments, epsg=epsg, station_format=station_format(opened))
    return Conversion(tuple(rows), coordinate_unit(opened, now=now), grid_of(epsg))


def coordinate_unit(opened: Open, *, now: datetime) -> LinearUnit:
    """The unit of the project's map grid; of its alignments' coordinates where there is no grid."""
    grid = grid_of(opened.project.epsg_code)
    if grid is not None:
        return grid.unit
    alignments = set_up.load(opened.project, setup_seq=opened.setup_seq).alignments_at(now)
    return next((line.coordinate_unit for line in alignments.values()), METRE)


def grid_of(epsg: int | None) -> crs.Grid | None:
    """The grid, None without one or with a code that PROJ does not know."""
    try:
        return crs.grid(epsg) if epsg else None
    except crs.CoordinateSystemError:
        return None


def read_rows(rows: Any, *, alignment: str = "") -> list[Asked]:
    """Rows of a body. Raises `ReadingsError` with a pointer for each row whose form is wrong.

    A station, offset, latitude or longitude that cannot be understood is not a wrong form: its row says so.
    """
    if not isinstance(rows, list) or not rows or len(rows) > MOST_ROWS:
        raise ReadingsError([ReadingError("/rows", "not-rows", f"A list of 1 to {MOST_ROWS} rows is taken here.")])
    errors: list[ReadingError] = []
    found = [_row(row, f"/rows/{number}", alignment, errors) for number, row in enumerate(rows)]
    if errors:
        raise ReadingsError(errors[:50])
    return found


def _row(row: Any, pointer: str, alignment: str, errors: list[ReadingError]) -> Asked:
    if not isinstance(row, Mapping):
        errors.append(ReadingError(pointer, "not-an-object", "A row is a JSON object."))
        return Asked()
    for name, value in row.items():
        if name not in MEMBERS:
            errors.append(
                ReadingError(
                    pointer, "unknown-member", f"{ascii(name)[:60]} is not known; known: {', '.join(MEMBERS)}."
                )
            )
        elif not isinstance(value, str) or len(value) > _LONGEST or not value.isprintable():
            errors.append(
                ReadingError(
                    f"{pointer}/{name}",
                    "text-not-plain",
                    f"Text of at most {_LONGEST} printable characters is taken here.",
                )
            )
            return Asked()
    ways = [way for way in _WAYS if any(name in row for name in way)]
    if len(ways) != 1:
        errors.append(
            ReadingError(
                pointer, "one-way", "Give one of: station and offset; easting and northing; latitude and longitude."
            )
        )
        return Asked()
    label, code = row.get("label", ""), row.get("alignment", alignment)
    [way] = ways
    missing = [name for name in way if name not in row and name != "offset"]
    if missing:
        errors.append(ReadingError(f"{pointer}/{missing[0]}", "missing", f"'{missing[0]}' is missing."))
        return Asked()
    if way[0] == "station":
        return Asked(label=label, alignment=code, station=row["station"], offset=row.get("offset", ""))
    if way[0] == "latitude":
        return degrees_row(row["latitude"], row["longitude"], label=label, alignment=code)
    lengths: dict[str, Decimal] = {}
    for name in way:
        try:
            lengths[name] = parse_quantity(row[name], "length", pointer=f"{pointer}/{name}")
        except ReadingError as error:
            errors.append(error)
            continue
        if abs(lengths[name]) > FARTHEST_M:
            errors.append(
                ReadingError(f"{pointer}/{name}", "out-of-range", f"No map grid reaches beyond {FARTHEST_M} m.")
            )
    if len(lengths) < 2:
        return Asked()
    return Asked(label=label, alignment=code, easting_m=lengths["easting"], northing_m=lengths["northing"])


__all__ = ["MEMBERS", "MOST_ROWS", "Conversion", "converted", "coordinate_unit", "grid_of", "linear_unit", "read_rows"]
