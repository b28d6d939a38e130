"""Outlines of areas as people write them: one corner a line, by station and offset or by coordinates."""

from decimal import Decimal

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.queries.set_up import SetUp
from projects.geometry.alignment import Alignment
from projects.geometry.conversion import convert
from projects.geometry.conversion_rows import PLACED
from projects.geometry.conversion_text import rows_of_text
from projects.geometry.linear_units import LinearUnit
from projects.geometry.station_format import StationFormat

MOST_CORNERS = 500
STATIONS = "station"


def corners_of_text(
    text: str, *, kind: str, alignment: str, unit: LinearUnit, under: SetUp, lines: dict[str, Alignment]
) -> list[tuple[Decimal, Decimal]]:
    """Easting and northing (m) of each corner. Raises `ReadingsError`, whose sentences name the lines.

    `kind` is one of `conversion_text.KINDS`; `unit` that of coordinates. By station a line reads `12+00 30 L`.
    """
    corners: list[tuple[Decimal, Decimal]] = []
    errors: list[ReadingError] = []
    written = [(number, line.strip()) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if len(written) > MOST_CORNERS:
        sentence = f"An outline has at most {MOST_CORNERS} corners; this one has {len(written)}."
        raise ReadingsError([ReadingError("/corners", "too-many", sentence)])
    for number, line in written:
        [row] = rows_of_text(line, kind=kind, unit=unit, alignment=alignment if kind == STATIONS else "")
        problem = row.problem
        if not problem and row.easting_m is not None and row.northing_m is not None:
            corners.append((row.easting_m.quantize(Decimal("0.0001")), row.northing_m.quantize(Decimal("0.0001"))))
            continue
        if not problem:
            [found] = convert([row], alignments=lines, epsg=None, station_format=StationFormat(under.station_digits))
            if found.state == PLACED and found.easting_m is not None and found.northing_m is not None:
                corners.append((found.easting_m, found.northing_m))
                continue
            problem = found.sentence
        errors.append(ReadingError("/corners", "corner-not-understood", f"Line {number}, “{line[:60]}”: {problem}"))
    if errors:
        raise ReadingsError(errors)
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()  # an outline closed by hand
    for place, corner in enumerate(corners):
        if corner in corners[:place]:
            numbers = written[corners.index(corner)][0], written[place][0]
            sentence = f"Lines {numbers[0]} and {numbers[1]} are the same corner; each is given once."
            raise ReadingsError([ReadingError("/corners", "corner-twice", sentence)])
    return corners
