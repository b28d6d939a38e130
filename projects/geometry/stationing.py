"""Station equations: from what the plans print to the distance along the line, and back.

Internal station = start station + distance along the geometry, in the alignment's unit. What the plans
print is a label that runs through zones; `back = ahead` at one place joins two zones. Ahead greater
than back leaves stations out (gap); ahead smaller repeats them (overlap); numbering may also decrease
after an equation. So a printed station has none, one or several places.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from projects.geometry.plain_content import as_list, as_object, optional_decimal, plain_optional
from projects.geometry.station_format import StationFormat

# An equation whose printed back station misses the computed one by more than this does not belong here.
BACK_TOLERANCE = Decimal("0.02")
KILOMETRE = Decimal(1000)
_KEYS = frozenset({"internal", "back", "ahead", "direction", "kilometre"})


class StationingError(ValueError):
    """The equations contradict each other or the alignment."""


@dataclass(frozen=True)
class Equation:
    """`back = ahead` at one place, given by its internal station, by `back`, or by both.

    `direction` is how stations run after it. `kilometre` names the kilometre that starts here, where
    kilometres are unequal; `ahead` is then the distance within that kilometre, usually 0.
    """

    ahead: Decimal
    back: Decimal | None = None
    internal: Decimal | None = None
    direction: str = "increasing"
    kilometre: int | None = None


@dataclass(frozen=True)
class Zone:
    """A stretch with one run of stations. `sign` is +1 or -1; zones count from 1."""

    number: int
    internal_from: Decimal
    internal_to: Decimal
    label_from: Decimal
    sign: int
    kilometre: int | None = None

    def label(self, internal: Decimal) -> Decimal:
        """The printed station (or the distance within the kilometre) at an internal station."""
        return self.label_from + self.sign * (internal - self.internal_from)

    def internal(self, label: Decimal) -> Decimal:
        """The internal station that would carry this label if the zone went on for ever."""
        return self.internal_from + self.sign * (label - self.label_from)


@dataclass(frozen=True)
class Place:
    """One candidate for a printed station."""

    internal: Decimal
    zone: int


@dataclass(frozen=True)
class Label:
    """What the plans print at a place: station in the unit, zone, and the kilometre where these are unequal."""

    station: Decimal
    zone: int
    kilometre: int | None = None


@dataclass(frozen=True)
class Stationing:
    """Start and end (internal stations in the unit) and the zones between them."""

    start: Decimal
    end: Decimal
    equations: tuple[Equation, ...] = ()
    zones: tuple[Zone, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "zones", self._zones())

    def _zones(self) -> tuple[Zone, ...]:
        zones: list[Zone] = []
        begin, label, sign, kilometre = self.start, self.start, 1, None
        for number, equation in enumerate(self.equations, start=1):
            current = Zone(number, begin, self.end, label, sign, kilometre)
            place = equation.internal
            if place is None:
                if equation.back is None:
                    raise StationingError(f"Equation {number} says neither where it is nor its back station.")
                place = current.internal(equation.back)
            elif equation.back is not None and abs(current.label(place) - equation.back) > BACK_TOLERANCE:
                raise StationingError(
                    f"Equation {number}: the back station is given as {equation.back}, but at {place} along the line "
                    f"the stations reach {current.label(place)}. Check the back station and the order of equations."
                )
            if not begin < place < self.end:
                raise StationingError(
                    f"Equation {number} lies at {place}, outside the stretch from {begin} to {self.end} left for it."
                )
            if equation.direction not in ("increasing", "decreasing"):
                raise StationingError(f"Equation {number}: stations run increasing or decreasing after it; say which.")
            zones.append(Zone(number, begin, place, label, sign, kilometre))
            begin, label = place, equation.ahead
            sign = 1 if equation.direction == "increasing" else -1
            kilometre = equation.kilometre
        zones.append(Zone(len(self.equations) + 1, begin, self.end, label, sign, kilometre))
        return tuple(zones)

    @property
    def unequal_kilometres(self) -> bool:
        """Whether labels are kilometre and distance within it."""
        return any(zone.kilometre is not None for zone in self.zones)

    def display_to_internal(
        self,
        station: Decimal,
        *,
        zone: str = "",
        kilometre: int | None = None,
        metres: Decimal | None = None,
        tolerance: Decimal = Decimal("0.01"),
    ) -> list[Place]:
        """All places with this printed station; none in a gap or outside the alignment.

        `zone` is a zone number as text, `back` (a zone that an equation follows) or `ahead` (a zone behind
        an equation). In kilometre systems `kilometre` and `metres` are what stands before and behind the
        plus. `tolerance` lets a station rounded for print still count as the end of the line.
        """
        places = self._places(station, zone=zone, kilometre=kilometre, metres=metres, ends=tolerance, joints=Decimal(0))
        # What print rounds up behind the last station of a zone is still that station.
        return places or self._places(
            station, zone=zone, kilometre=kilometre, metres=metres, ends=tolerance, joints=tolerance
        )

    def _places(
        self,
        station: Decimal,
        *,
        zone: str,
        kilometre: int | None,
        metres: Decimal | None,
        ends: Decimal,
        joints: Decimal,
    ) -> list[Place]:
        places: list[Place] = []
        last = self.zones[-1].number
        for candidate in self.zones:
            if zone.isdigit() and candidate.number != int(zone):
                continue
            if (zone == "back" and candidate.number == last) or (zone == "ahead" and candidate.number == 1):
                continue
            label = station
            if candidate.kilometre is not None:
                if candidate.kilometre != kilometre or metres is None:
                    continue
                label = metres
            elif kilometre is not None and not self._before_posts(candidate, kilometre, metres):
                continue
            internal = candidate.internal(label)
            first_slack = ends if candidate.number == 1 else joints
            last_slack = ends if candidate.number == last else joints
            inside = candidate.internal_from - first_slack <= internal <= candidate.internal_to + last_slack
            if candidate.number > 1:
                internal = max(internal, candidate.internal_from)
            if candidate.number < last:
                internal = min(internal, candidate.internal_to)
            if inside and all(place.internal != internal for place in places):
                places.append(Place(internal, candidate.number))
        return places

    def internal_to_display(self, internal: Decimal) -> list[Label]:
        """The printed station at a place; two of them exactly at an equation, none outside the alignment."""
        return [
            self._label(zone, internal) for zone in self.zones if zone.internal_from <= internal <= zone.internal_to
        ]

    def _next_kilometre(self, zone: Zone) -> int | None:
        """The kilometre that starts behind a zone without a kilometre of its own."""
        following = self.zones[zone.number] if zone.kilometre is None and zone.number < len(self.zones) else None
        return None if following is None else following.kilometre

    def _before_posts(self, zone: Zone, kilometre: int, metres: Decimal | None) -> bool:
        """Whether a kilometre and its metres can stand in a zone without posts: only its last kilometre is long."""
        following = self._next_kilometre(zone)
        if following is None or metres is None:
            return True
        return kilometre < following and (kilometre == following - 1 or metres < KILOMETRE)

    def _label(self, zone: Zone, internal: Decimal) -> Label:
        station, following = zone.label(internal), self._next_kilometre(zone)
        if following is not None and zone.sign > 0:
            metres = station - (following - 1) * KILOMETRE
            if metres >= 0:  # 27+1000.2 before kilometre 28 is not 28+000.2
                return Label(metres, zone.number, following - 1)
        return Label(station, zone.number, zone.kilometre)

    def beyond(self, station: Decimal) -> Decimal | None:
        """How far a printed station lies before the start (negative) or behind the end (positive), else None."""
        before = self.zones[0].internal(station) - self.start
        if before < 0 and self.zones[0].kilometre is None:
            return before
        behind = self.zones[-1].internal(station) - self.end
        return behind if behind > 0 and self.zones[-1].kilometre is None else None

    def text(self, internal: Decimal, station_format: StationFormat) -> str:
        """The printed station as text; `(2)` is added where another zone carries the same label."""
        labels = self.internal_to_display(internal)
        if not labels:
            nearest = self.zones[0] if internal < self.start else self.zones[-1]
            labels = [self._label(nearest, internal)]
        label = labels[-1]
        if label.kilometre is not None:
            return station_format.kilometre_text(kilometre=label.kilometre, metres=label.station)
        shown = station_format.text(label.station)
        several = len(self.display_to_internal(label.station, tolerance=Decimal(0))) > 1
        return f"{shown} ({label.zone})" if several else shown


def equations_from_plain(content: Any) -> tuple[Equation, ...]:
    """Equations from stored content (a list, or nothing)."""
    equations = []
    for number, row in enumerate(as_list(content or [], "equations")):
        where = f"equations[{number}]."
        as_object(row, f"equations[{number}]", _KEYS)
        ahead = optional_decimal(row, "ahead", where)
        if ahead is None:
            raise StationingError(f"Equation {number + 1} has no ahead station.")
        kilometre = row.get("kilometre")
        if kilometre is not None and (isinstance(kilometre, bool) or not isinstance(kilometre, int)):
            raise StationingError(f"Equation {number + 1}: the kilometre is a whole number.")
        equations.append(
            Equation(
                ahead=ahead,
                back=optional_decimal(row, "back", where),
                internal=optional_decimal(row, "internal", where),
                direction=str(row.get("direction", "increasing")),
                kilometre=kilometre,
            )
        )
    return tuple(equations)


def equations_to_plain(equations: tuple[Equation, ...]) -> list[dict[str, Any]]:
    """Equations as stored content."""
    return [
        {
            "ahead": plain_optional(equation.ahead),
            "back": plain_optional(equation.back),
            "internal": plain_optional(equation.internal),
            "direction": equation.direction,
            "kilometre": equation.kilometre,
        }
        for equation in equations
    ]
