"""The place of a planned location in words: station and offset as on the plans, else easting and northing."""

from decimal import Decimal

from compaction.queries.location_lines import LocationLine
from compaction.queries.set_up import SetUp
from projects.geometry.station_format import StationFormat


def location_text(under: SetUp, line: LocationLine) -> str:
    """ "12+34.6, 15.0 ft L" in the unit of the alignment; metres without one."""
    known = under.alignments.get(line.alignment)
    if not known:
        return f"E {line.station_m:.1f} m, N {line.offset_m:.1f} m"
    alignment = known[-1].geometry
    metres = alignment.unit.metres
    station = Decimal(repr(round(line.station_m, 4))) / metres
    offset = Decimal(repr(round(abs(line.offset_m), 4))) / metres
    text = alignment.stationing.text(station, StationFormat(under.station_digits, 1))
    side = (
        "on the line"
        if round(offset, 1) == 0
        else f"{offset:.1f} {alignment.unit.symbol} {'R' if line.offset_m > 0 else 'L'}"
    )
    return f"{text}, {side}"
