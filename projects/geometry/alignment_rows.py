"""The rows in which an alignment is told. Lengths and stations in its unit, coordinates on the grid in its own unit."""

from dataclasses import dataclass
from decimal import Decimal

from projects.geometry.profile_report import ProfileRow

Remark = tuple[str, str, str]  # code, severity (information, warning, error), sentence


@dataclass(frozen=True)
class ElementRow:
    """One element. Radii are None where it is straight; `parameter` is A of a clothoid (A² = R L for a full one)."""

    number: int
    kind: str
    station_from: Decimal  # internal
    station_to: Decimal
    text_from: str  # as the plans print it
    text_to: str
    length: Decimal
    radius_start: Decimal | None
    radius_end: Decimal | None
    parameter: Decimal | None
    turn: str  # left, right, or empty
    turn_deg: Decimal
    azimuth_start_deg: Decimal
    azimuth_end_deg: Decimal
    chord: Decimal
    easting_start: Decimal
    northing_start: Decimal
    easting_end: Decimal
    northing_end: Decimal
    misclosure: Decimal | None  # from the stated end point, where the definition has one


@dataclass(frozen=True)
class JunctionRow:
    """Where two elements meet: gap, change of direction, and the jump of the radius in words."""

    number: int
    station: Decimal
    text: str
    gap: Decimal
    kink_deg: Decimal
    state: str  # smooth | kink | gap | gap and kink
    sentence: str


@dataclass(frozen=True)
class EquationRow:
    """A station equation: where, what is printed behind and ahead of it, and what it does."""

    number: int
    station: Decimal
    back: str
    ahead: str
    kind: str  # gap | overlap | continues | kilometre | decreasing
    sentence: str


@dataclass(frozen=True)
class AlignmentReport:
    """Everything about an alignment that can be read off it."""

    kind: str
    unit: str
    unit_name: str
    coordinate_unit: str
    coordinate_unit_name: str
    start_station: Decimal
    end_station: Decimal
    text_start: str
    text_end: str
    length: Decimal
    scale: str
    source: tuple[tuple[str, str], ...]
    elements: tuple[ElementRow, ...]
    junctions: tuple[JunctionRow, ...]
    equations: tuple[EquationRow, ...]
    profile_surface: str
    profile: tuple[ProfileRow, ...]
    remarks: tuple[Remark, ...]
    feet: str = ""  # when coordinates beside it are a question
