"""What the satellite fixes of one crew and day show together: a kept fix, an old one, a common shift, one far place.

Each pattern is a remark for a person, never a correction: the stated places stay. Model of an honest day: fix = stated
place + an error shared by the day (`common_sigma_m`) + a circular normal error of its own (`sigma_m`). Each pattern
comes on at most one honest day in `days_per_alarm`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

HONEST_DAYS_PER_ALARM = 200
SAME_PLACE_M = 1.0
FEWEST_REPEATED = 3
FEWEST_SHIFTED = 5
#: Stated places nearer than this say nothing about a repeated fix: a retest stands where the test stood.
SAME_SPOT_M = 3.0
#: Part of a device's error that lasts through a day: sky, device and frame (common practice, no source).
LASTING_SHARE = 0.5
#: The US survey foot is longer than the international foot by this part (85 FR 62698, 5 October 2020).
SURVEY_FOOT_PART = 2.0e-6
#: A foot slip is named only where the day's shift is known to a twentieth of it: a frame of 1 m then imitates it on
#: one day in 200 or fewer.
FOOT_SHARE, FOOT_SIGMAS = 20.0, 2.5


@dataclass(frozen=True)
class DayFix:
    """The fix of one test beside its stated place, both on the project's grid in metres; `sigma_m` for each axis."""

    test: str
    label: str
    performed_at: datetime
    easting_m: float
    northing_m: float
    sigma_m: float
    stated_easting_m: float
    stated_northing_m: float
    fixed_at: datetime | None = None

    @property
    def shift(self) -> tuple[float, float]:
        """Fix less stated place, east and north."""
        return self.easting_m - self.stated_easting_m, self.northing_m - self.stated_northing_m


@dataclass(frozen=True)
class FixPattern:
    """One pattern: its code, the tests that show it, and a sentence that says what, where and what to do."""

    code: str
    tests: tuple[str, ...]
    sentence: str
    numbers: dict[str, float]


@dataclass(frozen=True)
class FixLimits:
    """From when a fix is pointed out; without a word common practice holds (no source)."""

    days_per_alarm: int = HONEST_DAYS_PER_ALARM
    oldest_s: float = 120.0  # between fix and test
    far_m: float = 200.0  # beyond any error of a fix in the open
    yard_m: float = 50.0  # fixes of one far place lie within it


def patterns(fixes: Sequence[DayFix], *, frame_m: float = 0.0, limits: FixLimits = FixLimits()) -> list[FixPattern]:
    """All patterns of the fixes of one crew on one day. `frame_m` is the grid's own doubt (`crs.Grid.frame_m`).

    A test counts for one of "far place", "repeated" and "common shift" only; an old fix is told besides.
    Source of the patterns: common practice (no source); of the statistics: chi-square with two degrees of freedom.
    """
    found = _old(fixes, limits)
    far = _far(fixes, limits)
    left = [fix for fix in fixes if not any(fix.test in pattern.tests for pattern in far)]
    repeated = _repeated(left, limits.days_per_alarm)
    left = [fix for fix in left if not any(fix.test in pattern.tests for pattern in repeated)]
    return [*found, *far, *repeated, *_shifted(left, frame_m, limits.days_per_alarm)]


def chance_of_repetition(one: DayFix, other: DayFix) -> float:
    """How likely the fixes of two honest tests lie within a metre of each other, their stated places being apart.

    Density of the difference of the two errors (variance the sum of theirs) times the area of the metre around.
    """
    apart = math.dist((one.stated_easting_m, one.stated_northing_m), (other.stated_easting_m, other.stated_northing_m))
    if apart < SAME_SPOT_M:
        return 1.0
    variance = one.sigma_m**2 + other.sigma_m**2
    nearest = max(apart - SAME_PLACE_M, 0.0)
    return min(1.0, SAME_PLACE_M**2 / (2.0 * variance) * math.exp(-(nearest**2) / (2.0 * variance)))


def _old(fixes: Sequence[DayFix], limits: FixLimits) -> list[FixPattern]:
    ages = {fix.test: (fix.performed_at - fix.fixed_at).total_seconds() for fix in fixes if fix.fixed_at is not None}
    old = [fix for fix in fixes if ages.get(fix.test, 0.0) > limits.oldest_s]
    if not old:
        return []
    oldest = max(ages[fix.test] for fix in old)
    sentence = (
        f"{_tests(old)}: the satellite fix was taken more than {limits.oldest_s / 60:.0f} minutes before the test, "
        f"up to {oldest / 60:.0f} minutes. It may show where somebody was before; take it at the spot."
    )
    return [FixPattern("fix-old", _uuids(old), sentence, {"oldest_s": oldest})]


def _far(fixes: Sequence[DayFix], limits: FixLimits) -> list[FixPattern]:
    away = [fix for fix in fixes if math.hypot(*fix.shift) > limits.far_m]
    found = []
    for group in _groups(away, limits.yard_m):
        spread = _stated_spread(group)
        if spread < SAME_SPOT_M:
            continue
        nearest = min(math.hypot(*fix.shift) for fix in group)
        sentence = (
            f"{_tests(group)}: the satellite fixes lie at one place, {nearest:.0f} m or more from where the tests are "
            f"said to be, which is {spread:.0f} m wide. Were they entered at an office, or with a fix kept from there? "
            "No error of a receiver is that large."
        )
        found.append(FixPattern("fixes-at-one-far-place", _uuids(group), sentence, {"nearest_m": nearest}))
    return found


