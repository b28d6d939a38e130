"""The moisture-density curve: what several fits propose, how far they lie apart, and what is wrong with the points.

A fit only proposes; the maximum and optimum that the laboratory reports govern. Fits are worked in floats and
brought to decimals with nine places once, where they leave this module.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import sqrt

import numpy as np

from compaction.calculations.errors import CalculationError, ImpossibleReading
from compaction.calculations.quantities import from_si, quantise, to_si
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.calculations.zero_air_voids import zero_air_voids_dry_density_kgm3
from compaction.facts import CurvePoint, Finding

#: Differences up to 0.1 lb/ft3 are rounding of the points, not a hump.
_FLAT_KGM3 = Decimal("1.6")
#: Fits further apart than one operator's repeatability say that the points do not fix the peak (AASHTO T 99 precision
#: clause, 2.2 lb/ft3, from memory).
_SPREAD_KGM3 = to_si(Decimal("2.2"), "pcf")
#: A reported optimum this far from every fit is worth a look: the width to which older editions report (0.5 %).
_OPTIMUM_APART_PCT = Decimal("0.5")


@dataclass(frozen=True)
class Proposal:
    """Maximum and optimum as one fit proposes them. `fit`: parabola_top_three, parabola, cubic."""

    fit: str
    optimum_water_content_pct: Decimal
    maximum_dry_density_kgm3: Decimal


@dataclass(frozen=True)
class Proposals:
    """What the fits propose, how far apart they lie, and findings on points and fits."""

    proposals: tuple[Proposal, ...]
    spread_maximum_kgm3: Decimal
    spread_optimum_pct: Decimal
    findings: tuple[Finding, ...]


def wet_density_in_mould_kgm3(
    *, mass_full_kg: Decimal, mass_mould_kg: Decimal, mould_volume_m3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Wet density of a specimen in its mould, kg/m3. Validity: full > mould >= 0 kg, volume > 0 m3.

    Raises `ImpossibleReading`. Source: ASTM D698 section 11 (from memory).

    >>> wet_density_in_mould_kgm3(mass_full_kg=Decimal("3.9"), mass_mould_kg=Decimal("2.0"),
    ...     mould_volume_m3=Decimal("0.001"))
    Decimal('1.9E+3')
    """
    if not 0 <= mass_mould_kg < mass_full_kg or mould_volume_m3 <= 0:
        raise ImpossibleReading(
            "impossible-mass",
            f"A mould of {mould_volume_m3:.6f} m3 weighs {mass_full_kg:.4f} kg with soil and {mass_mould_kg:.4f} kg "
            "empty; full must be the greater and the volume above zero.",
            value=mass_full_kg,
            limit=mass_mould_kg,
            unit="kg",
        )
    result = (mass_full_kg - mass_mould_kg) / mould_volume_m3
    sheet.add(
        "mould-wet-density",
        result_name="wet_density_kgm3",
        result=result,
        mass_full_kg=mass_full_kg,
        mass_mould_kg=mass_mould_kg,
        mould_volume_m3=mould_volume_m3,
    )
    return result


def propose(
    points: Sequence[CurvePoint],
    *,
    specific_gravity: Decimal | None = None,
    water_density_kgm3: Decimal = Decimal(1000),
) -> Proposals:
    """Maximum and optimum by each fit that the points carry, with findings; rejected points are left out.

    Fits: a parabola through the highest point and its neighbours (3 points), a least-squares parabola (4 points) and a
    least-squares cubic (5 points). Points with two humps give no proposal. Findings: "too-few-points",
    "same-water-content-twice", "curve-has-two-humps", "optimum-not-bracketed", "optimum-outside-points",
    "fit-below-highest-point", "fits-disagree", "point-above-zero-air-voids". Never raises for points that were read.
    Source: ASTM D698 section 11, a smooth curve through the points; the fits are common practice (no source).

    >>> points = [CurvePoint(Decimal(w), Decimal(d)) for w, d in ((8, 1900), (10, 1950), (12, 1900))]
    >>> propose(points).proposals[0].optimum_water_content_pct
    Decimal('10.000000000')
    """
    used = sorted((point for point in points if not point.rejected), key=lambda point: point.water_content_pct)
    findings = _point_findings(used, specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3)
    if {finding.code for finding in findings} & {"too-few-points", "same-water-content-twice", "curve-has-two-humps"}:
        return Proposals((), Decimal(0), Decimal(0), tuple(findings))
    proposals = []
    for fit in _FITS:
        proposal, remark = _FITS[fit](used)
        if remark is not None:
            findings.append(remark)
        if proposal is None:
            continue
        proposals.append(proposal)
        highest = max(point.dry_density_kgm3 for point in used)
        if proposal.maximum_dry_density_kgm3 < highest - _FLAT_KGM3:
            findings.append(
                _finding(
                    "fit-below-highest-point",
                    f"The {_WORDS[fit]} peaks at {_both(proposal.maximum_dry_density_kgm3)}, below the highest "
                    f"point of {_both(highest)}. It does not follow the points; do not take its maximum.",
                )
            )
    spread_maximum = _spread([proposal.maximum_dry_density_kgm3 for proposal in proposals])
    spread_optimum = _spread([proposal.optimum_water_content_pct for proposal in proposals])
    if spread_maximum > _SPREAD_KGM3:
        findings.append(
            _finding(
                "fits-disagree",
                f"The fits lie {_both(spread_maximum)} and {spread_optimum:.1f} points of water content apart: the "
                "points do not fix the peak. Add a point near it.",
            )
        )
    return Proposals(tuple(proposals), spread_maximum, spread_optimum, tuple(findings))


