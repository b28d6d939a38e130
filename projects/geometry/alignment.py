"""An alignment: plan elements in order, its unit and start station, equations, profile and section.

Everything inside is in metres. Coordinates of the definition are in the map grid's own unit and become
metres here, at the door, with the exact factor of that unit.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from math import hypot, pi, remainder
from typing import Any

import numpy as np

from projects.geometry.elements import Element, FloatArray
from projects.geometry.foot_limits import FootLimits, foot_limits_from_plain, foot_limits_to_plain
from projects.geometry.ground import Ground, ground_from_plain, ground_to_plain
from projects.geometry.ground_scale import GroundScale, scale_from_plain, source_from_plain
from projects.geometry.linear_units import LinearUnit, linear_unit
from projects.geometry.plain_content import ContentError, as_object, needed_decimal, plain_decimal
from projects.geometry.plan_elements import ElementTable
from projects.geometry.plan_points import Baseline, PiTable, PlanError, PlanUnits
from projects.geometry.profile import Profile, profile_from_plain, profile_to_plain
from projects.geometry.samples import Samples, sample
from projects.geometry.section import CrownedSection, section_from_plain, section_to_plain
from projects.geometry.stationing import Equation, Stationing, equations_from_plain, equations_to_plain
from projects.geometry.typical_section import TypicalSection, typical_section_from_plain, typical_section_to_plain

Plan = Baseline | PiTable | ElementTable
SCHEMA = 1
_KEYS = frozenset(
    {"schema", "kind", "unit", "coordinate_unit", "start_station", "points", "pis", "elements", "equations",
     "profile", "section", "typical_section", "ground", "scale", "source", "feet"}
)  # fmt: skip
# Plan coordinates are usually rounded to 0.01 ft: over a short leg that turns it by about this much.
KINK_TOLERANCE_RAD = 1e-4
GAP_TOLERANCE_M = 0.002
# A station printed to 0.01 of the unit may lie this far behind the last point and still be that point.
END_TOLERANCE_M = 0.01


class BeyondAlignment(ValueError):
    """The station lies before the start or behind the end. `by_m` is how far (negative: before the start)."""

    def __init__(self, by_m: float) -> None:
        self.by_m = by_m
        where = "before the start" if by_m < 0 else "behind the end"
        super().__init__(f"The station lies {abs(by_m):.2f} m {where} of the alignment.")


@dataclass(frozen=True)
class Junction:
    """Where two elements meet: the gap between them (m) and the change of direction (radians, left positive)."""

    number: int  # between element `number` and the next, counted from 1
    station_m: float
    gap_m: float
    kink_rad: float

    @property
    def is_kink(self) -> bool:
        """Whether the line turns a corner here that is more than the rounding of plan coordinates."""
        return abs(self.kink_rad) > KINK_TOLERANCE_RAD

    @property
    def is_gap(self) -> bool:
        """Whether the elements do not meet within 2 mm."""
        return self.gap_m > GAP_TOLERANCE_M


@dataclass(frozen=True)
class Alignment:
    """Build it with `Alignment.build` or `Alignment.from_plain`. Internal stations are in metres."""

    plan: Plan
    unit: LinearUnit
    coordinate_unit: LinearUnit
    start_station: Decimal  # in the unit
    elements: tuple[Element, ...]
    equations: tuple[Equation, ...] = ()
    profile: Profile | None = None
    section: CrownedSection = field(default_factory=CrownedSection)
    typical_section: TypicalSection | None = None
    ground: Ground | None = None
    scale: GroundScale | None = None  # where stations are ground lengths; elements are in ground metres then
    source: tuple[tuple[str, str], ...] = ()  # where the definition came from, kept as said
    foot_limits: FootLimits = field(default_factory=FootLimits)

    @classmethod
    def build(
        cls,
        plan: Plan,
        *,
        unit: str = "m",
        coordinate_unit: str = "",
        start_station: Decimal = Decimal(0),
        equations: Sequence[Equation] = (),
        profile: Profile | None = None,
        section: CrownedSection | None = None,
        typical_section: TypicalSection | None = None,
        ground: Ground | None = None,
        scale: GroundScale | None = None,
        source: tuple[tuple[str, str], ...] = (),
        foot_limits: FootLimits | None = None,
    ) -> "Alignment":
        """An alignment from its plan. `unit` (m, ft, ftUS) is that of stations, offsets, radii and lengths.

        `coordinate_unit` is that of the map grid; without one it is the same. Raises `PlanError`,
        `StationingError` or `UnknownLinearUnit`.
        """
        length, coordinate = linear_unit(unit), linear_unit(coordinate_unit or unit)
        elements = plan.elements(PlanUnits(length, coordinate, scale))
        built = cls(
            plan,
            length,
            coordinate,
            start_station,
            elements,
            tuple(equations),
            profile,
            section or CrownedSection(),
            typical_section,
            ground,
            scale,
            source,
            foot_limits or FootLimits(),
        )
        _ = built.stationing  # equations are checked now, not at the first test
        return built

    @classmethod
    def from_plain(cls, content: Mapping[str, Any]) -> "Alignment":
        """From stored content. Raises `ContentError` for a wrong form and the errors of `build`."""
        as_object(content, "", _KEYS)
        if content.get("schema", SCHEMA) != SCHEMA:
            raise ContentError("schema", f"{content['schema']} is not known; this is schema {SCHEMA}.")
        plans: dict[str, Callable[[Mapping[str, Any]], Plan]] = {
            "baseline": Baseline.from_plain,
            "pi_table": PiTable.from_plain,
            "elements": ElementTable.from_plain,
        }
        kind = content.get("kind")
        read_plan = plans.get(str(kind))
        if read_plan is None:
            raise ContentError("kind", f"one of {', '.join(plans)} is needed.")
        unit = linear_unit(str(content.get("unit")))
        profile = content.get("profile")
        if content.get("section") is not None and content.get("typical_section") is not None:
            raise ContentError("typical_section", "give a crowned section or a typical section, not both.")
        return cls.build(
            read_plan(content),
            unit=unit.code,
            coordinate_unit=str(content.get("coordinate_unit") or ""),
            start_station=needed_decimal(content, "start_station", ""),
            equations=equations_from_plain(content.get("equations")),
            profile=None if profile is None else profile_from_plain(profile, unit),
            section=section_from_plain(content.get("section"), unit.metres),
            typical_section=typical_section_from_plain(content.get("typical_section"), unit),
            ground=ground_from_plain(content.get("ground"), unit),
            scale=scale_from_plain(content.get("scale"), linear_unit(str(content.get("coordinate_unit") or unit.code))),
            source=source_from_plain(content.get("source")),
            foot_limits=foot_limits_from_plain(content.get("feet"), unit),
        )

    def to_plain(self) -> dict[str, Any]:
        """The definition as stored: what was entered, not what was computed from it, so its digest is stable."""
        plain = {
            "schema": SCHEMA,
            **self.plan.to_plain(),
            "unit": self.unit.code,
            "coordinate_unit": self.coordinate_unit.code,
            "start_station": plain_decimal(self.start_station),
            "equations": equations_to_plain(self.equations),
            "profile": None if self.profile is None else profile_to_plain(self.profile),
        }
        if self.typical_section is None:
            plain["section"] = section_to_plain(self.section, self.unit.metres)
        else:
            plain["typical_section"] = typical_section_to_plain(self.typical_section)
        if self.ground is not None:
            plain["ground"] = ground_to_plain(self.ground)
        if self.scale is not None:
            plain["scale"] = self.scale.to_plain(self.coordinate_unit)
        if self.source:
            plain["source"] = dict(self.source)
        if limits := foot_limits_to_plain(self.foot_limits, self.unit):
            plain["feet"] = limits
        return plain

    def to_grid(self, easting: FloatArray, northing: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Grid coordinates (m) of places in the elements' own metres: the same, unless stations are ground lengths."""
        return (easting, northing) if self.scale is None else self.scale.to_grid(easting, northing)

    def from_grid(self, easting_m: FloatArray, northing_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The elements' own metres of places in grid coordinates (m)."""
        return (easting_m, northing_m) if self.scale is None else self.scale.from_grid(easting_m, northing_m)

    @cached_property
    def start_station_m(self) -> float:
        """Internal station of the first point."""
        return float(self.unit.to_metres(self.start_station))

    @cached_property
    def element_starts_m(self) -> FloatArray:
        """Distance from the first point to the start of each element, and the whole length as last value."""
        lengths = [element.length_m for element in self.elements]
        return np.concatenate(([0.0], np.cumsum(np.asarray(lengths, dtype=np.float64))))

    @property
    def length_m(self) -> float:
        """Length along the elements."""
        return float(self.element_starts_m[-1])

    @property
    def end_station_m(self) -> float:
        """Internal station of the last point."""
        return self.start_station_m + self.length_m

    @cached_property
    def samples(self) -> Samples:
        """Points along the line for finding feet."""
        return sample(self.elements)

    @cached_property
    def stationing(self) -> Stationing:
        """Printed stations of this alignment, in its unit."""
        length = Decimal(repr(round(self.length_m / float(self.unit.metres), 6)))
        return Stationing(self.start_station, self.start_station + length, self.equations)

    @cached_property
    def junctions(self) -> tuple[Junction, ...]:
        """Every place where two elements meet, with gap and kink; the report on closure."""
        found = []
        for number, (before, after) in enumerate(pairwise(self.elements), start=1):
            end = before.end
            found.append(
                Junction(
                    number=number,
                    station_m=self.start_station_m + float(self.element_starts_m[number]),
                    gap_m=hypot(after.easting_m - end[0], after.northing_m - end[1]),
                    kink_rad=remainder(after.direction_rad - before.end_direction_rad, 2.0 * pi),
                )
            )
        return tuple(found)

    def element_at(self, station_m: float) -> tuple[Element, float]:
        """The element at an internal station (the one ahead at a junction) and the distance along it.

        Before the start and behind the end it is the first and the last one, with a distance outside it.
        """
        along = station_m - self.start_station_m
        number = int(np.searchsorted(self.element_starts_m, along, side="right")) - 1
        number = min(max(number, 0), len(self.elements) - 1)
        return self.elements[number], along - float(self.element_starts_m[number])

    def point(self, *, station_m: float, offset_m: float = 0.0) -> tuple[float, float]:
        """Easting and northing (m) at an internal station and an offset (right positive).

        At a junction the element ahead is used. Raises `BeyondAlignment` outside the line; nothing is clamped.
        """
        along = station_m - self.start_station_m
        if along < -END_TOLERANCE_M:
            raise BeyondAlignment(along)
        if along > self.length_m + END_TOLERANCE_M:
            raise BeyondAlignment(along - self.length_m)
        element, distance = self.element_at(station_m)
        easting, northing = self.to_grid(*element.offset_points(np.asarray(distance), np.asarray(offset_m)))
        return float(easting), float(northing)

    def points(self, *, stations_m: FloatArray, offsets_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Eastings and northings of many points. Raises `BeyondAlignment` if any station is outside the line."""
        along = np.asarray(stations_m, dtype=np.float64) - self.start_station_m
        offsets = np.broadcast_to(np.asarray(offsets_m, dtype=np.float64), along.shape)
        if along.size and float(along.min()) < -END_TOLERANCE_M:
            raise BeyondAlignment(float(along.min()))
        if along.size and float(along.max()) > self.length_m + END_TOLERANCE_M:
            raise BeyondAlignment(float(along.max()) - self.length_m)
        numbers = np.searchsorted(self.element_starts_m, along, side="right") - 1
        numbers = np.clip(numbers, 0, len(self.elements) - 1)
        easting, northing = np.empty_like(along), np.empty_like(along)
        for number in np.unique(numbers):
            chosen = numbers == number
            easting[chosen], northing[chosen] = self.elements[number].offset_points(
                along[chosen] - self.element_starts_m[number], offsets[chosen]
            )
        return self.to_grid(easting, northing)

    def design_grade_m(self, *, station_m: float, offset_m: float) -> float | None:
        """Elevation of the surface that depth is counted from, None without a profile. Raises `OutsideProfile`."""
        if self.profile is None:
            return None
        grade_line_m = self.profile.elevation_m(station_m)
        if self.typical_section is None:
            return self.section.surface_m(grade_line_m=grade_line_m, offset_m=offset_m)
        return self.typical_section.depth_surface_m(grade_line_m=grade_line_m, station_m=station_m, offset_m=offset_m)


__all__ = ["Alignment", "BeyondAlignment", "Junction", "Plan", "PlanError"]
