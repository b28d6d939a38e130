"""Elevation and depth below grade: one from the other through the design profile, saying which was measured."""

from dataclasses import dataclass, field
from decimal import Decimal

from projects.geometry.plan_position import PlanPosition
from projects.geometry.profile import OutsideProfile
from projects.geometry.stated import PlainFinding, StatedPosition, finding, metres
from projects.geometry.typical_section import UNDER_SLOPE

# A reading this far above grade is more than levelling scatter (about 0.1 ft; common practice, no source).
ABOVE_GRADE_M = Decimal("0.03")
# An elevation this near to the height above the ellipsoid was copied from it: geoid and datum lie metres apart there.
ELLIPSOID_M = Decimal("0.05")
FROM_PROFILE = "design grade less the stated depth"


@dataclass(frozen=True)
class Height:
    """Elevation, depth below grade and design grade in metres to 0.1 mm, each None where not known."""

    elevation_m: Decimal | None = None
    elevation_source: str = ""
    depth_below_grade_m: Decimal | None = None
    depth_source: str = ""
    design_grade_m: Decimal | None = None
    findings: list[PlainFinding] = field(default_factory=list)


def in_height(stated: StatedPosition, place: PlanPosition) -> Height:
    """The height of a test. Depth below grade = design grade - elevation, positive in the fill."""
    problems: list[PlainFinding] = []
    grade = (
        _grade(place, problems) if stated.elevation_m is not None or stated.depth_below_grade_m is not None else None
    )
    elevation = None if stated.elevation_m is None else metres(stated.elevation_m)
    depth = None if stated.depth_below_grade_m is None else metres(stated.depth_below_grade_m)
    problems += _ellipsoid_height(stated, elevation)
    elevation_source = f"stated ({stated.elevation_from})" if stated.elevation_from else "stated"
    depth_source = "stated"
    if elevation is not None and depth is not None and grade is not None:
        apart = abs(grade - elevation - depth)
        if apart > ABOVE_GRADE_M:
            problems.append(
                finding(
                    "heights-disagree",
                    "validity",
                    f"Elevation and depth below grade are {apart:.3f} m apart here. Check which was measured.",
                    design_grade_m=grade,
                    difference_m=apart,
                )
            )
    elif elevation is not None and grade is not None:
        depth, depth_source = grade - elevation, f"design grade less the stated elevation{_under_slope(place)}"
    elif depth is not None and grade is not None:
        elevation, elevation_source = grade - depth, f"{FROM_PROFILE}{_under_slope(place)}"
    return Height(
        elevation_m=elevation,
        elevation_source="" if elevation is None else elevation_source,
        depth_below_grade_m=depth,
        depth_source="" if depth is None else depth_source,
        design_grade_m=grade,
        findings=problems,
    )


def _ellipsoid_height(stated: StatedPosition, elevation_m: Decimal | None) -> list[PlainFinding]:
    """A stated elevation that is the receiver's height above the ellipsoid: tens of metres off in most countries."""
    height_m = None if stated.rtk is None else stated.rtk.ellipsoid_height_m
    if height_m is None or elevation_m is None or abs(elevation_m - height_m) > ELLIPSOID_M:
        return []
    return [
        finding(
            "elevation-is-ellipsoid-height",
            "validity",
            "The elevation is the receiver's height above the ellipsoid, which is no elevation in the project's datum. "
            "Take it from a level, or from the receiver with its geoid model.",
            ellipsoid_height_m=height_m,
        )
    ]


def above_grade(height: Height, *, declared: frozenset[str]) -> list[PlainFinding]:
    """What a test above the design grade says; routine where an overbuild or a surcharge is declared."""
    depth = height.depth_below_grade_m
    if depth is None or depth >= -ABOVE_GRADE_M:
        return []
    if declared & {"overbuild", "surcharge"}:
        return [
            finding(
                "in-declared-overbuild",
                "information",
                f"The test lies {-depth:.2f} m above the design grade, in a declared overbuild or surcharge.",
                depth_below_grade_m=depth,
            )
        ]
    return [
        finding(
            "above-grade",
            "validity",
            f"The test lies {-depth:.2f} m above the design grade. Check elevation, datum and station, or declare the "
            "overbuild.",
            depth_below_grade_m=depth,
        )
    ]


def _under_slope(place: PlanPosition) -> str:
    """What depth is counted from where the place lies under a side slope."""
    section = None if place.line is None else place.line.typical_section
    if section is None or place.station_m is None or place.offset_m is None:
        return ""
    if not section.behind_hinge(station_m=float(place.station_m), offset_m=float(place.offset_m)):
        return ""
    return f"; under a side slope, counted from the {UNDER_SLOPE[section.under_slope]}"


def _grade(place: PlanPosition, problems: list[PlainFinding]) -> Decimal | None:
    if place.line is None or place.station_m is None or place.offset_m is None:
        return None
    try:
        grade = place.line.design_grade_m(station_m=float(place.station_m), offset_m=float(place.offset_m))
    except OutsideProfile as error:
        problems.append(finding("outside-profile", "information", str(error)))
        return None
    return None if grade is None else metres(grade)
