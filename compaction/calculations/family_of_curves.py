"""A family of curves and the one-point test: the maximum and optimum of a soil from one compacted specimen.

The curves of a family share a character: between two neighbours a new curve is drawn through the one point, with its
peak on the line between their peaks (the spine) and its dry limb between theirs. It holds only where the point lies on
or inside the family and at 80 to 100 % of the optimum found; anywhere else a full curve is made.
Sources: AASHTO R 75 (2016, 2020), sections 4 and 5; field procedure for AASHTO T 272 (October 2004); both read.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import sqrt
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.facts import Finding, ReferenceFacts

_ONE: Final = Decimal(1)
_HUNDRED: Final = Decimal(100)
FEWEST_CURVES: Final = 3  # AASHTO R 75, section 4.2
#: The one point lies at this share of the optimum, percent (field procedure for AASHTO T 272, note 1).
WINDOW_PCT: Final = (Decimal(80), Decimal(100))
#: A member whose optimum lies further from the spine than this many residual standard deviations is looked at.
OFF_SPINE: Final = Decimal(2)
_ROUNDING_KGM3: Final = Decimal("0.8")  # half of 0.1 lb/ft3: on the curve as far as a plot shows
_NOTHING_KGM3: Final = Decimal("1e-9")
_HALVINGS: Final = 60


@dataclass(frozen=True)
class Spine:
    """Straight line through the peaks of a family: optimum (percent) against maximum (kg/m3), by least squares."""

    slope_pct_per_kgm3: Decimal
    intercept_pct: Decimal
    correlation: Decimal
    residual_sd_pct: Decimal

    def optimum_pct(self, maximum_dry_density_kgm3: Decimal) -> Decimal:
        """Optimum on the spine at a maximum, percent."""
        return self.intercept_pct + self.slope_pct_per_kgm3 * maximum_dry_density_kgm3


@dataclass(frozen=True)
class OnePoint:
    """What one point says: maximum and optimum, the curves between which it lies, and its share of the optimum."""

    maximum_dry_density_kgm3: Decimal
    optimum_water_content_pct: Decimal
    lower_curve: str
    upper_curve: str
    percent_of_optimum: Decimal
    on_curve: str = ""  # code of the curve it lies on, as far as a plot shows


def spine(peaks: Sequence[tuple[Decimal, Decimal]]) -> Spine:
    """The spine through peaks (maximum kg/m3, optimum percent), by least squares in floats.

    Validity: at least three peaks of different maxima. Raises `NotEnoughReadings`. Source: AASHTO R 75, section 3.1.2
    (a smooth line through the peaks); a straight one is common practice (no source).

    >>> line = spine([(Decimal(1700), Decimal(18)), (Decimal(1800), Decimal(15)), (Decimal(1900), Decimal(12))])
    >>> round(line.optimum_pct(Decimal(1850)), 6)
    Decimal('13.500000')
    """
    if len({maximum for maximum, _ in peaks}) < FEWEST_CURVES:
        raise NotEnoughReadings(
            "family-too-small",
            f"{len(peaks)} curves make no family; at least {FEWEST_CURVES} with different maxima do (AASHTO R 75).",
            missing=("curves",),
        )
    count = len(peaks)
    x = [float(maximum) for maximum, _ in peaks]
    y = [float(optimum) for _, optimum in peaks]
    middle_x, middle_y = sum(x) / count, sum(y) / count
    square_x = sum((value - middle_x) ** 2 for value in x)
    square_y = sum((value - middle_y) ** 2 for value in y)
    cross = sum((one - middle_x) * (other - middle_y) for one, other in zip(x, y, strict=True))
    slope = cross / square_x
    left_over = max(square_y - slope * cross, 0.0)
    values = (
        slope,
        middle_y - slope * middle_x,
        cross / sqrt(square_x * square_y) if square_y else 0.0,
        sqrt(left_over / (count - 2)),
    )
    exact = [Decimal(repr(value)) for value in values]
    return Spine(exact[0], exact[1], quantise(exact[2]), quantise(exact[3]))


def family_findings(family: Sequence[ReferenceFacts]) -> tuple[Finding, ...]:
    """What is wrong with a family: "family-too-small", "family-mixes-methods", "spine-not-falling", "curve-off-spine".

    Source: AASHTO R 75, sections 4.1 to 4.3 (one method, three curves, denser curves at lower optima).

    >>> [finding.code for finding in family_findings([])]
    ['family-too-small']
    """
    methods = Counter(member.method for member in family)
    findings = []
    if len(methods) > 1:
        findings.append(
            _finding(
                "family-mixes-methods",
                f"The curves were made by {', '.join(sorted(methods))}; all of a family are made by one method "
                "(AASHTO R 75, section 4.1). Take the others out.",
            )
        )
    peaks = [(member.maximum_dry_density_kgm3, member.optimum_water_content_pct) for member in family]
    try:
        line = spine(peaks)
    except NotEnoughReadings as error:
        return (*findings, _finding(error.code, error.sentence))
    if line.slope_pct_per_kgm3 >= 0:
        findings.append(
            _finding(
                "spine-not-falling",
                "The optimum does not fall as the maximum rises: these curves share no character. Sort the soils.",
            )
        )
    for member in family:
        off_pct = member.optimum_water_content_pct - line.optimum_pct(member.maximum_dry_density_kgm3)
        if line.residual_sd_pct > 0 and abs(off_pct) > OFF_SPINE * line.residual_sd_pct:
            findings.append(
                _finding(
                    "curve-off-spine",
                    f"The optimum of {member.code} lies {off_pct:+.1f} points off the spine of the family, more than "
                    f"{OFF_SPINE} residual standard deviations of {line.residual_sd_pct:.1f}. Check it, or leave it "
                    "out.",
                )
            )
    return tuple(findings)


def one_point(family: Sequence[ReferenceFacts], *, water_content_pct: Decimal, dry_density_kgm3: Decimal) -> OnePoint:
    """Maximum and optimum of the curve through one point, between the two curves of the family next to it.

    Validity: at least three curves of one method with points on their dry limbs; the point on or inside the family and
    at 80 to 100 % of the optimum found. Raises `NotEnoughReadings`, `ImpossibleReading`, and `OutsideValidity`
    ("one-point-outside-window": compact another specimen; "one-point-outside-family": make a full curve).
    Source: field procedure for AASHTO T 272 (October 2004); AASHTO R 75, section 5.

    >>> from compaction.facts import CurvePoint
    >>> def curve(code, maximum, optimum):
    ...     limb = [(share, Decimal(maximum) * (1 - (1 - share) ** 2)) for share in map(Decimal, ("0.7", "0.85", "1"))]
    ...     return ReferenceFacts(code, 1, True, "T99-A", Decimal(maximum), Decimal(optimum),
    ...         points=tuple(CurvePoint(share * optimum, density) for share, density in limb))
    >>> family = [curve("A", 1700, 20), curve("B", 1800, 16), curve("C", 1900, 12)]
    >>> found = one_point(family, water_content_pct=Decimal(16), dry_density_kgm3=Decimal(1800))
    >>> round(found.maximum_dry_density_kgm3), found.on_curve
    (1800, 'B')
    """
    if water_content_pct <= 0 or dry_density_kgm3 <= 0:
        raise ImpossibleReading(
            "one-point-impossible",
            f"One point at {water_content_pct:.2f} % and {dry_density_kgm3:.1f} kg/m3 cannot be; both must be greater "
            "than zero.",
            value=min(water_content_pct, dry_density_kgm3),
            limit=Decimal(0),
        )
    stops = [finding for finding in family_findings(family) if finding.code != "curve-off-spine"]
    if stops:
        raise NotEnoughReadings(stops[0].code, stops[0].sentence, missing=("curves",))
    members = sorted(family, key=lambda member: member.maximum_dry_density_kgm3)
    limbs = [_dry_limb(member) for member in members]
    outside: list[OnePoint] = []
    for (lower, lower_limb), (upper, upper_limb) in pairwise(zip(members, limbs, strict=True)):
        share = _between(lower, lower_limb, upper, upper_limb, water_content_pct, dry_density_kgm3)
        if share is None:
            continue
        found = _point(lower, upper, share, water_content_pct)
        if WINDOW_PCT[0] <= found.percent_of_optimum <= WINDOW_PCT[1]:
            return found
        outside.append(found)
    if outside:
        raise OutsideValidity(
            "one-point-outside-window",
            f"The one point lies at {outside[0].percent_of_optimum:.0f} % of the optimum of "
            f"{outside[0].optimum_water_content_pct:.1f} %; {WINDOW_PCT[0]} to {WINDOW_PCT[1]} % is wanted (AASHTO "
            "T 272). Compact another specimen nearer the optimum, dry of it.",
            value=outside[0].percent_of_optimum,
            limit=WINDOW_PCT[0],
            unit="%",
        )
    raise OutsideValidity(
        "one-point-outside-family",
        f"The one point at {water_content_pct:.1f} % and {dry_density_kgm3:.0f} kg/m3 lies on no dry limb on or inside "
        "the family. Check it; if it stands, make a full curve of this soil (AASHTO T 272).",
        value=dry_density_kgm3,
        unit="kg/m3",
    )


def dry_limb_density_kgm3(member: ReferenceFacts, *, water_content_pct: Decimal) -> Decimal:
    """Dry density of a curve at a water content (percent) on its dry limb, straight between its points, kg/m3.

    Validity: from the driest point to the optimum. Raises `NotEnoughReadings` for a limb that is too short and
    `OutsideValidity` beside it. Source: field procedure for AASHTO T 272 (October 2004), with one curve.

    >>> from compaction.facts import CurvePoint
    >>> points = (CurvePoint(Decimal(12), Decimal(1700)), CurvePoint(Decimal(14), Decimal(1800)))
    >>> dry_limb_density_kgm3(ReferenceFacts("A", 1, True, "T99-A", Decimal(1850), Decimal(15), points=points),
    ...     water_content_pct=Decimal(13))
    Decimal('1750.000000000')
    """
    limb = _dry_limb(member)
    share = water_content_pct / member.optimum_water_content_pct
    if not limb[0][0] <= share <= _ONE:
        raise OutsideValidity(
            "not-on-dry-limb",
            f"{water_content_pct:.1f} % lies on no dry limb of {member.code}, which ends at its optimum of "
            f"{member.optimum_water_content_pct:.1f} %.",
            value=water_content_pct,
            limit=member.optimum_water_content_pct,
            unit="%",
        )
    return quantise(_on_limb(limb, share) * member.maximum_dry_density_kgm3)


_Limb = list[tuple[Decimal, Decimal]]


def _dry_limb(member: ReferenceFacts) -> _Limb:
    """Points dry of optimum as shares of optimum and maximum, in order, with the peak at (1, 1)."""
    limb = sorted(
        (
            point.water_content_pct / member.optimum_water_content_pct,
            point.dry_density_kgm3 / member.maximum_dry_density_kgm3,
        )
        for point in member.points
        if not point.rejected and point.water_content_pct < member.optimum_water_content_pct
    )
    if not limb or limb[0][0] * _HUNDRED > WINDOW_PCT[0]:
        raise NotEnoughReadings(
            "dry-limb-too-short",
            f"The curve {member.code} has no point as dry as {WINDOW_PCT[0]} % of its optimum; its dry limb cannot be "
            "followed over the window of the one-point test. Add a drier point, or leave the curve out.",
            missing=("points",),
        )
    return [*limb, (_ONE, _ONE)]


def _on_limb(limb: _Limb, share: Decimal) -> Decimal:
    for (left, low), (right, high) in pairwise(limb):
        if share <= right:
            return high if left == right else low + (high - low) * (share - left) / (right - left)
    return limb[-1][1]


def _between(
    lower: ReferenceFacts, lower_limb: _Limb, upper: ReferenceFacts, upper_limb: _Limb, water: Decimal, dry: Decimal
) -> Decimal | None:
    """How far from the lower to the upper curve (0 to 1) the curve through the point lies; None if it lies nowhere."""
    driest = max(lower_limb[0][0], upper_limb[0][0])

    def excess(t: Decimal) -> Decimal:
        share = water / _mix(lower.optimum_water_content_pct, upper.optimum_water_content_pct, t)
        share = min(max(share, driest), _ONE)
        limb = _mix(_on_limb(lower_limb, share), _on_limb(upper_limb, share), t)
        return _mix(lower.maximum_dry_density_kgm3, upper.maximum_dry_density_kgm3, t) * limb - dry

    stretch = _dry_of_optimum(
        lower.optimum_water_content_pct, upper.optimum_water_content_pct, least=water, most=water / driest
    )
    if stretch is None:
        return None
    for end in stretch:
        if abs(excess(end)) <= _NOTHING_KGM3:
            return end
    low, high = stretch if excess(stretch[0]) < 0 else (stretch[1], stretch[0])
    if excess(low) > 0 or excess(high) < 0:
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if excess(middle) < 0 else (low, middle)
    return high


def _dry_of_optimum(lower: Decimal, upper: Decimal, *, least: Decimal, most: Decimal) -> tuple[Decimal, Decimal] | None:
    """Where between two optima the optimum lies from `least` (the point is dry of it) to `most` (on the limbs)."""
    if lower == upper:
        return (Decimal(0), _ONE) if least <= lower <= most else None
    ends = sorted(((least - lower) / (upper - lower), (most - lower) / (upper - lower)))
    low, high = max(ends[0], Decimal(0)), min(ends[1], _ONE)
    return (low, high) if low <= high else None


def _point(lower: ReferenceFacts, upper: ReferenceFacts, t: Decimal, water_content_pct: Decimal) -> OnePoint:
    maximum = quantise(_mix(lower.maximum_dry_density_kgm3, upper.maximum_dry_density_kgm3, t))
    optimum = quantise(_mix(lower.optimum_water_content_pct, upper.optimum_water_content_pct, t))
    near = [
        member.code for member in (lower, upper) if abs(member.maximum_dry_density_kgm3 - maximum) <= _ROUNDING_KGM3
    ]
    return OnePoint(
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=optimum,
        lower_curve=lower.code,
        upper_curve=upper.code,
        percent_of_optimum=round(_HUNDRED * water_content_pct / optimum, 6),
        on_curve=near[0] if near else "",
    )


def _mix(one: Decimal, other: Decimal, t: Decimal) -> Decimal:
    return one + (other - one) * t


def _finding(code: str, sentence: str) -> Finding:
    return Finding(code=code, severity="validity", sentence=sentence)
