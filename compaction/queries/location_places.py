"""Locations as people and receivers need them: station and offset as the plans write them, grid, degrees, height."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from compaction.calculations.quantities import from_si
from compaction.coverage.location_files import Stake
from compaction.coverage.locations import WORDS
from compaction.queries import set_up
from compaction.queries.location_lines import LocationLine
from compaction.queries.locations import GroupPlan
from compaction.queries.set_up import SetUp
from projects.access import Open
from projects.geometry import crs
from projects.geometry.alignment import Alignment, BeyondAlignment
from projects.geometry.conversion import station_text
from projects.geometry.positions import offset_text
from projects.geometry.station_format import StationFormat
from projects.models import Project

#: crews measure to a foot or half a metre; finer figures only look exact (practice, from memory)
FIELD_STEPS: Final = {"ft": Decimal(1), "m": Decimal("0.5")}


@dataclass(frozen=True)
class PlacedLocation:
    """A location with every way to find it. Texts are empty and numbers None where they can't be known."""

    line: LocationLine
    station_text: str
    offset_text: str
    field_station: str  # rounded for the tape, with the unit of the alignment
    field_offset: str
    elevation_text: str
    easting_m: float | None
    northing_m: float | None
    longitude: float | None
    latitude: float | None


def places(opened: Open, plan: GroupPlan, *, now: datetime) -> list[PlacedLocation]:
    """The locations of a group, by cell. No statement beyond the set-up's."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    lines = under.alignments_at(now)
    return [_place(opened.project, under, lines.get(line.alignment), line) for line in plan.locations]


def place(opened: Open, line: LocationLine, *, now: datetime) -> PlacedLocation:
    """One location."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    return _place(opened.project, under, under.alignments_at(now).get(line.alignment), line)


def _place(project: Project, under: SetUp, alignment: Alignment | None, line: LocationLine) -> PlacedLocation:
    easting, northing = _in_plan(alignment, line)
    longitude, latitude = _on_the_globe(under.epsg_code, easting, northing)
    style = StationFormat(under.station_digits)
    station_m, offset_m = (Decimal(repr(value)) for value in (line.station_m, line.offset_m))
    return PlacedLocation(
        line=line,
        station_text=station_text(alignment, station_m, style) if alignment else "",
        offset_text=offset_text(alignment, offset_m),
        field_station=_rounded_station(alignment, station_m, under),
        field_offset=_rounded_offset(alignment, offset_m),
        elevation_text=elevation_text(project, line.elevation_m),
        easting_m=easting,
        northing_m=northing,
        longitude=longitude,
        latitude=latitude,
    )


def _in_plan(alignment: Alignment | None, line: LocationLine) -> tuple[float | None, float | None]:
    if not line.alignment:
        return line.station_m, line.offset_m
    try:
        place = alignment.point(station_m=line.station_m, offset_m=line.offset_m) if alignment else None
    except BeyondAlignment:
        place = None
    return (None, None) if place is None else place


def _on_the_globe(
    epsg: int | None, easting_m: float | None, northing_m: float | None
) -> tuple[float | None, float | None]:
    if not epsg or easting_m is None or northing_m is None:
        return None, None
    try:
        return crs.to_longitude_latitude(epsg, easting_m=easting_m, northing_m=northing_m)
    except crs.CoordinateSystemError:
        return None, None


def _step(alignment: Alignment) -> Decimal:
    return FIELD_STEPS["m" if alignment.unit.metres == 1 else "ft"]


def _rounded_station(alignment: Alignment | None, station_m: Decimal, under: SetUp) -> str:
    if alignment is None:
        return ""
    step = _step(alignment)
    rounded = (alignment.unit.from_metres(station_m) / step).quantize(Decimal(1)) * step
    decimals = 0 if step == 1 else 1
    shown = StationFormat(under.station_digits, decimals)
    return station_text(alignment, alignment.unit.to_metres(rounded), shown)


def _rounded_offset(alignment: Alignment | None, offset_m: Decimal) -> str:
    if alignment is None:
        return ""
    step = _step(alignment)
    rounded = (abs(alignment.unit.from_metres(offset_m)) / step).quantize(Decimal(1)) * step
    return "CL" if rounded == 0 else f"{rounded} {alignment.unit.symbol} {'L' if offset_m < 0 else 'R'}"


def elevation_text(project: Project, elevation_m: Decimal | None) -> str:
    """An elevation in the project's unit; empty where nobody stated one."""
    if elevation_m is None:
        return ""
    if project.units == "pcf":
        return f"{from_si(elevation_m, 'ft').quantize(Decimal('0.1'))} ft"
    return f"{elevation_m.quantize(Decimal('0.01'))} m"


def stakes(opened: Open, plan: GroupPlan, *, now: datetime, only_open: bool = False) -> list[Stake]:
    """Those with a place on the globe, for receivers and maps."""
    return [
        Stake(
            id=one.line.uuid,
            name=f"L{plan.lift}-{one.line.cell}",
            area=plan.area,
            lift=plan.lift,
            cell=one.line.cell,
            state=one.line.state,
            state_words=WORDS[one.line.state],
            alignment=one.line.alignment,
            station=one.station_text,
            offset=one.offset_text,
            elevation_m=one.line.elevation_m,
            elevation=one.elevation_text,
            vertical_datum=opened.project.vertical_datum,
            longitude=one.longitude,
            latitude=one.latitude,
            remark="substituted" if one.line.attempt else "",
        )
        for one in places(opened, plan, now=now)
        if one.longitude is not None and one.latitude is not None and not (only_open and one.line.state != "open")
    ]
