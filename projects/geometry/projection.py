"""From a point to station and offset: the choice among all feet, with its reason."""

from dataclasses import dataclass

from projects.geometry.alignment import Alignment
from projects.geometry.feet import AT_KINK, BEYOND_CENTRE, BEYOND_END, BEYOND_START, ON, Foot, feet

AMBIGUOUS = "ambiguous"

REASONS = {
    ON: "The nearest perpendicular foot is used.",
    BEYOND_START: "The point lies before the start; station and offset are those of the first tangent carried on.",
    BEYOND_END: "The point lies behind the end; station and offset are those of the last tangent carried on.",
    BEYOND_CENTRE: "The point lies at or beyond the centre of a curve, where no station belongs to it.",
    AT_KINK: "The point lies outside a corner, where no perpendicular reaches the line; the corner itself is nearest.",
}


@dataclass(frozen=True)
class Projection:
    """The chosen foot, its state (or `ambiguous`), why it was chosen, and the other feet, nearest first."""

    foot: Foot
    state: str
    reason: str
    alternatives: tuple[Foot, ...] = ()

    @property
    def station_m(self) -> float:
        """Internal station; beyond an end, that of the tangent carried on."""
        if self.foot.state == BEYOND_START:
            return self.foot.station_m - self.foot.beyond_m
        return self.foot.station_m + self.foot.beyond_m

    @property
    def offset_m(self) -> float:
        """Offset, right positive."""
        return self.foot.offset_m


def project(
    alignment: Alignment,
    *,
    easting_m: float,
    northing_m: float,
    stated_station_m: float | None = None,
    uncertainty_m: float = 0.0,
) -> Projection:
    """Station and offset of a point.

    With a stated station (internal, metres) the foot closest to it along the line is chosen, otherwise
    the nearest nearest-point. `uncertainty_m` is that of the point: feet whose distances differ by less
    cannot be told apart and make the answer ambiguous, as does a second foot within the line's ratio of the first.
    """
    found = feet(alignment, easting_m=easting_m, northing_m=northing_m)
    if stated_station_m is not None:
        chosen = min(found, key=lambda foot: (abs(foot.station_m - stated_station_m), foot.distance_m))
        others = tuple(foot for foot in found if foot is not chosen)
        reason = REASONS[chosen.state]
        if chosen.state == ON and any(foot.state == ON for foot in others):
            reason = "Of several perpendicular feet the one closest to the stated station is used."
        return Projection(chosen, chosen.state, reason, others)
    undefined = [foot for foot in found if foot.state == BEYOND_CENTRE]
    usable = [foot for foot in found if foot.state != BEYOND_CENTRE]
    # the centre of an arc that is also the nearest part of the line: every station of the arc is right
    centred = [foot for foot in undefined if not usable or foot.distance_m < usable[0].distance_m - 1e-3]
    if centred:
        return Projection(centred[0], BEYOND_CENTRE, REASONS[BEYOND_CENTRE], tuple(usable))
    chosen, others = usable[0], tuple(usable[1:])
    limit = max(float(alignment.foot_limits.ratio) * chosen.distance_m, chosen.distance_m + uncertainty_m)
    rivals = [foot for foot in others if foot.state == ON and foot.distance_m <= limit + 1e-9]
    if chosen.state == ON and rivals:
        reason = (
            f"{len(rivals) + 1} perpendicular feet are about equally near ({chosen.distance_m:.2f} m and "
            f"{rivals[0].distance_m:.2f} m). The nearest is used; state the station to choose."
        )
        return Projection(chosen, AMBIGUOUS, reason, others)
    return Projection(chosen, chosen.state, REASONS[chosen.state], others)
