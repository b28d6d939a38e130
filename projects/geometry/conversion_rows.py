"""Rows of the converter: a place as it is given, and as it is answered."""

from dataclasses import dataclass
from decimal import Decimal

from projects.geometry.linear_units import LinearUnit

MOST_ROWS = 5000
PLACED, QUESTION, NO_STATION, REFUSED = "placed", "question", "no_station", "refused"


@dataclass(frozen=True)
class Asked:
    """One place as given: station and offset, or easting and northing in metres, or degrees on WGS 84.

    `problem` is set by whoever read it, where it could not be read. The other members are those of a stated
    position, so that a place here is read just as that of a test.
    """

    label: str = ""
    alignment: str = ""
    station: str = ""
    offset: str = ""
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    latitude_deg: Decimal | None = None
    longitude_deg: Decimal | None = None
    problem: str = ""
    elevation_m: Decimal | None = None
    elevation_from: str = ""
    depth_below_grade_m: Decimal | None = None
    gps: None = None
    rtk: None = None


@dataclass(frozen=True)
class Candidate:
    """A station and offset that would fit too."""

    alignment: str
    station_text: str
    offset_text: str
    distance_m: Decimal


@dataclass(frozen=True)
class Converted:
    """A place in all three ways, as far as they are known; `state` and `sentence` say what is not.

    `station` is internal, `offset` right positive, both in the alignment's unit; easting and northing in
    metres; degrees on WGS 84. `station_text` holds both stations at an equation.
    """

    number: int
    label: str
    state: str
    sentence: str = ""
    alignment: str = ""
    unit: str = ""
    station: Decimal | None = None
    station_text: str = ""
    offset: Decimal | None = None
    offset_text: str = ""
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    latitude: Decimal | None = None
    longitude: Decimal | None = None
    candidates: tuple[Candidate, ...] = ()


def in_unit(value_m: Decimal | None, unit: LinearUnit) -> Decimal | None:
    """A coordinate (m) in a unit of the grid, to 0.0001."""
    return None if value_m is None else unit.from_metres(value_m).quantize(Decimal("0.0001")) + 0
