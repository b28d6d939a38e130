"""Which place on which line coordinates mean: one foot, chosen for a reason, or the feet that a question is about."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.geometry.alignment import Alignment
from projects.geometry.feet import AT_KINK, BEYOND_CENTRE, BEYOND_END, BEYOND_START, ON, Foot, feet

#: states of a foot in words
STATE_WORDS = {
    ON: "perpendicular",
    AT_KINK: "outside a corner, where no perpendicular reaches the line",
    BEYOND_START: "before the start",
    BEYOND_END: "behind the end",
    BEYOND_CENTRE: "at the centre of a curve, where no station belongs to it",
}
_SAME_M = 1e-3


@dataclass(frozen=True)
class OnLine:
    """One foot on one of the lines."""

    code: str
    line: Alignment
    foot: Foot

    @property
    def has_station(self) -> bool:
        """Whether a station can be meant here: a perpendicular foot, or a corner."""
        return self.foot.state in (ON, AT_KINK)


@dataclass(frozen=True)
class Choice:
    """What was chosen (None while a question is open), and every place that is as plausible, nearest first.

    `off_m` is how far a stated station is from the nearest place that there is, where that is too far. `elsewhere` is
    the nearest perpendicular foot where what was chosen is none: too far to be meant, but worth naming.
    """

    chosen: OnLine | None
    plausible: tuple[OnLine, ...]
    off_m: float | None = None
    elsewhere: OnLine | None = None


def on_lines(lines: Mapping[str, Alignment], *, easting_m: float, northing_m: float) -> list[OnLine]:
    """All feet on all lines, nearest first.

    Farthest points of curves are left out; the centre of a curve stays where nothing else of its line is as near.
    """
    found: list[OnLine] = []
    for code, line in lines.items():
        own = feet(line, easting_m=easting_m, northing_m=northing_m)
        nearest_m = min((foot.distance_m for foot in own if foot.state != BEYOND_CENTRE), default=float("inf"))
        found += [
            OnLine(code, line, foot)
            for foot in own
            if foot.state != BEYOND_CENTRE or foot.distance_m < nearest_m - _SAME_M
        ]
    return sorted(found, key=lambda one: (one.foot.distance_m, one.code, one.foot.station_m))


def plausible(found: Sequence[OnLine], *, uncertainty_m: float = 0.0) -> list[OnLine]:
    """The places that coordinates may mean: all within reach of the nearest (`FootLimits`), each place once.

    An end and the centre of a curve have no station to offer: they count only where nothing else is within reach.
    """
    if not found:
        return []
    limits = found[0].line.foot_limits
    reach_m = limits.reach_m(found[0].foot.distance_m, uncertainty_m) + 1e-9
    near = [one for one in found if one.foot.distance_m <= reach_m]
    stationed = sorted((one for one in near if one.has_station), key=lambda one: one.foot.state != ON)
    kept: list[OnLine] = []
    for one in stationed:  # perpendicular ones first: beside them, a corner at the same place says nothing new
        apart_m = max(float(limits.apart_m), uncertainty_m)
        if all(one.code != other.code or abs(one.foot.station_m - other.foot.station_m) > apart_m for other in kept):
            kept.append(one)
    return sorted(kept, key=lambda one: one.foot.distance_m) or near[:1]


def choose(
    found: Sequence[OnLine], *, uncertainty_m: float = 0.0, stations_m: Mapping[str, Sequence[float]] | None = None
) -> Choice:
    """One of the feet `found` by `on_lines`.

    `stations_m` holds, by line, the places (internal, metres) of a station stated beside the coordinates: the foot
    nearest to it is meant, whatever its distance. If it would fit on two lines, those near the point decide.
    """
    near = plausible(found, uncertainty_m=uncertainty_m)
    off_m: float | None = None
    if stations_m is not None:
        away = [
            (min(abs(one.foot.station_m - at) for at in stations_m[one.code]), one)
            for one in found
            if one.has_station and stations_m.get(one.code)
        ]
        fitting = [(off, one) for off, one in away if off <= float(one.line.foot_limits.station_within_m)]
        if fitting:
            codes = {one.code for _, one in fitting}
            if len(codes) > 1:
                codes &= {one.code for one in near}
            if len(codes) == 1:
                return Choice(min((item for item in fitting if item[1].code in codes), key=lambda x: x[0])[1], (*near,))
            return Choice(None, tuple(one for _, one in sorted(fitting, key=lambda x: x[1].foot.distance_m)))
        off_m = min((off for off, _ in away), default=None)
    if len(near) != 1:
        return Choice(None, tuple(near), off_m)
    elsewhere = None if near[0].foot.state == ON else next((one for one in found if one.foot.state == ON), None)
    return Choice(near[0], tuple(near), off_m, elsewhere)
