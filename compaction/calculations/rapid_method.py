"""The rapid method: percent compaction and deviation from optimum without waiting for the oven.

Three specimens of the fill are compacted: one as it is, the others with water added or dried off. Water is counted in
percent of the wet mass of the fill, POSITIVE when added and NEGATIVE when dried off. Divided by (1 + z), every wet
density becomes that of the same soil at the water content of the fill; the peak of a parabola through the three is the
maximum. Sources: ASTM D5080 (significance read; calculation from memory), AS 1289.5.7.1 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

_HUNDRED: Final = Decimal(100)
#: How a deviation from optimum is signed. Here and in `criteria` wet of optimum is positive; D5080 (optimum less fill)
#: and AS 1289.5.7.1 (moisture variation) count dry of optimum as positive (from memory).
CONVENTIONS: Final = {"wet_positive": 1, "dry_positive": -1}


@dataclass(frozen=True)
class RapidPoint:
    """One specimen: water added in percent of the wet mass of the fill (negative: dried off), wet density in kg/m3."""

    added_water_pct: Decimal
    wet_density_kgm3: Decimal


@dataclass(frozen=True)
class RapidPeak:
    """The peak of converted wet density, kg/m3, and the water to add to the fill to reach it, percent of wet mass."""

    added_water_pct: Decimal
    converted_wet_density_kgm3: Decimal
    findings: tuple[Finding, ...] = ()


def converted_wet_density_kgm3(
    *, wet_density_kgm3: Decimal, added_water_pct: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Wet density brought to the water content of the fill: wet / (1 + z), kg/m3; z is negative where dried off.

    Validity: wet density above zero, added water above -100 %. Raises `ImpossibleReading`. Source: ASTM D5080, section
    on calculation (from memory).

    >>> converted_wet_density_kgm3(wet_density_kgm3=Decimal(2040), added_water_pct=Decimal(2))
    Decimal('2000')
    """
    if wet_density_kgm3 <= 0 or added_water_pct <= -_HUNDRED:
        raise ImpossibleReading(
            "rapid-point-impossible",
            f"A specimen of {wet_density_kgm3:.1f} kg/m3 with {added_water_pct:.2f} % of water added cannot be: the "
            "density must be above zero, and no more than all of the mass can dry off. Check sign and masses.",
            value=min(wet_density_kgm3, added_water_pct),
            limit=Decimal(0) if wet_density_kgm3 <= 0 else -_HUNDRED,
            unit="kg/m3" if wet_density_kgm3 <= 0 else "%",
        )
    result = wet_density_kgm3 * _HUNDRED / (_HUNDRED + added_water_pct)
    sheet.add(
        "rapid-converted-wet-density",
        result_name="converted_wet_density_kgm3",
        result=result,
        wet_density_kgm3=wet_density_kgm3,
        added_water_pct=added_water_pct,
    )
    return result


def peak(points: Sequence[RapidPoint], sheet: Worksheet = NO_SHEET) -> RapidPeak:
    """The peak of the parabola through three points of converted wet density; "rapid-peak-outside-points" or none.

    Validity: three points of different added water that bend downwards, one of them the fill as it is (z = 0). Raises
    `NotEnoughReadings`, `OutsideValidity`, `ImpossibleReading`. Source: ASTM D5080, section 5.3 (a parabola through
    three points, read) and section on calculation (from memory).

    >>> found = peak([RapidPoint(Decimal(z), Decimal(d) * (100 + z) / 100)
    ...     for z, d in ((-2, 1960), (0, 2000), (2, 1960))])
    >>> found.added_water_pct, found.converted_wet_density_kgm3
    (Decimal('0'), Decimal('2000.0'))
    """
    if len({point.added_water_pct for point in points}) != 3 or len(points) != 3:
        raise NotEnoughReadings(
            "rapid-needs-three-points",
            f"The rapid method takes three specimens with different amounts of water; {len(points)} are given, "
            f"{len({point.added_water_pct for point in points})} of them different.",
            missing=("points",),
        )
    if all(point.added_water_pct != 0 for point in points):
        raise NotEnoughReadings(
            "rapid-needs-fill-point",
            "None of the three specimens is the fill as it is (no water added or dried off). Compact one of the fill.",
            missing=("points",),
        )
    ordered = sorted(points, key=lambda point: point.added_water_pct)
    (x1, y1), (x2, y2), (x3, y3) = (
        (
            point.added_water_pct,
            converted_wet_density_kgm3(
                wet_density_kgm3=point.wet_density_kgm3, added_water_pct=point.added_water_pct, sheet=sheet
            ),
        )
        for point in ordered
    )
    # Newton's form: y = y1 + s (x - x1) + c (x - x1)(x - x2).
    slope = (y2 - y1) / (x2 - x1)
    curvature = ((y3 - y2) / (x3 - x2) - slope) / (x3 - x1)
    if curvature >= 0:
        raise OutsideValidity(
            "rapid-no-peak",
            "The three points of converted wet density do not bend downwards; a parabola through them has no peak. "
            "Compact another specimen, wetter or drier.",
            value=curvature,
            limit=Decimal(0),
        )
    at = (x1 + x2) / 2 - slope / (2 * curvature)
    highest = y1 + slope * (at - x1) + curvature * (at - x1) * (at - x2)
    sheet.add(
        "rapid-peak",
        result_name="peak_converted_wet_density_kgm3",
        result=highest,
        peak_added_water_pct=at,
        curvature=curvature,
    )
    return RapidPeak(at, highest, _peak_findings(at, low=x1, high=x3))


