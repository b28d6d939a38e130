"""Position in plan: from a written station and offset to coordinates, or the other way round."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

import numpy as np

from projects.geometry import crs
from projects.geometry.alignment import Alignment, BeyondAlignment
from projects.geometry.feet import ON
from projects.geometry.foot_choice import choose, on_lines
from projects.geometry.parsing import StationText, parse_offset, parse_station
from projects.geometry.place_text import PlaceTextError
from projects.geometry.projection import REASONS
from projects.geometry.stated import PlainFinding, ReceiverFix, StatedPosition, finding, metres
from projects.geometry.station_beside import elsewhere_text, question, read_beside
from projects.geometry.station_format import StationFormat

STATED_STATION = "station and offset as stated"
STATED_COORDINATES = "easting and northing as stated"
BY_RECEIVER = "survey receiver with corrections"
#: a fixed solution is good to 1-2 cm + 1 ppm (NGS guidelines for real-time surveys); more than this is none
FIXED_WITHIN_M = Decimal("0.10")


@dataclass(frozen=True)
class PlanPosition:
    """Position in plan, metres to 0.1 mm; None where it could not be had."""

    alignment: str = ""
    line: Alignment | None = None
    station_m: Decimal | None = None
    offset_m: Decimal | None = None
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    source: str = ""
    findings: list[PlainFinding] = field(default_factory=list)


def in_plan(
    stated: StatedPosition,
    *,
    alignments: Mapping[str, Alignment],
    station_format: StationFormat,
    epsg_code: int | None = None,
) -> PlanPosition:
    """The position in plan. Coordinates go before a station; a station then only chooses among feet."""
    if stated.rtk is not None:
        return _from_receiver(stated, stated.rtk, alignments, station_format, epsg_code)
    if stated.easting_m is not None and stated.northing_m is not None:
        return _from_coordinates(stated, stated.easting_m, stated.northing_m, alignments, station_format)
    if stated.station:
        return _from_station(stated, alignments, station_format)
    return PlanPosition(
        findings=[
            finding(
                "position-not-stated",
                "validity",
                "No station and no coordinates are given, so the test is not on the map. Amend it with its place.",
            )
        ]
    )


def _from_station(
    stated: StatedPosition, alignments: Mapping[str, Alignment], station_format: StationFormat
) -> PlanPosition:
    problems: list[PlainFinding] = []
    try:
        read = parse_station(
            stated.station,
            digits_after_plus=station_format.digits_after_plus,
            alignments=tuple(alignments),
            unequal_kilometres=any(line.stationing.unequal_kilometres for line in alignments.values()),
        )
    except PlaceTextError as error:
        return PlanPosition(alignment=stated.alignment, findings=[_not_understood(str(error), stated.station)])
    code, unknown = _alignment_code(stated.alignment, read.alignment, alignments)
    if unknown is not None:
        return PlanPosition(alignment=code, findings=[unknown])
    line = alignments[code]
    station, missing = _station(read, line, code, stated.station, station_format)
    if missing is not None:
        problems.append(missing)
    offset = _offset(stated.offset, read.offset_text, line, problems)
    station_m = None if station is None else metres(line.unit.to_metres(station))
    if station_m is None or offset is None:
        return PlanPosition(code, line, station_m, offset, findings=problems)
    try:
        easting, northing = line.point(station_m=float(station_m), offset_m=float(offset))
    except BeyondAlignment as error:
        problems.append(finding("station-beyond-alignment", "validity", str(error), beyond_m=metres(error.by_m)))
        return PlanPosition(code, line, station_m, offset, findings=problems)
    element, along = line.element_at(float(station_m))
    if 1.0 + float(element.curvature(np.asarray(along))) * float(offset) <= 0.0:
        problems.append(
            finding(
                "offset-beyond-centre",
                "validity",
                f"At {stated.station} the offset reaches the centre of the curve, beyond which no place has a "
                "station of its own. Check the offset, or give coordinates.",
                offset_m=offset,
            )
        )
    return PlanPosition(code, line, station_m, offset, metres(easting), metres(northing), STATED_STATION, problems)


def _not_understood(sentence: str, text: str) -> PlainFinding:
    return finding("station-not-understood", "validity", sentence, text=text)


def _alignment_code(stated: str, written: str, alignments: Mapping[str, Alignment]) -> tuple[str, PlainFinding | None]:
    """The line that is meant, or the finding that says why it is not known."""
    known = ", ".join(alignments) or "none"
    if stated and written and stated.casefold() != written.casefold():
        return stated, finding(
            "alignment-unclear",
            "validity",
            f"The alignment is given as {stated}, but the station names {written}. Which line is meant?",
        )
    wanted = stated or written
    if not wanted:
        if len(alignments) == 1:
            return next(iter(alignments)), None
        return "", finding(
            "alignment-unclear",
            "validity",
            f"The station does not say on which line. Which one is meant? Known: {known}.",
        )
    by_name = {code.casefold(): code for code in alignments}
    code = by_name.get(wanted.casefold())
    if code is None:
        return wanted, finding(
            "alignment-unknown",
            "validity",
            f"There is no alignment {wanted}. Known: {known}. Amend the alignment.",
            text=wanted,
        )
    return code, None


def _station(
    read: StationText, line: Alignment, code: str, text: str, station_format: StationFormat
) -> tuple[Decimal | None, PlainFinding | None]:
    """The internal station in the unit, or why there is none."""
    stationing = line.stationing
    places = stationing.display_to_internal(read.value, zone=read.zone, kilometre=read.whole, metres=read.rest)
    if len(places) == 1:
        return places[0].internal, None
    if places:
        zones = " or ".join(f"{station_format.text(read.value)} ({place.zone})" for place in places)
        return None, _not_understood(
            f"{text} occurs {len(places)} times on {code} because of station equations. Is {zones} meant?", text
        )
    beyond = stationing.beyond(read.value) if not read.zone else None
    symbol = line.unit.symbol
    reach = f"{stationing.text(stationing.start, station_format)} to {stationing.text(stationing.end, station_format)}"
    if beyond is not None:
        where = "before the start" if beyond < 0 else "behind the end"
        return None, finding(
            "station-beyond-alignment",
            "validity",
            f"{text} lies {abs(beyond):.2f} {symbol} {where} of {code}, which runs from {reach}. Check the station.",
            beyond_m=metres(line.unit.to_metres(beyond)),
        )
    return None, finding(
        "station-not-on-alignment",
        "validity",
        f"There is no station {text} on {code}, which runs from {reach} with {len(line.equations)} station equations. "
        "Check the station and its zone.",
        text=text,
    )


def _offset(stated: str, behind_station: str, line: Alignment, problems: list[PlainFinding]) -> Decimal | None:
    text = stated or behind_station
    if not text:
        problems.append(
            finding(
                "offset-not-understood", "validity", "No offset is given. How far from the line, and on which side?"
            )
        )
        return None
    try:
        offset = metres(parse_offset(text, line.unit))
        if stated and behind_station and metres(parse_offset(behind_station, line.unit)) != offset:
            problems.append(
                finding(
                    "offset-not-understood",
                    "validity",
                    f"The offset is given as {stated}, but behind the station as {behind_station}. Which is right?",
                )
            )
            return None
    except PlaceTextError as error:
        problems.append(finding("offset-not-understood", "validity", str(error), text=text))
        return None
    return offset


def _from_receiver(
    stated: StatedPosition,
    fix: ReceiverFix,
    alignments: Mapping[str, Alignment],
    station_format: StationFormat,
    epsg_code: int | None,
) -> PlanPosition:
    """Station and offset of a place measured with a survey receiver, through the project's map grid."""
    problems: list[PlainFinding] = []
    if fix.accuracy_m > FIXED_WITHIN_M:
        problems.append(
            finding(
                "receiver-not-fixed",
                "validity",
                f"The receiver shows {fix.accuracy_m.normalize():f} m; a fixed solution is better than "
                f"{FIXED_WITHIN_M} m. Wait for it, or state station and offset.",
                accuracy_m=fix.accuracy_m,
            )
        )
    if not epsg_code:
        sentence = "The project has no coordinate system, so the receiver's place has no station. Enter its EPSG code."
        return PlanPosition(findings=[*problems, finding("grid-not-known", "validity", sentence)])
    try:
        easting_m, northing_m = crs.to_easting_northing(
            epsg_code, longitude_deg=float(fix.longitude_deg), latitude_deg=float(fix.latitude_deg)
        )
    except crs.CoordinateSystemError as error:
        return PlanPosition(findings=[*problems, finding("coordinates-outside-grid", "validity", str(error))])
    place = _from_coordinates(
        stated,
        metres(easting_m),
        metres(northing_m),
        alignments,
        station_format,
        source=BY_RECEIVER,
        uncertainty_m=fix.accuracy_m,
    )
    return replace(place, findings=[*problems, *place.findings])