def reported_findings(
    points: Sequence[CurvePoint],
    *,
    maximum_dry_density_kgm3: Decimal,
    optimum_water_content_pct: Decimal,
    half_digit_kgm3: Decimal = Decimal(0),
) -> tuple[Finding, ...]:
    """What the points say about a reported maximum and optimum: "highest-point-taken-as-maximum",
    "reported-maximum-below-highest-point", "reported-optimum-outside-points", or none.

    A highest point that is also where the fits peak is no finding. Source: ASTM D698 section 11, the maximum is the
    peak of the curve and not a point (from memory); tolerances are those of reporting, 0.1 lb/ft3 and 0.5 %, or half of
    the digit to which the maximum is written (`half_digit_kgm3`; BS 1377-4 reports to 0.01 Mg/m3, from memory).

    >>> points = [CurvePoint(Decimal(w), Decimal(d)) for w, d in ((8, 1890), (10, 1950), (12, 1948), (14, 1880))]
    >>> [finding.code for finding in reported_findings(points, maximum_dry_density_kgm3=Decimal(1950),
    ...     optimum_water_content_pct=Decimal(10))]
    ['highest-point-taken-as-maximum']
    """
    used = [point for point in points if not point.rejected]
    if not used:
        return ()
    findings = []
    highest = max(used, key=lambda point: point.dry_density_kgm3)
    is_highest_point = abs(highest.dry_density_kgm3 - maximum_dry_density_kgm3) <= _FLAT_KGM3 / 2 and abs(
        highest.water_content_pct - optimum_water_content_pct
    ) <= Decimal("0.05")
    fitted = propose(used).proposals
    apart = [abs(proposal.optimum_water_content_pct - optimum_water_content_pct) for proposal in fitted]
    if is_highest_point and (not apart or max(apart) > _OPTIMUM_APART_PCT):
        optima = ", ".join(f"{proposal.optimum_water_content_pct:.1f}" for proposal in fitted) or "nowhere"
        findings.append(
            _finding(
                "highest-point-taken-as-maximum",
                f"The reported optimum of {optimum_water_content_pct:.1f} % is the highest point itself; the fits peak "
                f"at {optima} %. Read the peak from a curve through the points.",
            )
        )
    if maximum_dry_density_kgm3 < highest.dry_density_kgm3 - max(_FLAT_KGM3, half_digit_kgm3):
        findings.append(
            _finding(
                "reported-maximum-below-highest-point",
                f"The reported maximum of {_both(maximum_dry_density_kgm3)} is below a tested point of "
                f"{_both(highest.dry_density_kgm3)}. Check both, or reject the point and say why.",
            )
        )
    waters = [point.water_content_pct for point in used]
    if not min(waters) <= optimum_water_content_pct <= max(waters):
        findings.append(
            _finding(
                "reported-optimum-outside-points",
                f"The reported optimum of {optimum_water_content_pct:.1f} % lies outside the points, {min(waters):.1f} "
                f"to {max(waters):.1f} %. Add a point beyond it.",
            )
        )
    return tuple(findings)


def _point_findings(
    used: Sequence[CurvePoint], *, specific_gravity: Decimal | None, water_density_kgm3: Decimal
) -> list[Finding]:
    findings = []
    if len(used) < 3:
        findings.append(
            _finding("too-few-points", f"{len(used)} points do not make a curve; at least three are needed.")
        )
    if any(left.water_content_pct == right.water_content_pct for left, right in pairwise(used)):
        findings.append(
            _finding("same-water-content-twice", "Two points have the same water content. Reject one and say why.")
        )
    if _humps(used) > 1:
        findings.append(
            _finding(
                "curve-has-two-humps",
                "Dry density rises again after it fell: the points have two humps and fix no maximum. "
                "Check each point and repeat the doubtful ones.",
            )
        )
    densities = [point.dry_density_kgm3 for point in used]
    if len(used) >= 3 and max(densities) in (densities[0], densities[-1]):
        findings.append(
            _finding(
                "optimum-not-bracketed",
                "The highest point is the driest or the wettest one, so the peak is not between points. "
                "Add a point beyond it.",
            )
        )
    if specific_gravity is not None:
        findings.extend(
            _above_zero_air_voids(used, specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3)
        )
    return findings


