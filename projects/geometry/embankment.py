"""Where a point lies in the fill: under which surfaces, above which ground, between which toes, in which lift."""

from dataclasses import dataclass
from decimal import Decimal
from math import ceil, floor

from projects.geometry.ground import Ground
from projects.geometry.stated import PlainFinding, finding, metres
from projects.geometry.typical_section import TypicalSection

#: more than levelling scatter (about 0.1 ft) above or below a surface (common practice, no source)
SURFACE_TOLERANCE_M = 0.03
#: a toe is staked and trimmed to about this much (common practice, no source)
TOE_TOLERANCE_M = 0.3
#: a surface this much of a lift above a whole number of lifts still closes the lift below it
LIFT_TOLERANCE = 0.02


@dataclass(frozen=True)
class InFill:
    """Metres to 0.1 mm; None where the design or the ground does not say. Toes are unsigned distances from the line."""

    finished_grade_m: Decimal | None = None
    subgrade_m: Decimal | None = None
    ground_m: Decimal | None = None
    left_toe_m: Decimal | None = None
    right_toe_m: Decimal | None = None
    expected_lift: int | None = None

    def known(self) -> dict[str, Decimal | int]:
        """What is known, by name."""
        return {name: value for name, value in vars(self).items() if value is not None}


def in_fill(
    *,
    section: TypicalSection | None,
    ground: Ground | None,
    grade_line_m: float | None,
    station_m: float,
    offset_m: float,
    elevation_m: float | None,
    bottom_m: float | None = None,
) -> InFill:
    """Everything that section and ground say about one point. `bottom_m` is the base of a keyway or undercut there."""
    ground_m = None if ground is None else ground.elevation_m(station_m=station_m, offset_m=offset_m)
    if section is None or grade_line_m is None:
        return InFill(ground_m=_kept(ground_m))
    finished_m = section.surface_m("finished_grade", grade_line_m=grade_line_m, station_m=station_m, offset_m=offset_m)
    subgrade_m = section.surface_m("subgrade", grade_line_m=grade_line_m, station_m=station_m, offset_m=offset_m)
    toes: list[Decimal | None] = [None, None]
    lift = None
    if elevation_m is not None:
        toes = [
            _kept(section.toe_m(left=left, grade_line_m=grade_line_m, station_m=station_m, elevation_m=elevation_m))
            for left in (True, False)
        ]
        base_m = ground_m if bottom_m is None else bottom_m
        # under the side slope lifts are still counted from the subgrade, where the slope begins
        width_m = section.across(station_m=station_m, left=offset_m < 0).width_m
        top_m = section.surface_m(
            "subgrade",
            grade_line_m=grade_line_m,
            station_m=station_m,
            offset_m=max(-width_m, min(offset_m, width_m)),
        )
        lift = expected_lift(section, elevation_m=elevation_m, top_m=top_m, base_m=base_m)
    return InFill(_kept(finished_m), _kept(subgrade_m), _kept(ground_m), toes[0], toes[1], lift)


def _kept(value: float | None) -> Decimal | None:
    return None if value is None else metres(value)


def expected_lift(section: TypicalSection, *, elevation_m: float, top_m: float, base_m: float | None) -> int | None:
    """The lift whose top or body lies at an elevation, counted as the section says; None where it can't be counted.

    From the top: floor(depth below subgrade / nominal lift) + 1. From the bottom: the first lift whose top reaches
    the elevation, above ground or undercut.
    """
    thickness_m = section.lift_thickness_m
    if thickness_m is None:
        return None
    if section.lifts_from == "top":
        return max(floor((top_m - elevation_m) / thickness_m + LIFT_TOLERANCE) + 1, 1)
    if base_m is None:
        return None
    return max(ceil((elevation_m - base_m) / thickness_m - LIFT_TOLERANCE), 1)


def findings(
    place: InFill, *, elevation_m: Decimal | None, offset_m: Decimal, lift: int | None, declared: frozenset[str]
) -> list[PlainFinding]:
    """What does not fit. `declared` holds the kinds of declared areas at the spot (overbuild, surcharge, keyway)."""
    found = []
    if elevation_m is not None and place.ground_m is not None:
        below_m = float(place.ground_m - elevation_m)
        if below_m > SURFACE_TOLERANCE_M:
            routine = "keyway" in declared
            found.append(
                finding(
                    "in-declared-keyway" if routine else "below-ground",
                    "information" if routine else "validity",
                    f"The test lies {below_m:.2f} m below the original ground, in a declared keyway or undercut."
                    if routine
                    else f"The test lies {below_m:.2f} m below the original ground. Check elevation, datum and "
                    "station, or declare a keyway or undercut here.",
                    ground_m=place.ground_m,
                )
            )
    toe_m = place.left_toe_m if offset_m < 0 else place.right_toe_m
    if toe_m is not None and float(abs(offset_m) - toe_m) > TOE_TOLERANCE_M:
        routine = bool(declared & {"overbuild", "surcharge"})
        found.append(
            finding(
                "in-declared-overbuild" if routine else "outside-the-slope",
                "information" if routine else "validity",
                f"The test lies {abs(offset_m) - toe_m:.2f} m outside the slope of the fill at its elevation "
                f"(toe at {toe_m:.2f} m from the line)"
                + (
                    ", in a declared overbuild or surcharge."
                    if routine
                    else ". Check offset and elevation, or declare the overbuild."
                ),
                toe_m=toe_m,
            )
        )
    if lift is not None and place.expected_lift is not None and abs(lift - place.expected_lift) > 1:
        found.append(
            finding(
                "lift-disagrees-with-elevation",
                "validity",
                f"Lift {lift} is stated; by elevation and the nominal thickness of a lift the test is in lift "
                f"{place.expected_lift}. Check lift, elevation and datum.",
                expected_lift=place.expected_lift,
            )
        )
    return found
