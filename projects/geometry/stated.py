"""What a stated position must offer, what a located one carries, and how findings are written here."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Protocol

# code, severity, sentence, numbers; the register of findings lives elsewhere and takes them as they are
PlainFinding = tuple[str, str, str, dict[str, str]]

LENGTH_STEP = Decimal("0.0001")
DEGREE_STEP = Decimal("0.000000001")


class GpsFix(Protocol):
    """A satellite fix sent along with a test; degrees on WGS 84, accuracy as the device gave it."""

    @property
    def latitude_deg(self) -> Decimal:
        """Latitude, north positive."""

    @property
    def longitude_deg(self) -> Decimal:
        """Longitude, east positive."""

    @property
    def accuracy_m(self) -> Decimal | None:
        """Radius that the device reports."""

    @property
    def confidence_pct(self) -> Decimal | None:
        """How often the true place lies inside that radius; None if the device does not say."""


class ReceiverFix(Protocol):
    """A place measured with a survey receiver and corrections: the position itself; degrees on WGS 84."""

    @property
    def latitude_deg(self) -> Decimal:
        """Latitude, north positive."""

    @property
    def longitude_deg(self) -> Decimal:
        """Longitude, east positive."""

    @property
    def accuracy_m(self) -> Decimal:
        """Radius that the receiver reports."""

    @property
    def ellipsoid_height_m(self) -> Decimal | None:
        """Height above the ellipsoid as the receiver shows it, kept as evidence."""


class StatedPosition(Protocol):
    """A position as the crew states it: station and offset as text, or coordinates, and a height."""

    @property
    def alignment(self) -> str:
        """Code of the line, empty if not named."""

    @property
    def station(self) -> str:
        """Station as written."""

    @property
    def offset(self) -> str:
        """Offset as written."""

    @property
    def easting_m(self) -> Decimal | None:
        """Easting in metres."""

    @property
    def northing_m(self) -> Decimal | None:
        """Northing in metres."""

    @property
    def elevation_m(self) -> Decimal | None:
        """Elevation of the test in the project's vertical datum."""

    @property
    def elevation_from(self) -> str:
        """How the elevation was got."""

    @property
    def depth_below_grade_m(self) -> Decimal | None:
        """Depth below the design grade, positive downwards."""

    @property
    def gps(self) -> GpsFix | None:
        """The satellite fix, if one was sent."""

    @property
    def rtk(self) -> ReceiverFix | None:
        """The place as measured with a survey receiver, if that is the position."""


@dataclass(frozen=True)
class Located:
    """Where a test is, as far as can be said without guessing. Lengths to 0.1 mm, degrees to 1e-9.

    `station_m` is the internal station (start station + distance along the line), `offset_m` right
    positive. The `..._source` fields say how a value was got; they are empty where there is no value.
    """

    alignment: str = ""
    station_m: Decimal | None = None
    offset_m: Decimal | None = None
    station_text: str = ""
    offset_text: str = ""
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    longitude: Decimal | None = None
    latitude: Decimal | None = None
    position_source: str = ""
    elevation_m: Decimal | None = None
    elevation_source: str = ""
    depth_below_grade_m: Decimal | None = None
    depth_source: str = ""
    design_grade_m: Decimal | None = None
    zone: str = ""
    exempt: bool = False
    in_fill: Mapping[str, Decimal | int] = field(default_factory=dict)  # what `embankment.InFill` knows, by name
    findings: tuple[PlainFinding, ...] = ()


def finding(code: str, severity: str, sentence: str, **numbers: object) -> PlainFinding:
    """A finding as a plain tuple; numbers become text."""
    return code, severity, sentence, {name: str(value) for name, value in numbers.items()}


def metres(value: float | Decimal) -> Decimal:
    """A length as stored: to 0.1 mm, without a minus zero."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return exact.quantize(LENGTH_STEP) + 0


def degrees(value: float) -> Decimal:
    """Degrees as stored: to 1e-9."""
    return Decimal(repr(float(value))).quantize(DEGREE_STEP) + 0
