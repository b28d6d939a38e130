"""Limits as people write them, between two stations and two offsets, as a range on an alignment."""

from datetime import datetime
from decimal import Decimal

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.queries.set_up import SetUp
from projects.geometry.alignment import Alignment
from projects.geometry.areas import AreaError, StationRange
from projects.geometry.parsing import parse_offset, parse_station
from projects.geometry.place_text import PlaceTextError
from projects.geometry.station_format import StationFormat

STEP_M = Decimal("0.0001")


def range_from_text(
    set_up: SetUp,
    *,
    moment: datetime,
    alignment: str,
    station_from: str,
    station_to: str,
    offset_from: str,
    offset_to: str,
) -> StationRange:
    """The range in metres, low before high. Raises `ReadingsError` with a pointer for each limit not understood."""
    line = set_up.alignments_at(moment).get(alignment)
    if line is None:
        known = ", ".join(sorted(set_up.alignments)) or "none yet"
        raise ReadingsError(
            [
                ReadingError(
                    "/alignment", "unknown-alignment", f"There is no alignment {alignment!r}; known are: {known}."
                )
            ]
        )
    errors: list[ReadingError] = []
    values: dict[str, Decimal] = {}
    for name, text in (("station_from", station_from), ("station_to", station_to)):
        try:
            values[name] = _station_m(set_up, alignment, line, text)
        except PlaceTextError as error:
            errors.append(ReadingError(f"/{name}", "station-not-understood", str(error)))
    for name, text in (("offset_from", offset_from), ("offset_to", offset_to)):
        try:
            values[name] = parse_offset(text, line.unit)
        except PlaceTextError as error:
            errors.append(ReadingError(f"/{name}", "offset-not-understood", str(error)))
    if errors:
        raise ReadingsError(errors)
    stations = sorted((values["station_from"], values["station_to"]))
    offsets = sorted((values["offset_from"], values["offset_to"]))
    try:
        return StationRange(alignment, *(value.quantize(STEP_M) for value in (*stations, *offsets)))
    except AreaError as error:
        raise ReadingsError([ReadingError("/station_to", "limits", str(error))]) from error


def point_from_text(
    set_up: SetUp, *, moment: datetime, alignment: str, station: str, offset: str
) -> tuple[Decimal, Decimal]:
    """Station and offset in metres of one place. Raises `ReadingsError` with a pointer."""
    line = set_up.alignments_at(moment).get(alignment)
    if line is None:
        raise ReadingsError([ReadingError("/station", "unknown-alignment", f"There is no alignment {alignment!r}.")])
    try:
        station_m = _station_m(set_up, alignment, line, station)
    except PlaceTextError as error:
        raise ReadingsError([ReadingError("/station", "station-not-understood", str(error))]) from error
    try:
        return station_m.quantize(STEP_M), parse_offset(offset, line.unit).quantize(STEP_M)
    except PlaceTextError as error:
        raise ReadingsError([ReadingError("/offset", "offset-not-understood", str(error))]) from error


def _station_m(set_up: SetUp, code: str, line: Alignment, text: str) -> Decimal:
    """One place on the line; of several, or with another line or an offset written along, the question."""
    read = parse_station(
        text,
        digits_after_plus=set_up.station_digits,
        alignments=tuple(set_up.alignments),
        unequal_kilometres=line.stationing.unequal_kilometres,
    )
    if read.alignment and read.alignment.casefold() != code.casefold():
        raise PlaceTextError(f"{text} names {read.alignment}, but the limits are on {code}. Which line is meant?")
    if read.offset_text:
        raise PlaceTextError(f"{text}: write the offset in its own field, the station alone here.")
    places = line.stationing.display_to_internal(read.value, zone=read.zone, kilometre=read.whole, metres=read.rest)
    if not places:
        raise PlaceTextError(f"Station {text} lies on no part of {code}; give one that is on it.")
    if len(places) > 1:
        shown = StationFormat(set_up.station_digits).text(read.value)
        meant = " or ".join(f"{shown} ({place.zone})" for place in places)
        raise PlaceTextError(
            f"{text} occurs {len(places)} times on {code} because of station equations. Is {meant} meant?"
        )
    return line.unit.to_metres(places[0].internal)
