"""Whether a result can be true: remarks beside it, which never change it. A hold asks a person.

Thresholds are those of the specification where it has them; the others are constants here, with their reason.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import pairwise
from typing import Final

from compaction.calculations.density_sheet import HIGHEST_SPECIFIC_GRAVITY
from compaction.calculations.quantities import from_si
from compaction.calculations.rounding import plain_number
from compaction.facts import CurvePoint, Finding

#: Two oven determinations of one specimen that lie farther apart than this are not the same soil, or one is a slip: at
#: 12 % the single-operator range of ASTM D2216 is about one point (from memory).
WATER_CONTENTS_APART_PCT: Final = Decimal(1)
#: How far above the wet limb of its curve a point may lie. On the wet side more effort cannot press out much more air,
#: so a point well above the limb belongs to another soil; three percent is common practice (no source).
ABOVE_WET_LIMB_PCT: Final = Decimal(3)
_HUNDRED: Final = Decimal(100)
_ZERO: Final = Decimal(0)
_ONE: Final = Decimal(1)
#: stretches of a curve between neighbouring points, each as (water content pct, dry density kg/m3) twice
Limb = tuple[tuple[tuple[Decimal, Decimal], tuple[Decimal, Decimal]], ...]


def density_text(density_kgm3: Decimal) -> str:
    """A density for a sentence, in both customary units. Source: common practice (no source).

    >>> density_text(Decimal("1821.3"))
    '1821 kg/m3 (113.7 pcf)'
    """
    return f"{density_kgm3:.0f} kg/m3 ({from_si(density_kgm3, 'pcf'):.1f} pcf)"


def percent_text(value: Decimal) -> str:
    """A percentage for a sentence, to two decimals at most. Source: common practice (no source).

    >>> percent_text(Decimal("95.000"))
    '95 %'
    """
    return f"{plain_number(value, decimals=2)} %"


def percent_compaction_findings(*, percent: Decimal, review_above: Decimal, hold_above: Decimal) -> list[Finding]:
    """Percent compaction above the review limit (validity) or the hold limit (hold), all in percent.

    Source: common practice (no source): above 105 % the reference is questioned, above 110 % it is hardly this soil's.

    >>> [finding.code for finding in percent_compaction_findings(
    ...     percent=Decimal("106.2"), review_above=Decimal(105), hold_above=Decimal(110))]
    ['percent-compaction-above-review']
    """
    if percent > hold_above:
        code, severity, limit = "percent-compaction-above-hold", "hold", hold_above
        remedy = "The reference curve is hardly that of this soil; choose the right one or have a new one made."
    elif percent > review_above:
        code, severity, limit = "percent-compaction-above-review", "validity", review_above
        remedy = "Check whether the reference curve is that of this soil."
    else:
        return []
    return [
        Finding(
            code=code,
            severity=severity,
            sentence=f"Percent compaction of {percent_text(percent)} is above {percent_text(limit)}. {remedy}",
            numbers={"percent_compaction": f"{percent:.2f}", "limit_pct": plain_number(limit)},
        )
    ]


def saturation_findings(
    *, saturation_pct: Decimal, tolerance_pct: Decimal, specific_gravity: Decimal, measured: bool
) -> list[Finding]:
    """A point above the zero-air-voids line beyond a tolerance (percent of saturation).

    With a measured specific gravity this cannot be true and holds the result; with an assumed one it is a remark.
    Source: phase relations; ASTM D698 section on the zero-air-voids curve (from memory).

    >>> [finding.severity for finding in saturation_findings(saturation_pct=Decimal(104), tolerance_pct=Decimal(2),
    ...     specific_gravity=Decimal("2.68"), measured=True)]
    ['hold']
    """
    if saturation_pct <= _HUNDRED + tolerance_pct:
        return []
    known = "measured" if measured else "assumed"
    remedy = (
        "Check the water content first, then the wet density."
        if measured
        else "Have the specific gravity measured, and check the water content."
    )
    return [
        Finding(
            code="above-zero-air-voids",
            severity="hold" if measured else "validity",
            sentence=f"Saturation of {percent_text(saturation_pct)} lies above the zero-air-voids line by more than "
            f"{percent_text(tolerance_pct)}, with a specific gravity of {plain_number(specific_gravity)} ({known}). "
            f"{remedy}",
            numbers={"saturation_pct": f"{saturation_pct:.2f}", "limit_pct": plain_number(_HUNDRED + tolerance_pct)},
        )
    ]


def any_mineral_findings(
    *,
    dry_density_kgm3: Decimal,
    water_content_pct: Decimal,
    water_density_kgm3: Decimal,
    specific_gravity: Decimal | None,
) -> list[Finding]:
    """A point above the zero-air-voids line of the heaviest usual mineral, whatever this soil's specific gravity is.

    Densities in kg/m3, water content in percent; a known specific gravity above `HIGHEST_SPECIFIC_GRAVITY` takes its
    place. Source: ASTM D698 section on the zero-air-voids curve; the bound is common practice (both from memory).

    >>> [finding.severity for finding in any_mineral_findings(dry_density_kgm3=Decimal(1869),
    ...     water_content_pct=Decimal("26.9"), water_density_kgm3=Decimal(1000), specific_gravity=None)]
    ['hold']
    """
    gravity = max(HIGHEST_SPECIFIC_GRAVITY, specific_gravity or _ZERO)
    limit = gravity * water_density_kgm3 / (_ONE + water_content_pct * gravity / _HUNDRED)
    if dry_density_kgm3 <= limit:
        return []
    return [
        Finding(
            code="above-zero-air-voids-of-any-mineral",
            severity="hold",
            sentence=f"At {percent_text(water_content_pct)} water no mineral soil (specific gravity up to "
            f"{plain_number(gravity)}) can have a dry density above {density_text(limit)}; the test found "
            f"{density_text(dry_density_kgm3)}. Check masses, volume and water content.",
            numbers={"dry_density_kgm3": f"{dry_density_kgm3:.1f}", "limit_kgm3": f"{limit:.1f}"},
        )
    ]


def depth_findings(*, depth_m: Decimal, lift_thickness_m: Decimal) -> list[Finding]:
    """A depth of test (m) below the lift that is to be judged (thickness in m). Source: common practice (no source).

    >>> depth_findings(depth_m=Decimal("0.1524"), lift_thickness_m=Decimal("0.2032"))
    []
    """
    if depth_m <= lift_thickness_m:
        return []
    return [
        Finding(
            code="depth-beyond-lift",
            severity="validity",
            sentence=f"The test reaches {depth_m * 1000:.0f} mm deep but the lift is {lift_thickness_m * 1000:.0f} mm "
            "thick: part of the reading belongs to the lift below. Test at a depth within the lift.",
            numbers={"depth_mm": f"{depth_m * 1000:.0f}", "lift_thickness_mm": f"{lift_thickness_m * 1000:.0f}"},
        )
    ]


def water_content_findings(determinations: Sequence[tuple[str, str, Decimal]]) -> list[Finding]:
    """Determinations of one test that lie more than a point apart: (method, fraction, percent), the one used first.

    Only the same fraction is compared. Two oven values apart are a validity finding; a field value beside the oven's is
    information. Source: precision of ASTM D2216 (from memory).

    >>> [finding.severity for finding in water_content_findings(
    ...     [("oven", "total", Decimal("12.4")), ("gauge", "total", Decimal("14.0"))])]
    ['information']
    """
    findings: list[Finding] = []
    if not determinations:
        return findings
    used_method, used_fraction, used_pct = determinations[0]
    for method, fraction, percent in determinations[1:]:
        if fraction != used_fraction or abs(percent - used_pct) <= WATER_CONTENTS_APART_PCT:
            continue
        findings.append(
            Finding(
                code="water-contents-differ",
                severity="validity" if method == used_method == "oven" else "information",
                sentence=f"The water content used ({used_method.replace('_', ' ')}) is {percent_text(used_pct)}; "
                f"another ({method.replace('_', ' ')}) is {percent_text(percent)}, more than "
                f"{percent_text(WATER_CONTENTS_APART_PCT)} apart. Check both, and the offset of the gauge if one was "
                "used.",
                numbers={"used_pct": f"{used_pct:.2f}", "other_pct": f"{percent:.2f}", "method": method},
            )
        )
    return findings


def limb(points: Iterable[CurvePoint]) -> Limb:
    """The stretches between the points of a curve that were not rejected, from dry to wet.

    Each end is (water content in percent, dry density in kg/m3). Validity: any points; none give none.
    Source: common practice (no source).

    >>> limb([CurvePoint(Decimal(17), Decimal(1760)), CurvePoint(Decimal(13), Decimal(1890))])
    (((Decimal('13'), Decimal('1890')), (Decimal('17'), Decimal('1760'))),)
    """
    kept = sorted((point.water_content_pct, point.dry_density_kgm3) for point in points if not point.rejected)
    return tuple(pairwise(kept))


def curve_findings(
    *,
    water_content_pct: Decimal,
    dry_density_kgm3: Decimal,
    optimum_water_content_pct: Decimal,
    limb: Limb,
) -> list[Finding]:
    """A field point wet of optimum that lies well above the wet limb of its reference curve, as `limb` gives it.

    The limb is taken as straight between its points; outside the points nothing is said. Units: percent, kg/m3.
    Source: common practice (no source); the wet limb runs roughly along a line of equal saturation.

    >>> points = [CurvePoint(Decimal(13), Decimal(1890)), CurvePoint(Decimal(17), Decimal(1760))]
    >>> [finding.code for finding in curve_findings(water_content_pct=Decimal(16), dry_density_kgm3=Decimal(1890),
    ...     optimum_water_content_pct=Decimal(13), limb=limb(points))]
    ['point-far-from-curve']
    """
    if water_content_pct <= optimum_water_content_pct:
        return []
    for (drier_pct, drier_kgm3), (wetter_pct, wetter_kgm3) in limb:
        if drier_pct <= water_content_pct <= wetter_pct and drier_pct < wetter_pct:
            share = (water_content_pct - drier_pct) / (wetter_pct - drier_pct)
            on_curve = drier_kgm3 + share * (wetter_kgm3 - drier_kgm3)
            if dry_density_kgm3 <= on_curve * (_HUNDRED + ABOVE_WET_LIMB_PCT) / _HUNDRED:
                return []
            return [
                Finding(
                    code="point-far-from-curve",
                    severity="validity",
                    sentence=f"At {percent_text(water_content_pct)}, wet of optimum, the reference curve has "
                    f"{density_text(on_curve)}; the test found {density_text(dry_density_kgm3)}, more than "
                    f"{percent_text(ABOVE_WET_LIMB_PCT)} above it. The soil may belong to another curve.",
                    numbers={"dry_density_kgm3": f"{dry_density_kgm3:.1f}", "curve_kgm3": f"{on_curve:.1f}"},
                )
            ]
    return []