def _from_coordinates(
    stated: StatedPosition,
    easting_m: Decimal,
    northing_m: Decimal,
    alignments: Mapping[str, Alignment],
    station_format: StationFormat,
    *,
    source: str = STATED_COORDINATES,
    uncertainty_m: Decimal = Decimal(0),
) -> PlanPosition:
    place = PlanPosition(easting_m=metres(easting_m), northing_m=metres(northing_m), source=source)
    lines, problems = dict(alignments), place.findings
    beside = read_beside(stated, alignments, station_format)
    code = stated.alignment or ("" if beside is None else beside.alignment)
    if code:
        code, unknown = _alignment_code(stated.alignment, "" if beside is None else beside.alignment, alignments)
        lines = {code: alignments[code]} if unknown is None else {}
        problems += [] if unknown is None else [unknown]
    if not lines:
        return place
    choice = choose(
        on_lines(lines, easting_m=float(easting_m), northing_m=float(northing_m)),
        uncertainty_m=float(uncertainty_m),
        stations_m=None if beside is None else beside.on(lines),
    )
    if beside is not None:
        problems += beside.remarks(choice, lines=lines)
    if choice.chosen is None:
        return replace(place, findings=[*problems, question(choice.plausible, station_format)])
    line, foot = choice.chosen.line, choice.chosen.foot
    place = replace(place, alignment=choice.chosen.code, line=line)
    if foot.state != ON:
        problems.append(
            finding(
                "no-station-here",
                "validity",
                f"The coordinates have no station on {choice.chosen.code}. {REASONS[foot.state]}"
                f"{elsewhere_text(choice, station_format)}",
                state=foot.state,
                beyond_m=metres(foot.beyond_m),
                distance_m=metres(foot.distance_m),
            )
        )
        return replace(place, findings=problems)
    return replace(place, station_m=metres(foot.station_m), offset_m=metres(foot.offset_m), findings=problems)