def _repeated(fixes: Sequence[DayFix], days_per_alarm: int) -> list[FixPattern]:
    found = []
    for group in _groups(fixes, SAME_PLACE_M):
        chance = math.prod(chance_of_repetition(group[0], other) for other in group[1:])
        chance *= math.comb(len(fixes), len(group))  # any of the day's tests could have been the group
        if chance * days_per_alarm > 1.0:
            continue
        sentence = (
            f"{_tests(group)}: the satellite fix is the same to the metre, the stated places are "
            f"{_stated_spread(group):.0f} m apart. By chance that comes {_rarity(chance)}. The device may have kept an "
            "old fix; look at the time of the fix and at the next day's."
        )
        found.append(FixPattern("fix-repeated", _uuids(group), sentence, {"chance": chance}))
    return found


def _shifted(fixes: Sequence[DayFix], frame_m: float, days_per_alarm: int) -> list[FixPattern]:
    if len(fixes) < FEWEST_SHIFTED:
        return []
    east, north = (median(fix.shift[axis] for fix in fixes) for axis in (0, 1))
    scatter = max(
        1.4826 * median(abs(fix.shift[axis] - middle) for fix in fixes) for axis, middle in ((0, east), (1, north))
    )
    stated_sigma = math.sqrt(sum(fix.sigma_m**2 for fix in fixes) / len(fixes))
    # The variance of a median is pi/2 times that of a mean.
    of_median = math.sqrt(math.pi / 2.0 / len(fixes)) * max(scatter, stated_sigma)
    lasting = max(frame_m, LASTING_SHARE * stated_sigma)
    length = math.hypot(east, north)
    numbers = {"east_m": east, "north_m": north, "sigma_m": of_median}
    slip = _foot_slip(fixes, east, north, of_median)
    if slip:
        sentence = (
            f"{_tests(fixes)}: all fixes differ from the stated places by {length:.2f} m ({length / 0.3048:.1f} ft), "
            f"as a US survey foot taken for an international foot would make it ({slip / 0.3048:.1f} ft at these "
            "coordinates). Check the unit of the coordinates and the grid of the project."
        )
        return [FixPattern("fixes-share-foot-slip", _uuids(fixes), sentence, numbers)]
    limit = 2.0 * math.log(days_per_alarm)  # chi-square, two degrees of freedom: P(q > x) = exp(-x / 2)
    if length**2 / (of_median**2 + lasting**2) <= limit:
        return []
    sentence = (
        f"{_tests(fixes)}: all fixes of the day are shifted alike against the stated places, {abs(east):.1f} m "
        f"{'east' if east >= 0 else 'west'} and {abs(north):.1f} m {'north' if north >= 0 else 'south'} by their "
        f"median. Honest days show that less than once in {days_per_alarm}. Check the project's grid and datum, "
        "the start station and the stakes that were taped from."
    )
    return [FixPattern("fixes-share-shift", _uuids(fixes), sentence, numbers)]


def _foot_slip(fixes: Sequence[DayFix], east: float, north: float, of_median: float) -> float:
    """Length of the shift by a wrong foot if the day shows it, else 0."""
    part = SURVEY_FOOT_PART
    slip_east = part * median(fix.stated_easting_m for fix in fixes)
    slip_north = part * median(fix.stated_northing_m for fix in fixes)
    length = math.hypot(slip_east, slip_north)
    if of_median * FOOT_SHARE > length:
        return 0.0
    for sign in (1.0, -1.0):
        if math.dist((east, north), (sign * slip_east, sign * slip_north)) <= FOOT_SIGMAS * of_median:
            return length
    return 0.0


def _groups(fixes: Sequence[DayFix], within_m: float) -> list[list[DayFix]]:
    """Fixes near a first one, the largest group first, while there are enough; each fix in one group."""
    left, groups = list(fixes), []
    while left:
        near = [
            [one for one in left if math.dist((one.easting_m, one.northing_m), (seed.easting_m, seed.northing_m))
             <= within_m]
            for seed in left
        ]  # fmt: skip
        group = max(near, key=len)
        if len(group) < FEWEST_REPEATED:
            break
        groups.append(group)
        left = [fix for fix in left if fix not in group]
    return groups


def _stated_spread(fixes: Sequence[DayFix]) -> float:
    east = [fix.stated_easting_m for fix in fixes]
    north = [fix.stated_northing_m for fix in fixes]
    return math.hypot(max(east) - min(east), max(north) - min(north))


def _uuids(fixes: Sequence[DayFix]) -> tuple[str, ...]:
    return tuple(fix.test for fix in fixes)


def _tests(fixes: Sequence[DayFix]) -> str:
    names = [fix.label or fix.test[:8] for fix in sorted(fixes, key=lambda fix: fix.performed_at)]
    shown = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
    return f"{'Test' if len(names) == 1 else 'Tests'} {shown}"


def _rarity(chance: float) -> str:
    days = 1.0 / max(chance, 1e-12)
    return "less than once in a million days" if days > 1e6 else f"about once in {float(f'{days:.1g}'):,.0f} days"
