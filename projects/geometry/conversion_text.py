"""Lists of places as people paste them, one a line, read strictly into rows to convert."""

import re
from decimal import Decimal

from projects.geometry.conversion_rows import Asked
from projects.geometry.coordinate_text import CoordinateTextError, parse_latitude, parse_longitude
from projects.geometry.linear_units import LinearUnit

KINDS = {
    "station": "station and offset",
    "easting-northing": "easting, northing",
    "northing-easting": "northing, easting",
    "latitude-longitude": "latitude, longitude",
    "longitude-latitude": "longitude, latitude",
}
_COORDINATE = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,6})?", re.ASCII)


def rows_of_text(text: str, *, kind: str, unit: LinearUnit, alignment: str = "") -> list[Asked]:
    """One row for each line that is not empty; what cannot be read keeps its sentence in `problem`.

    Columns are parted by tab, semicolon or comma, coordinates by blanks too. A column more than needed, in
    front, is the row's label. `unit` is that of eastings and northings.
    """
    return [_row(line.strip(), kind, unit, alignment) for line in text.splitlines() if line.strip()]


def _row(line: str, kind: str, unit: LinearUnit, alignment: str) -> Asked:
    if len(line) > 200:
        return Asked(problem="The line has more than 200 characters.", alignment=alignment)
    if kind == "station":
        parts = [part.strip() for part in re.split(r"\t|;|,", line)]
        if len(parts) > 3:
            return Asked(problem=f"“{line[:60]}”: station and offset are needed, with a label in front at most.")
        label = parts.pop(0) if len(parts) == 3 else ""
        return Asked(label=label, alignment=alignment, station=parts[0], offset=parts[1] if len(parts) == 2 else "")
    parts = _columns(line)
    if len(parts) not in (2, 3):
        return Asked(problem=f"“{line[:60]}”: two figures are needed ({KINDS[kind]}), with a label in front at most.",
                     alignment=alignment)  # fmt: skip
    label = parts.pop(0) if len(parts) == 3 else ""
    first, second = kind.split("-")
    given = {first: parts[0].strip(), second: parts[1].strip()}
    if "latitude" in given:
        return degrees_row(given["latitude"], given["longitude"], label=label, alignment=alignment)
    for name, figure in given.items():
        if _COORDINATE.fullmatch(figure) is None:
            return Asked(label=label, problem=f"“{figure[:30]}” is not a plain {name}, such as 441200.25.")
    return Asked(
        label=label,
        alignment=alignment,
        easting_m=unit.to_metres(Decimal(given["easting"])),
        northing_m=unit.to_metres(Decimal(given["northing"])),
    )


def _columns(line: str) -> list[str]:
    """Columns by tab, semicolon or comma; else by blanks, where a letter N, S, E, W stays with its figure."""
    if re.search(r"[\t;,]", line):
        return [part.strip() for part in re.split(r"\t|;|,\s*", line) if part.strip()]
    found: list[str] = []
    for word in line.split():
        if found and word in ("N", "S", "E", "W"):
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def degrees_row(latitude: str, longitude: str, *, label: str = "", alignment: str = "") -> Asked:
    """A row from latitude and longitude in decimal degrees, read strictly."""
    try:
        return Asked(
            label=label,
            alignment=alignment,
            latitude_deg=parse_latitude(latitude),
            longitude_deg=parse_longitude(longitude),
        )
    except CoordinateTextError as error:
        return Asked(label=label, alignment=alignment, problem=str(error))
