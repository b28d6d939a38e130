"""Every fit of a moisture-density curve beside the reported values, and what the spread does to percent compaction.

The reported values are the fit by hand and they govern; nothing here changes them. The polynomials stand in
`moisture_density_curve`; the smoothing spline stands here, because scipy is loaded for it only when a page asks.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import isfinite
from typing import Final

from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.moisture_density_curve import Proposal, propose
from compaction.calculations.quantities import from_si, quantise, to_si
from compaction.facts import CurvePoint, Finding

#: How far one compacted point scatters about its curve, taken for the smoothing (common practice, no source).
POINT_SCATTER_KGM3: Final = to_si(Decimal("0.2"), "pcf")
#: Reported and fitted maximum this far apart move percent compaction by half a point (common practice, no source).
REPORTED_APART_PCT: Final = Decimal("0.5")
#: Fits whose optima lie further apart leave a usual window of 2 points half open (common practice, no source).
OPTIMUM_OPEN_PCT: Final = Decimal(1)
_HUNDRED: Final = Decimal(100)
WORDS: Final = {
    "reported": "by hand, as reported (governs)",
    "parabola_top_three": "parabola through the three points about the peak",
    "parabola": "least-squares parabola",
    "cubic": "least-squares cubic",
    "spline": "smoothing spline",
}


@dataclass(frozen=True)
class FitRow:
    """One fit: its peak, how far from the reported one, and what the limit on the reported maximum is on this one."""

    fit: str  # a key of `WORDS`
    maximum_dry_density_kgm3: Decimal
    optimum_water_content_pct: Decimal
    maximum_from_reported_kgm3: Decimal
    optimum_from_reported_pct: Decimal
    percent_compaction: Decimal

    @property
    def words(self) -> str:
        """What the fit is, in words."""
        return WORDS[self.fit]


@dataclass(frozen=True)
class FitTable:
    """The reported peak first, then each fit that the points carry; `spread_...` is largest less smallest of all."""

    rows: tuple[FitRow, ...]
    at_percent: Decimal
    spread_maximum_kgm3: Decimal
    spread_optimum_pct: Decimal
    spread_percent_compaction: Decimal
    findings: tuple[Finding, ...]


def spline_proposal(points: Sequence[CurvePoint]) -> Proposal | None:
    """Maximum and optimum of a smoothing spline (cubic, FITPACK) through the points that are not rejected.

    It departs from one cubic only as far as the points do beyond `POINT_SCATTER_KGM3` each. None for fewer than five
    points, two at one water content, or no peak between them. Source: common practice (no source); scipy's
    make_splrep.

    >>> points = [CurvePoint(Decimal(w), 1900 - 5 * (Decimal(w) - 12) ** 2) for w in (8, 10, 11, 13, 15)]
    >>> round(spline_proposal(points).optimum_water_content_pct, 6)
    Decimal('12.000000')
    """
    found = spline_line(points, steps=0)
    return None if found is None else found[0]


def spline_line(
    points: Sequence[CurvePoint], *, steps: int
) -> tuple[Proposal | None, tuple[tuple[float, float], ...]] | None:
    """The same with `steps` places along the line, as (percent, kg/m3), for drawing.

    Validity: as `spline_proposal`. Source: as there.

    >>> spline_line([], steps=3) is None
    True
    """
    used = sorted((point for point in points if not point.rejected), key=lambda point: point.water_content_pct)
    waters = [float(point.water_content_pct) for point in used]
    if len(used) < 5 or len(set(waters)) < len(waters):
        return None
    from scipy.interpolate import PPoly, make_splrep

    densities = [float(point.dry_density_kgm3) for point in used]
    spline = make_splrep(waters, densities, k=3, s=len(used) * float(POINT_SCATTER_KGM3) ** 2)
    turning = [float(water) for water in PPoly.from_spline(spline).derivative().roots(extrapolate=False)]
    candidates = [water for water in turning if waters[0] < water < waters[-1] and isfinite(float(spline(water)))]
    best = max(candidates, key=lambda water: float(spline(water)), default=None)
    proposal = None
    if best is not None and float(spline(best)) >= max(float(spline(waters[0])), float(spline(waters[-1]))):
        proposal = Proposal("spline", _decimal(best), _decimal(float(spline(best))))
    along = [waters[0] + (waters[-1] - waters[0]) * number / max(steps - 1, 1) for number in range(steps)]
    return proposal, tuple((water, float(spline(water))) for water in along)


def compare(
    points: Sequence[CurvePoint],
    *,
    maximum_dry_density_kgm3: Decimal,
    optimum_water_content_pct: Decimal,
    at_percent: Decimal = Decimal(95),
) -> FitTable:
    """The reported peak and every fit side by side; `at_percent` is the limit whose meaning is shown on each.

    A field density of just `at_percent` of the reported maximum has `percent_compaction` on each fit. Finding:
    "reported-apart-from-fits" where the reported maximum lies more than half a percent from every fit.
    "optimum-not-fixed" where the fits put it more than a point of water content apart. Validity: maximum above zero.
    Raises `ImpossibleReading`. Source: common practice (no source).

    >>> points = [CurvePoint(Decimal(w), 1900 - 5 * (Decimal(w) - 12) ** 2) for w in (8, 10, 11, 13, 15)]
    >>> table = compare(points, maximum_dry_density_kgm3=Decimal(1919), optimum_water_content_pct=Decimal(12))
    >>> ([row.fit for row in table.rows][:2], table.rows[1].percent_compaction, table.findings[0].code)
    (['reported', 'parabola_top_three'], Decimal('95.950000000'), 'reported-apart-from-fits')
    """
    if maximum_dry_density_kgm3 <= 0:
        raise ImpossibleReading(
            "maximum-not-positive", f"The maximum is {maximum_dry_density_kgm3} kg/m3; it must be above zero."
        )
    reported = Proposal("reported", optimum_water_content_pct, maximum_dry_density_kgm3)
    worked = propose(points).proposals
    spline = spline_proposal(points) if worked else None
    fits = [reported, *worked, *([spline] if spline is not None else [])]
    rows = tuple(_row(fit, reported, at_percent) for fit in fits)
    return FitTable(
        rows=rows,
        at_percent=at_percent,
        spread_maximum_kgm3=_spread([row.maximum_dry_density_kgm3 for row in rows]),
        spread_optimum_pct=_spread([row.optimum_water_content_pct for row in rows]),
        spread_percent_compaction=_spread([row.percent_compaction for row in rows]),
        findings=(*_reported_apart(rows), *_optimum_open(rows)),
    )


def _row(fit: Proposal, reported: Proposal, at_percent: Decimal) -> FitRow:
    maximum = fit.maximum_dry_density_kgm3
    return FitRow(
        fit=fit.fit,
        maximum_dry_density_kgm3=maximum,
        optimum_water_content_pct=fit.optimum_water_content_pct,
        maximum_from_reported_kgm3=maximum - reported.maximum_dry_density_kgm3,
        optimum_from_reported_pct=fit.optimum_water_content_pct - reported.optimum_water_content_pct,
        percent_compaction=quantise(at_percent * reported.maximum_dry_density_kgm3 / maximum),
    )


def _reported_apart(rows: Sequence[FitRow]) -> tuple[Finding, ...]:
    reported, fits = rows[0], rows[1:]
    if not fits:
        return ()
    nearest = min(fits, key=lambda row: abs(row.maximum_from_reported_kgm3))
    apart_pct = _HUNDRED * abs(nearest.maximum_from_reported_kgm3) / reported.maximum_dry_density_kgm3
    if apart_pct <= REPORTED_APART_PCT:
        return ()
    apart = -nearest.maximum_from_reported_kgm3
    sentence = (
        f"The reported maximum lies {abs(apart):.0f} kg/m3 ({abs(from_si(apart, 'pcf')):.1f} pcf) "
        f"{'above' if apart > 0 else 'below'} the nearest fit ({nearest.words}), {apart_pct:.1f} % of compaction. "
        "It governs all the same; look at the drawn curve again."
    )
    numbers = {"apart_kgm3": f"{apart:.1f}", "apart_pct": f"{apart_pct:.2f}", "fit": nearest.fit}
    return (Finding("reported-apart-from-fits", "validity", sentence, numbers),)


def _optimum_open(rows: Sequence[FitRow]) -> tuple[Finding, ...]:
    optima = [row.optimum_water_content_pct for row in rows[1:]]
    if not optima or _spread(optima) <= OPTIMUM_OPEN_PCT:
        return ()
    sentence = (
        f"The fits put the optimum anywhere from {min(optima):.1f} to {max(optima):.1f} %; a window about the reported "
        f"{rows[0].optimum_water_content_pct:.1f} % is no better known than that. Add a point near the peak."
    )
    return (Finding("optimum-not-fixed", "validity", sentence, {"spread_pct": f"{_spread(optima):.2f}"}),)


def _decimal(value: float) -> Decimal:
    return quantise(Decimal(repr(value)))


def _spread(values: Sequence[Decimal]) -> Decimal:
    return max(values) - min(values)
