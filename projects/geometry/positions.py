"""Where a test is: one call from what the crew stated to a located position with its findings.

Nothing raises here for what people write: what cannot be read or does not fit becomes a finding, and the
value stays empty. Nothing is guessed, nothing is clamped, and a satellite fix never moves a test.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from projects.geometry import crs, embankment
from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, Spot, StationRange, declared_at, first_containing
from projects.geometry.embankment import InFill, in_fill
from projects.geometry.feet import ON
from projects.geometry.gps import compare_fix
from projects.geometry.height import Height, above_grade, in_height
from projects.geometry.plan_position import PlanPosition, in_plan
from projects.geometry.profile import OutsideProfile
from projects.geometry.projection import AMBIGUOUS, project
from projects.geometry.stated import Located, PlainFinding, StatedPosition, degrees, finding, metres
from projects.geometry.station_format import StationFormat

__all__ = ["Located", "StatedPosition", "locate", "offset_text"]


def locate(
    stated: StatedPosition,
    *,
    alignments: Mapping[str, Alignment],
    areas: Sequence[tuple[str, str, Area]] = (),
    epsg_code: int | None = None,
    station_digits: int = 2,
    lift: int | None = None,
) -> Located:
    """The located position of a stated one.

    `areas` are (code, kind, area) in the order of precedence; `station_digits` the digits behind the plus
    in this project's stations (2 or 3); `lift` is the lift as stated, to be compared with the elevation.
    """
    station_format = StationFormat(station_digits)
    place = in_plan(stated, alignments=alignments, station_format=station_format, epsg_code=epsg_code)
    height = in_height(stated, place)
    problems = [*place.findings, *height.findings]
    named = [replace(area, code=code, kind=kind) for code, kind, area in areas]
    spot = _spot(place, height, named, alignments)
    declared = () if spot is None else declared_at(named, spot)
    problems += above_grade(height, declared=frozenset(area.kind for area in declared))
    zone, exempt = _area(spot, named, problems)
    fill = _fill(place, height, declared, lift, problems)
    longitude, latitude = _on_the_globe(place, epsg_code, problems)
    if stated.gps is not None:
        problems += compare_fix(
            stated.gps, place, alignments=alignments, epsg_code=epsg_code, station_format=station_format
        )
    return Located(
        alignment=place.alignment,
        station_m=place.station_m,
        offset_m=place.offset_m,
        station_text=_station_text(place, station_format),
        offset_text=offset_text(place.line, place.offset_m),
        easting_m=place.easting_m,
        northing_m=place.northing_m,
        longitude=longitude,
        latitude=latitude,
        position_source=place.source,
        elevation_m=height.elevation_m,
        elevation_source=height.elevation_source,
        depth_below_grade_m=height.depth_below_grade_m,
        depth_source=height.depth_source,
        design_grade_m=height.design_grade_m,
        zone=zone,
        exempt=exempt,
        in_fill=fill.known(),
        findings=tuple(problems),
    )


def _station_text(place: PlanPosition, station_format: StationFormat) -> str:
    if place.line is None or place.station_m is None:
        return ""
    return place.line.stationing.text(place.line.unit.from_metres(place.station_m), station_format)


def offset_text(line: Alignment | None, offset_m: Decimal | None) -> str:
    """An offset as shown: 15.00 ft L, 4.50 m R, CL; in the unit of the alignment."""
    if line is None or offset_m is None:
        return ""
    shown = line.unit.from_metres(abs(offset_m)).quantize(Decimal("0.01"))
    if shown == 0:
        return "CL"
    return f"{shown} {line.unit.symbol} {'L' if offset_m < 0 else 'R'}"


def _spot(
    place: PlanPosition, height: Height, areas: Sequence[Area], alignments: Mapping[str, Alignment]
) -> Spot | None:
    """The point as areas look at it; None without coordinates or without areas."""
    if not areas or place.easting_m is None or place.northing_m is None:
        return None
    places, unclear = _on_lines(place, areas, alignments)
    return Spot(
        easting_m=place.easting_m,
        northing_m=place.northing_m,
        on_lines=places,
        unclear=unclear,
        elevation_m=height.elevation_m,
        depth_below_grade_m=height.depth_below_grade_m,
    )


def _fill(
    place: PlanPosition,
    height: Height,
    declared: Sequence[Area],
    lift: int | None,
    problems: list[PlainFinding],
) -> InFill:
    """Surfaces, toes and expected lift at the spot, with findings for what does not fit."""
    if place.line is None or place.station_m is None or place.offset_m is None:
        return InFill()
    bases = [area.elevation_from_m for area in declared if area.kind == "keyway" and area.elevation_from_m is not None]
    try:
        grade_line_m = None if place.line.profile is None else place.line.profile.elevation_m(float(place.station_m))
    except OutsideProfile:  # said by the height
        grade_line_m = None
    fill = in_fill(
        section=place.line.typical_section,
        ground=place.line.ground,
        grade_line_m=grade_line_m,
        station_m=float(place.station_m),
        offset_m=float(place.offset_m),
        elevation_m=None if height.elevation_m is None else float(height.elevation_m),
        bottom_m=float(min(bases)) if bases else None,
    )
    problems += embankment.findings(
        fill,
        elevation_m=height.elevation_m,
        offset_m=place.offset_m,
        lift=lift,
        declared=frozenset(area.kind for area in declared),
    )
    return fill


def _area(spot: Spot | None, areas: Sequence[Area], problems: list[PlainFinding]) -> tuple[str, bool]:
    """Zone code and whether the spot is exempt, with findings for what cannot be decided."""
    if spot is None:
        return "", False
    zone, undecided = first_containing(areas, spot, "zone")
    exempt, exempt_undecided = first_containing(areas, spot, "exempt")
    open_areas = [area.code for area in (*undecided, *exempt_undecided) if not area.unclear_at(spot)]
    if open_areas:
        problems.append(
            finding(
                "zone-needs-height",
                "validity",
                f"Whether the test belongs to {', '.join(open_areas)} depends on its height, which is not known. "
                "Give its elevation or depth below grade.",
                areas=", ".join(open_areas),
            )
        )
    elif zone is None and exempt is None and not undecided and any(area.kind == "zone" for area in areas):
        problems.append(
            finding(
                "position-off-the-fill",
                "validity",
                "The test lies outside every area drawn for this project. Check its place, or draw the area.",
            )
        )
    return "" if zone is None else zone.code, exempt is not None


def _on_lines(
    place: PlanPosition, areas: Sequence[Area], alignments: Mapping[str, Alignment]
) -> tuple[dict[str, tuple[Decimal, Decimal]], frozenset[str]]:
    """Station and offset on every line that an area refers to; the stated ones on the stated line.

    Then the lines on which coordinates with an open question have several places.
    """
    wanted = {area.shape.alignment for area in areas if isinstance(area.shape, StationRange)}
    found: dict[str, tuple[Decimal, Decimal]] = {}
    unclear: set[str] = set()
    if place.station_m is not None and place.offset_m is not None:
        found[place.alignment] = (place.station_m, place.offset_m)
    assert place.easting_m is not None
    assert place.northing_m is not None
    for code in sorted((wanted & set(alignments)) - set(found)):
        there = project(alignments[code], easting_m=float(place.easting_m), northing_m=float(place.northing_m))
        if there.state == AMBIGUOUS and place.station_m is None:
            unclear.add(code)
        elif there.state in (ON, AMBIGUOUS):
            found[code] = (metres(there.station_m), metres(there.offset_m))
    return found, frozenset(unclear)


def _on_the_globe(
    place: PlanPosition, epsg_code: int | None, problems: list[PlainFinding]
) -> tuple[Decimal | None, Decimal | None]:
    if not epsg_code or place.easting_m is None or place.northing_m is None:
        return None, None
    try:
        longitude, latitude = crs.to_longitude_latitude(
            epsg_code, easting_m=float(place.easting_m), northing_m=float(place.northing_m)
        )
    except crs.CoordinateSystemError as error:
        problems.append(finding("coordinates-outside-grid", "validity", str(error)))
        return None, None
    return degrees(longitude), degrees(latitude)
