"""From an alignment to its two drawings: plain values in the units that the plans use."""

from base64 import b64encode
from decimal import Decimal
from itertools import pairwise

import numpy as np

from compaction.plots import alignment_plan, alignment_profile
from projects.geometry.alignment import Alignment
from projects.geometry.drawing import polyline, station_ticks
from projects.geometry.profile import Profile
from projects.geometry.station_format import StationFormat

SAMPLES = 240
_STEPS = (1, 2, 5, 10, 20, 50, 100)


def plan(line: Alignment, station_format: StationFormat, *, title: str) -> bytes:
    """The line in plan, in the unit of its coordinates."""
    unit = float(line.coordinate_unit.metres)
    elements = []
    for number, element in enumerate(line.elements):
        begin = line.start_station_m + float(line.element_starts_m[number])
        # a point of the next element is not this one's end where there is a gap, so stop a hair before it
        end = min(begin + element.length_m, line.end_station_m) - 1e-9
        points = polyline(line, sagitta_m=max(line.length_m / 4000, 0.001), from_m=begin, to_m=end)
        elements.append(alignment_plan.PlanElement(element.kind, [(e / unit, n / unit) for e, n in points]))
    flaws = [line.point(station_m=joint.station_m) for joint in line.junctions if joint.is_kink or joint.is_gap]
    return alignment_plan.draw(
        elements,
        ticks=[
            alignment_plan.Tick(tick.text, tick.easting_m / unit, tick.northing_m / unit, tick.direction_rad)
            for tick in station_ticks(line, station_format, every=_step(line, station_format))
        ],
        flaws=[(e / unit, n / unit) for e, n in flaws],
        title=title,
        unit=line.coordinate_unit.name,
    )


def _step(line: Alignment, station_format: StationFormat) -> Decimal:
    """Ticks at round stations, at most some sixty of them."""
    length = line.length_m / float(line.unit.metres)
    block = station_format.block
    if length < 3 * block:
        return Decimal(block) / 10
    return Decimal(next((block * step for step in _STEPS if length / (block * step) <= 60), block * 1000))


def profile(line: Alignment, grade: Profile, station_format: StationFormat, *, title: str) -> bytes:
    """The design profile, in the unit of the alignment."""
    unit = float(grade.unit.metres)
    points = grade.points
    stations = np.linspace(float(points[0].station) * unit, float(points[-1].station) * unit, SAMPLES)
    grades = []
    for before, after in pairwise(points):
        slope = 100 * (after.elevation - before.elevation) / (after.station - before.station)
        middle = (before.station + after.station) / 2, (before.elevation + after.elevation) / 2
        grades.append((float(middle[0]), float(middle[1]), f"{slope:+.3f} %"))
    return alignment_profile.draw(
        [(float(station) / unit, grade.elevation_m(float(station)) / unit) for station in stations],
        vertices=[
            alignment_profile.Vertex(float(one.station), float(one.elevation), f"{one.elevation:.2f}") for one in points
        ],
        grades=grades,
        title=title,
        unit=grade.unit.symbol,
        station_text=lambda station: line.stationing.text(
            Decimal(repr(round(station, 3))), StationFormat(station_format.digits_after_plus, 0)
        ),
    )


def as_address(drawn: bytes) -> str:
    """A drawing of something that is not saved yet, as a data address for an img."""
    return "data:image/svg+xml;base64," + b64encode(drawn).decode("ascii")
