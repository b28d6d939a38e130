"""Typical section and original ground in rows, as a page shows them. Everything in the alignment's unit."""

from dataclasses import dataclass
from decimal import Decimal

from projects.geometry.alignment import Alignment
from projects.geometry.plain_content import plain_decimal
from projects.geometry.station_format import StationFormat
from projects.geometry.typical_section import UNDER_SLOPE, Side


@dataclass(frozen=True)
class SectionLine:
    """The section at one station: each side in words, and the layers on top of the subgrade."""

    text: str  # station as printed
    left: str
    right: str
    layers: str
    cover: Decimal


@dataclass(frozen=True)
class GroundLine:
    """One cross line of the ground: how far it reaches and between which elevations it lies."""

    text: str
    points: int
    left: str
    right: str
    lowest: Decimal
    highest: Decimal


@dataclass(frozen=True)
class SectionReport:
    """What depth and lifts are worked out from; empty words where nothing is entered."""

    grade_line: str
    depth_from: str
    lift_thickness: Decimal | None
    lifts_from: str
    rows: tuple[SectionLine, ...]
    ground: tuple[GroundLine, ...]
    under_slope: str = ""  # what depth is counted from behind the hinge
    crowned: str = ""  # a plain crowned section instead of a typical one, in words


def section_report(alignment: Alignment, station_format: StationFormat) -> SectionReport | None:
    """The section and the ground of a line, None where it has neither."""
    section, ground = alignment.typical_section, alignment.ground
    if section is None and ground is None and not (alignment.section.cross_slope or alignment.section.cover_m):
        return None

    def printed(station: Decimal) -> str:
        return alignment.stationing.text(station, station_format)

    return SectionReport(
        grade_line="" if section is None else section.grade_line.replace("_", " "),
        depth_from="" if section is None else section.depth_from.replace("_", " "),
        under_slope="" if section is None else UNDER_SLOPE[section.under_slope],
        lift_thickness=None if section is None else section.lift_thickness,
        lifts_from="" if section is None else section.lifts_from,
        rows=()
        if section is None
        else tuple(
            SectionLine(
                text=printed(row.station),
                left=_side(row.left),
                right=_side(row.right),
                layers=", ".join(f"{name} {plain_decimal(thickness)}".strip() for name, thickness in row.layers),
                cover=sum((thickness for _, thickness in row.layers), Decimal(0)),
            )
            for row in section.rows
        ),
        ground=()
        if ground is None
        else tuple(
            GroundLine(
                text=printed(line.station),
                points=len(line.points),
                left=_offset(line.points[0][0]),
                right=_offset(line.points[-1][0]),
                lowest=min(elevation for _, elevation in line.points),
                highest=max(elevation for _, elevation in line.points),
            )
            for line in ground.lines
        ),
        crowned=_crowned(alignment) if section is None else "",
    )


def _side(side: Side) -> str:
    slope = "" if side.side_slope is None else f", then {plain_decimal(side.side_slope)}:1"
    return f"{plain_decimal(side.width)} at {plain_decimal(side.cross_slope * 100)} %{slope}"


def _offset(offset: Decimal) -> str:
    return "CL" if offset == 0 else f"{plain_decimal(abs(offset))} {'L' if offset < 0 else 'R'}"


def _crowned(alignment: Alignment) -> str:
    own = alignment.section
    if not own.cross_slope and not own.cover_m:
        return ""
    cover = plain_decimal(alignment.unit.from_metres(own.cover_m).quantize(Decimal("0.0001")))
    return f"{plain_decimal(own.cross_slope * 100)} % away from the line on both sides, {cover} of cover"
