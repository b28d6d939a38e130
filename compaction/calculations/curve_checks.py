"""What is wrong, or worth a look, with a moisture-density curve as reported: saturation, sides, siblings.

Beside `moisture_density_curve`, which looks at the points by themselves. Nothing here changes a reported value.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from compaction.calculations.errors import CalculationError
from compaction.calculations.precision import allowed_difference
from compaction.calculations.quantities import from_si
from compaction.calculations.zero_air_voids import saturation_pct, zero_air_voids_dry_density_kgm3
from compaction.facts import CurvePoint, Finding

#: Common practice (no source): what is assumed for mineral soil where nobody measured.
ASSUMED_SPECIFIC_GRAVITY: Final = Decimal("2.70")
#: ASTM D698 section on preparation: at least four points, about two points of water content apart and never more than
#: four (from memory).
LEAST_POINTS, WIDEST_STEP_PCT = 4, Decimal(4)
#: Real curves of one town peak anywhere from 57 to 90 % saturation (worked example FC-01, 2.70 assumed),
#: so only a peak beyond these bounds is remarked on. The wet limb runs at 90 to 97 % (common practice, no source); a
#: remark comes outside wider bounds, or where it runs through more than `WET_LIMB_SPREAD_PCT`.
PEAK_SATURATION_PCT: Final = (Decimal(50), Decimal(96))
WET_LIMB_SATURATION_PCT: Final = (Decimal(82), Decimal(100))
WET_LIMB_SPREAD_PCT: Final = Decimal(8)
#: Maximum and optimum of mineral soils (common practice, no source): 85 to 150 lb/ft3, 4 to 40 %.
USUAL_MAXIMUM_KGM3: Final = (Decimal(1360), Decimal(2400))
USUAL_OPTIMUM_PCT: Final = (Decimal(4), Decimal(40))


def shape_findings(
    points: Sequence[CurvePoint], *, maximum_dry_density_kgm3: Decimal, optimum_water_content_pct: Decimal
) -> list[Finding]:
    """Too few points, a side of the optimum without one, wide gaps, unusual values.

    Findings: "fewer-than-four-points", "no-point-dry-of-optimum", "no-point-wet-of-optimum", "points-far-apart",
    "maximum-unusual", "optimum-unusual". Units kg/m3 and percent. Source: ASTM D698 section on preparation (from
    memory); the unusual ranges are common practice (no source).

    >>> points = [CurvePoint(Decimal(w), Decimal(1800)) for w in (8, 10, 12)]
    >>> [one.code for one in shape_findings(points, maximum_dry_density_kgm3=Decimal(1810),
    ...     optimum_water_content_pct=Decimal(12))]
    ['fewer-than-four-points', 'no-point-wet-of-optimum']
    """
    waters = sorted(point.water_content_pct for point in points if not point.rejected)
    optimum = optimum_water_content_pct
    found = []
    if 3 <= len(waters) < LEAST_POINTS:
        sentence = f"The curve stands on {len(waters)} points; at least {LEAST_POINTS} are wanted (ASTM D698). Add one."
        found.append(Finding("fewer-than-four-points", "validity", sentence, {"points": str(len(waters))}))
    if len(waters) >= 2 and waters[0] <= optimum <= waters[-1]:
        for side, none in (("dry", waters[0] == optimum), ("wet", waters[-1] == optimum)):
            if none:
                sentence = f"No point lies {side} of the optimum of {optimum:.1f} %. Add one, so that it is bracketed."
                found.append(Finding(f"no-point-{side}-of-optimum", "validity", sentence))
    widest = max((wetter - drier for drier, wetter in pairwise(waters)), default=Decimal(0))
    if widest > WIDEST_STEP_PCT:
        sentence = (
            f"Two neighbouring points lie {widest:.1f} points of water content apart; more than {WIDEST_STEP_PCT} "
            "leaves the curve between them open (ASTM D698). Add a point there."
        )
        found.append(Finding("points-far-apart", "information", sentence, {"apart_pct": f"{widest:.2f}"}))
    low, high = USUAL_MAXIMUM_KGM3
    if not low <= maximum_dry_density_kgm3 <= high:
        sentence = (
            f"A maximum of {_both(maximum_dry_density_kgm3)} is unusual for mineral soil, {low} to {high} kg/m3. "
            "Check its unit."
        )
        found.append(Finding("maximum-unusual", "information", sentence))
    driest, wettest = USUAL_OPTIMUM_PCT
    if not driest <= optimum <= wettest:
        sentence = f"An optimum of {optimum:.1f} % is unusual for mineral soil, {driest} to {wettest} %. Check it."
        found.append(Finding("optimum-unusual", "information", sentence))
    return found


def saturation_findings(
    points: Sequence[CurvePoint],
    *,
    maximum_dry_density_kgm3: Decimal,
    optimum_water_content_pct: Decimal,
    specific_gravity: Decimal | None,
    measured: bool,
    water_density_kgm3: Decimal = Decimal(1000),
) -> list[Finding]:
    """The reported peak and the wet limb against the zero-air-voids line.

    Where no specific gravity is known, 2.70 is assumed, the words say so, and a point above the line is information.
    Findings: "reported-peak-above-zero-air-voids", "point-above-assumed-zero-air-voids", "peak-saturation-unusual",
    "wet-limb-not-parallel". Source: ASTM D698 section on the zero-air-voids curve (from memory); the ranges of
    saturation are common practice (no source).

    >>> [one.code for one in saturation_findings([], maximum_dry_density_kgm3=Decimal(1900),
    ...     optimum_water_content_pct=Decimal(17), specific_gravity=Decimal("2.70"), measured=True)]
    ['reported-peak-above-zero-air-voids']
    """
    gravity = specific_gravity or ASSUMED_SPECIFIC_GRAVITY
    said = f"specific gravity {gravity} {'measured' if specific_gravity is not None and measured else 'assumed'}"
    known = specific_gravity is not None
    water = _Phases(gravity, water_density_kgm3)
    found = []
    try:
        limit = water.limit_kgm3(optimum_water_content_pct)
        peak = water.saturation_pct(CurvePoint(optimum_water_content_pct, maximum_dry_density_kgm3))
    except CalculationError as error:
        return [Finding(error.code, "validity" if known else "information", f"{error.sentence} ({said})")]
    low, high = PEAK_SATURATION_PCT
    if maximum_dry_density_kgm3 > limit:
        sentence = (
            f"The reported peak of {_both(maximum_dry_density_kgm3)} at {optimum_water_content_pct:.1f} % lies above "
            f"the zero-air-voids line of {_both(limit)} ({said}): it cannot be. Check peak and specific gravity."
        )
        found.append(Finding("reported-peak-above-zero-air-voids", "validity" if known else "information", sentence))
    elif not low <= peak <= high:
        sentence = (
            f"The reported peak lies at {peak:.0f} % saturation ({said}); 60 to 90 % is usual. Check it and the "
            "specific gravity."
        )
        found.append(Finding("peak-saturation-unusual", "information", sentence, {"saturation_pct": f"{peak:.1f}"}))
    used = [point for point in points if not point.rejected]
    if not known:
        found.extend(_above_assumed(used, said, water))
    found.extend(_wet_limb(used, optimum_water_content_pct, said, water))
    return found


def sibling_findings(
    *,
    maximum_dry_density_kgm3: Decimal,
    optimum_water_content_pct: Decimal,
    siblings: Sequence[tuple[str, Decimal, Decimal]],
    group_symbol: str = "",
) -> list[Finding]:
    """References of the same soil and effort whose maximum or optimum lies farther off than two laboratories would.

    `siblings` are (code, maximum kg/m3, optimum %). Within one operator's precision nothing is said; beyond the
    multilaboratory one it is "sibling-maximum-differs" or "sibling-optimum-differs"; between the two the maximum is
    named as information. Source: ASTM D698 precision of CH, CL or ML, else AASHTO T 99, both in `precision`.

    >>> [one.code for one in sibling_findings(maximum_dry_density_kgm3=Decimal(1740), group_symbol="CL",
    ...     optimum_water_content_pct=Decimal(17), siblings=[("P-2", Decimal(1800), Decimal(17))])]
    ['sibling-maximum-differs']
    """
    standard, soil = ("ASTM D698", group_symbol) if group_symbol in ("CH", "CL", "ML") else ("AASHTO T 99", "")
    found = []
    for code, maximum, optimum in siblings:
        for quantity, own, other, unit in (
            ("maximum_dry_density", maximum_dry_density_kgm3, maximum, "kg/m3"),
            ("optimum_water_content", optimum_water_content_pct, optimum, "%"),
        ):
            one_operator, laboratories = (
                allowed_difference(quantity, standard=standard, soil=soil, mean=(own + other) / 2, same_operator=same)
                for same in (True, False)
            )
            apart = abs(own - other)
            if apart <= (laboratories if unit == "%" else one_operator):
                continue
            beyond = apart > laboratories
            name = quantity.split("_")[0]
            figures = f"{_both(apart)}" if unit == "kg/m3" else f"{apart:.1f} points"
            limit = f"{_both(laboratories)}" if unit == "kg/m3" else f"{laboratories:.1f} points"
            sentence = (
                f"The {name} of {code}, entered for the same soil, lies {figures} away; two laboratories differ by up "
                f"to {limit} ({standard}{' ' + soil if soil else ''}, from memory). "
                f"{'Ask whether it is one soil.' if beyond else 'One operator repeats more closely.'}"
            )
            severity = "validity" if beyond else "information"
            found.append(
                Finding(f"sibling-{name}-differs", severity, sentence, {"sibling": code, "apart": f"{apart:.2f}"})
            )
    return found


@dataclass(frozen=True)
class _Phases:
    """Specific gravity and density of water, by which a point is set against the zero-air-voids line."""

    specific_gravity: Decimal
    water_density_kgm3: Decimal

    def limit_kgm3(self, water_content_pct: Decimal) -> Decimal:
        return zero_air_voids_dry_density_kgm3(
            water_content_pct=water_content_pct,
            specific_gravity=self.specific_gravity,
            water_density_kgm3=self.water_density_kgm3,
        )

    def saturation_pct(self, point: CurvePoint) -> Decimal:
        return saturation_pct(
            dry_density_kgm3=point.dry_density_kgm3,
            water_content_pct=point.water_content_pct,
            specific_gravity=self.specific_gravity,
            water_density_kgm3=self.water_density_kgm3,
        )


def _above_assumed(used: Sequence[CurvePoint], said: str, water: _Phases) -> list[Finding]:
    above = []
    for point in used:
        try:
            limit = water.limit_kgm3(point.water_content_pct)
        except CalculationError:
            continue
        if point.dry_density_kgm3 > limit:
            above.append(f"{point.water_content_pct:.1f} %")
    if not above:
        return []
    sentence = f"Points at {', '.join(above)} lie above the zero-air-voids line ({said}). Measure the specific gravity."
    return [Finding("point-above-assumed-zero-air-voids", "information", sentence)]


def _wet_limb(used: Sequence[CurvePoint], optimum: Decimal, said: str, water: _Phases) -> list[Finding]:
    """Points well wet of optimum should keep about one saturation: the limb runs along the zero-air-voids line."""
    wet = [point for point in used if point.water_content_pct > optimum + Decimal("0.5")]
    try:
        saturations = [water.saturation_pct(one) for one in wet]
    except CalculationError:
        return []
    if not saturations:
        return []
    least, most = min(saturations), max(saturations)
    low, high = WET_LIMB_SATURATION_PCT
    if least >= low and most <= high and most - least <= WET_LIMB_SPREAD_PCT:
        return []
    if most > high:  # said of each point already
        return []
    span = f"{least:.0f} to {most:.0f} %" if most - least >= 1 else f"{least:.0f} %"
    sentence = (
        f"The wet limb lies at {span} saturation ({said}); it should run about parallel to the zero-air-voids line, at "
        "90 to 97 %. Check water contents and specific gravity."
    )
    numbers = {"least_pct": f"{least:.1f}", "most_pct": f"{most:.1f}"}
    return [Finding("wet-limb-not-parallel", "information", sentence, numbers)]


def _both(density_kgm3: Decimal) -> str:
    return f"{density_kgm3:.0f} kg/m3 ({from_si(density_kgm3, 'pcf'):.1f} pcf)"
