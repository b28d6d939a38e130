"""Station equations, coordinates of stations, and the foot of a perpendicular."""

from collections.abc import Sequence
from decimal import Decimal

from compaction.examples.check import Check
from compaction.examples.topic import Example, Topic
from projects.geometry.alignment import Alignment
from projects.geometry.elements import Element
from projects.geometry.plan_points import Baseline, PlanUnits
from projects.geometry.projection import project
from projects.geometry.stationing import Equation, Stationing


def run_stationing(example: Example, check: Check) -> None:
    """Station equations, kilometre posts, or the coordinates of printed stations."""
    within = example["tolerance"]["m"]
    if "segments" in example:
        _labels(example, check, within)
        return
    rows = example["rows"]
    internal = [Decimal(row[1]) for row in rows]
    equations = tuple(
        Equation(ahead=Decimal(ahead), internal=place, kilometre=kilometre)
        for place, (kilometre, _, ahead, _) in zip(internal, rows, strict=True)
    )
    line = Stationing(internal[0] - 500, internal[-1] + 500, equations)
    # A zone ends where the next kilometre starts: its label there is the back station of that equation.
    for zone, place, (kilometre, _, _, back) in zip(line.zones[1:], internal[1:], rows[1:], strict=False):
        if back:
            found = float(zone.label(place))
            check.number(f"back station at kilometre {kilometre}", float(back), found, within=within, unit="m")


def _labels(example: Example, check: Check, within: float) -> None:
    pieces = tuple((k0, k1, float(length)) for k0, k1, length in example["segments"])
    line = Alignment.build(
        _Run(pieces, (example["start_easting_m"], example["start_northing_m"], example["start_direction_rad"])),  # type: ignore[arg-type]
        start_station=Decimal(example["start_station_m"]),
        equations=(Equation(back=Decimal(example["back"]), ahead=Decimal(example["ahead"])),),
    )
    for printed, easting, northing in example["labels"]:
        [place] = line.stationing.display_to_internal(Decimal(printed))
        found = line.point(station_m=float(place.internal))
        check.number(f"easting of {printed}", easting, found[0], within=within, unit="m")
        check.number(f"northing of {printed}", northing, found[1], within=within, unit="m")


class _Run:
    """Pieces (curvature at start and end, length) joined end to end: gives elements and is never stored."""

    def __init__(self, pieces: Sequence[tuple[float, float, float]], start: tuple[float, float, float]) -> None:
        self._pieces, self._start = pieces, start

    def elements(self, units: PlanUnits) -> tuple[Element, ...]:
        easting, northing, direction = self._start
        made: list[Element] = []
        for k0, k1, length in self._pieces:
            made.append(Element(easting, northing, direction, k0, k1, length))
            (easting, northing), direction = made[-1].end, made[-1].end_direction_rad
        return tuple(made)


def run_station_and_offset(example: Example, check: Check) -> None:
    """The feet of perpendiculars from points onto a line; offsets are right positive."""
    if "points" in example:
        line = Alignment.build(
            Baseline(tuple((Decimal(easting), Decimal(northing)) for easting, northing in example["points"])),
            start_station=Decimal(example.get("start_station", "0")),
        )
    else:
        start = tuple(example["start"])
        line = Alignment.build(_Run(tuple(map(tuple, example["segments"])), start))  # type: ignore[arg-type]
    within = example["tolerance"]["m"]
    for row in example["checks"]:
        easting, northing = row["at"]
        found = project(line, easting_m=easting, northing_m=northing)
        where = f"{easting:g}, {northing:g}"
        check.same(f"state of {where}", row["state"], found.state)
        # Beyond an end, at a kink or at a centre there is no perpendicular; then the nearest place is told.
        feet = [foot for foot in (found.foot, *found.alternatives) if foot.state == "on"] or [found.foot]
        feet = sorted(feet, key=lambda foot: foot.station_m)
        check.same(f"feet of {where}", len(row["feet"]), len(feet) if row["feet"] else 0)
        for (station, offset), foot in zip(sorted(row["feet"]), feet, strict=False):
            check.number(f"station of {where}", station, foot.station_m, within=within, unit="m")
            check.number(f"offset of {where}", offset, foot.offset_m, within=within, unit="m")


STATIONING = Topic(
    code="stationing",
    title="Station equations and coordinates of stations",
    run=run_stationing,
    needs=("tolerance",),
    keys={
        "rows": "kilometre that starts, internal station, station within it there, printed back station (empty: none)",
        "segments": "pieces with curvature at start and end (1/m, left positive) and length",
        "start_easting_m": "where the pieces start",
        "start_northing_m": "where the pieces start",
        "start_direction_rad": "direction there, from east, anticlockwise",
        "start_station_m": "station there",
        "back": "equation: station behind",
        "ahead": "equation: station ahead",
        "labels": "printed station, easting, northing",
        "tolerance": "tolerance by unit, as { m = 0.002 }",
    },
)
STATION_AND_OFFSET = Topic(
    code="station_and_offset",
    title="Station and offset of points",
    run=run_station_and_offset,
    needs=("checks", "tolerance"),
    keys={
        "points": "corners of a line, as texts; or `segments` and `start`",
        "start_station": "station of the first corner, as text",
        "segments": "pieces with curvature at start and end (1/m, left positive) and length",
        "start": "easting, northing, direction (radians from east) of the first piece",
        "checks": "points with `at`, `state` (on, ambiguous, beyond_start ...), `feet` as station and offset",
        "tolerance": "tolerance by unit, as { m = 1e-6 }",
    },
)