def _above_zero_air_voids(
    used: Sequence[CurvePoint], *, specific_gravity: Decimal, water_density_kgm3: Decimal
) -> list[Finding]:
    findings = []
    for point in used:
        try:
            limit = zero_air_voids_dry_density_kgm3(
                water_content_pct=point.water_content_pct,
                specific_gravity=specific_gravity,
                water_density_kgm3=water_density_kgm3,
            )
        except CalculationError as error:
            findings.append(_finding(error.code, error.sentence))
            continue
        if point.dry_density_kgm3 > limit:
            findings.append(
                _finding(
                    "point-above-zero-air-voids",
                    f"The point at {point.water_content_pct:.1f} % and {_both(point.dry_density_kgm3)} lies above the "
                    f"zero-air-voids line of {_both(limit)} (specific gravity {specific_gravity}): it cannot be. "
                    "Check its masses and the specific gravity.",
                )
            )
    return findings


def _humps(used: Sequence[CurvePoint]) -> int:
    """How often the dry density turns from rising to falling, leaving out differences that are only rounding."""
    rising = True
    humps = 0
    turn = used[0].dry_density_kgm3 if used else Decimal(0)
    for point in used[1:]:
        if rising and point.dry_density_kgm3 < turn - _FLAT_KGM3:
            humps += 1
            rising, turn = False, point.dry_density_kgm3
        elif not rising and point.dry_density_kgm3 > turn + _FLAT_KGM3:
            rising, turn = True, point.dry_density_kgm3
        else:
            turn = max(turn, point.dry_density_kgm3) if rising else min(turn, point.dry_density_kgm3)
    return humps + 1 if rising and humps else humps


_Fitted = tuple[Proposal | None, Finding | None]


def _fit_top_three(used: Sequence[CurvePoint]) -> _Fitted:
    highest = max(range(len(used)), key=lambda number: used[number].dry_density_kgm3)
    middle = min(max(highest, 1), len(used) - 2)
    return _peak("parabola_top_three", used[middle - 1 : middle + 2], used, degree=2)


def _fit_parabola(used: Sequence[CurvePoint]) -> _Fitted:
    return _peak("parabola", used, used, degree=2) if len(used) >= 4 else (None, None)


def _fit_cubic(used: Sequence[CurvePoint]) -> _Fitted:
    return _peak("cubic", used, used, degree=3) if len(used) >= 5 else (None, None)


_FITS: dict[str, Callable[[Sequence[CurvePoint]], _Fitted]] = {
    "parabola_top_three": _fit_top_three,
    "parabola": _fit_parabola,
    "cubic": _fit_cubic,
}
_WORDS = {
    "parabola_top_three": "parabola through the three highest points",
    "parabola": "parabola through all points",
    "cubic": "cubic through all points",
}


def _peak(fit: str, fitted: Sequence[CurvePoint], used: Sequence[CurvePoint], *, degree: int) -> _Fitted:
    """The maximum of a least-squares polynomial, or a finding where it has none between the points."""
    waters = np.array([float(point.water_content_pct) for point in fitted])
    densities = np.array([float(point.dry_density_kgm3) for point in fitted])
    centre, scale = float(waters.mean()), float(np.ptp(waters)) / 2
    # Water contents are centred and scaled so that the normal equations stay well conditioned.
    coefficients, (_, rank, _, _) = np.polynomial.polynomial.polyfit(
        (waters - centre) / scale, densities, degree, full=True
    )
    if rank <= degree:
        return None, _finding(
            "points-too-close",
            f"Water contents lie too close together for a {_WORDS[fit]}. Add a point apart from them.",
        )
    low, high = float(used[0].water_content_pct), float(used[-1].water_content_pct)
    best = _turning_point(*(float(value) for value in np.polynomial.polynomial.polyder(coefficients)))
    if best is None or not low <= centre + scale * best <= high:
        return None, _finding(
            "optimum-outside-points",
            f"The {_WORDS[fit]} has no peak between {low:.1f} and {high:.1f} %. Add a point beyond the highest one.",
        )
    maximum = float(np.polynomial.polynomial.polyval(best, coefficients))
    return (
        Proposal(
            fit=fit,
            optimum_water_content_pct=quantise(Decimal(repr(centre + scale * best))),
            maximum_dry_density_kgm3=quantise(Decimal(repr(maximum))),
        ),
        None,
    )


def _turning_point(constant: float, linear: float, square: float = 0.0) -> float | None:
    """Where a slope c0 + c1 x + c2 x2 turns from rising to falling, if it does anywhere.

    The form of the root is chosen so that nothing cancels: a cubic through points of a parabola has hardly any c2.
    """
    inside = linear * linear - 4 * square * constant
    if inside <= 0:
        return None
    root = sqrt(inside)
    if linear < 0:
        return 2 * constant / (root - linear)
    return -(linear + root) / (2 * square) if square < 0 else None


def _spread(values: Sequence[Decimal]) -> Decimal:
    return max(values) - min(values) if values else Decimal(0)


def _both(density_kgm3: Decimal) -> str:
    return f"{density_kgm3:.1f} kg/m3 ({from_si(density_kgm3, 'pcf'):.1f} pcf)"


def _finding(code: str, sentence: str) -> Finding:
    return Finding(code=code, severity="validity", sentence=sentence)