def _peak_findings(at: Decimal, *, low: Decimal, high: Decimal) -> tuple[Finding, ...]:
    if quantise(low) <= quantise(at) <= quantise(high):  # at an end is not beyond it
        return ()
    return (
        Finding(
            code="rapid-peak-outside-points",
            severity="validity",
            sentence=f"The peak at {at:+.2f} % of added water lies outside the specimens, {low:+.2f} to {high:+.2f} %: "
            "it is extrapolated. Compact a specimen beyond it.",
            numbers={"peak_added_water_pct": f"{at:.2f}", "low_pct": f"{low:.2f}", "high_pct": f"{high:.2f}"},
        ),
    )


def percent_compaction_pct(
    *, fill_wet_density_kgm3: Decimal, peak_converted_wet_density_kgm3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Percent compaction from wet densities alone: both have the water of the fill, so that it cancels. Percent.

    Validity: both above zero, kg/m3. Raises `ImpossibleReading`. Source: ASTM D5080, section 5.1.2 (read).

    >>> percent_compaction_pct(fill_wet_density_kgm3=Decimal(1900), peak_converted_wet_density_kgm3=Decimal(2000))
    Decimal('95')
    """
    for value, words in ((fill_wet_density_kgm3, "Wet density of the fill"), (peak_converted_wet_density_kgm3, "Peak")):
        if value <= 0:
            raise ImpossibleReading(
                "wet-density-not-positive",
                f"{words} is {value:.1f} kg/m3; it must be greater than zero. Check the readings.",
                value=value,
                limit=Decimal(0),
                unit="kg/m3",
            )
    result = _HUNDRED * fill_wet_density_kgm3 / peak_converted_wet_density_kgm3
    sheet.add(
        "rapid-percent-compaction",
        result_name="percent_compaction",
        result=result,
        fill_wet_density_kgm3=fill_wet_density_kgm3,
        peak_converted_wet_density_kgm3=peak_converted_wet_density_kgm3,
    )
    return result


def water_content_deviation_pct(
    *, peak_added_water_pct: Decimal, fill_water_content_pct: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Water content of the fill less the optimum, points; positive is wet of optimum: -z (1 + wf).

    Before the oven an estimate of the fill's water content serves: one point off in it changes the deviation by a
    hundredth of z. Validity: water content at least 0 %. Raises `ImpossibleReading`. Source: ASTM D5080, section 5.1.3
    (approximate until the water content is known, read) and calculation (from memory).

    >>> water_content_deviation_pct(peak_added_water_pct=Decimal(3), fill_water_content_pct=Decimal(10))
    Decimal('-3.3')
    """
    if fill_water_content_pct < 0:
        raise ImpossibleReading(
            "water-content-negative",
            f"Water content of the fill is {fill_water_content_pct:.2f} %; it cannot be below zero.",
            value=fill_water_content_pct,
            limit=Decimal(0),
            unit="%",
        )
    result = -peak_added_water_pct * (_HUNDRED + fill_water_content_pct) / _HUNDRED
    sheet.add(
        "rapid-water-content-deviation",
        result_name="water_content_deviation_pct",
        result=result,
        peak_added_water_pct=peak_added_water_pct,
        fill_water_content_pct=fill_water_content_pct,
    )
    return result


def in_convention_pct(deviation_pct: Decimal, *, convention: str) -> Decimal:
    """A deviation (wet positive, points) as a convention of `CONVENTIONS` signs it.

    Validity: any deviation. Source: see `CONVENTIONS`.

    >>> in_convention_pct(Decimal("-3.3"), convention="dry_positive")
    Decimal('3.3')
    """
    return deviation_pct * CONVENTIONS[convention]
