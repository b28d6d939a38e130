"""Figures as printed on a sheet, against the figures that follow from the readings or from each other.

A printed figure is known to half a unit of its last digit. A printed percentage is therefore consistent with the
rounded dry density (it follows from the figure on the sheet), with some unrounded dry density (it follows from one
that would be printed the same), or with neither. The middle class is no reproach: a laboratory that computes from all
its digits and one that cuts digits off look alike there. Source: ASTM E29 section 6 for the meaning of a rounded
figure (from memory); the classes are arithmetic.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from compaction.calculations.quantities import from_si, quantise, to_si

ROUNDED: Final = "rounded"
UNROUNDED: Final = "unrounded"
NEITHER: Final = "neither"
AGREEMENTS: Final = {
    ROUNDED: "consistent with the rounded dry density",
    UNROUNDED: "consistent with an unrounded dry density that prints as this one",
    NEITHER: "consistent with neither the rounded nor any unrounded dry density",
}
_HUNDRED: Final = Decimal(100)


@dataclass(frozen=True)
class Printed:
    """A figure as printed: its value and half a unit of its last digit, both in the unit used inside."""

    value: Decimal
    half_digit: Decimal


@dataclass(frozen=True)
class PercentCheck:
    """What a printed percentage is consistent with. `distance_pct` is printed less computed, in points."""

    agreement: str
    computed_pct: Decimal
    distance_pct: Decimal


def printed(text: str) -> Printed:
    """A figure as written ("95.8 %", "113.7 pcf") with its resolution. The text must have been read before.

    Source: ASTM E29 section 6, significance of the last digit (from memory).

    >>> printed("95.8 %")
    Printed(value=Decimal('95.8'), half_digit=Decimal('0.05'))
    """
    number, _, unit = text.partition(" ")
    value = Decimal(number)
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    half = Decimal(5).scaleb(exponent - 1)
    if unit == "%":
        return Printed(value, half)
    return Printed(to_si(value, unit), to_si(half, unit))


def check_percent(*, percent: Printed, dry_density: Printed, maximum_dry_density_kgm3: Decimal) -> PercentCheck:
    """Which dry density a printed percent compaction agrees with, for a maximum (kg/m3) that is taken as exact.

    A tie counts as agreement whichever way it was rounded. `maximum_dry_density_kgm3` must be above zero.
    Source: percent compaction by ASTM D1556 and D6938, sections on report (from memory).

    >>> check_percent(percent=printed("97.1 %"), dry_density=printed("110.6 pcf"),
    ...     maximum_dry_density_kgm3=printed("113.8 pcf").value).agreement
    'unrounded'
    """
    computed = quantise(_HUNDRED * dry_density.value / maximum_dry_density_kgm3)
    distance = percent.value - computed
    spread = quantise(_HUNDRED * dry_density.half_digit / maximum_dry_density_kgm3)
    if abs(distance) <= percent.half_digit:
        agreement = ROUNDED
    elif abs(distance) <= percent.half_digit + spread:
        agreement = UNROUNDED
    else:
        agreement = NEITHER
    return PercentCheck(agreement, computed, distance)


def fitting_maxima(
    *, percent: Printed, dry_density: Printed, maxima_kgm3: Mapping[str, Decimal]
) -> tuple[tuple[str, Decimal], ...]:
    """Which of several maxima (kg/m3, by name) explain a printed percentage, the closest first, with its percentage.

    A percentage that was cut off at its last digit counts as explained: a typed curve number is looked for here, not
    a way of rounding. Validity: maxima above zero. Source: arithmetic; see the top of this module.

    >>> fitting_maxima(percent=printed("97.1 %"), dry_density=printed("106.1 pcf"),
    ...     maxima_kgm3={"1": printed("109.2 pcf").value, "2": printed("116.0 pcf").value})[0][0]
    '1'
    """
    found = []
    for name, maximum in maxima_kgm3.items():
        if maximum <= 0:
            continue
        check = check_percent(percent=percent, dry_density=dry_density, maximum_dry_density_kgm3=maximum)
        cut_off = 0 <= -check.distance_pct < 2 * percent.half_digit
        if check.agreement != NEITHER or cut_off:
            found.append((abs(check.distance_pct), name, check.computed_pct))
    return tuple((name, computed) for _, name, computed in sorted(found))


def explain_percent(
    *,
    percent: Printed,
    dry_density: Printed,
    maximum_dry_density_kgm3: Decimal,
    wet_density_kgm3: Decimal | None = None,
) -> str:
    """The slip that would explain a printed percentage, in words; empty where none of those tried does.

    Tried: wet density in place of dry, the two densities of the quotient exchanged, two neighbouring digits of the dry
    density exchanged (densities in kg/m3). Source: common practice (no source).

    >>> explain_percent(percent=printed("105.3 %"), dry_density=printed("1900 kg/m3"),
    ...     maximum_dry_density_kgm3=Decimal(2000))
    'the maximum was divided by the dry density'
    """
    allowed = percent.half_digit + quantise(_HUNDRED * dry_density.half_digit / maximum_dry_density_kgm3)

    def explains(numerator: Decimal, denominator: Decimal) -> bool:
        return denominator > 0 and abs(percent.value - _HUNDRED * numerator / denominator) <= allowed

    if wet_density_kgm3 is not None and explains(wet_density_kgm3, maximum_dry_density_kgm3):
        return "it was computed from the wet density"
    if explains(maximum_dry_density_kgm3, dry_density.value):
        return "the maximum was divided by the dry density"
    for unit in ("pcf", "kg/m3"):
        shown = from_si(dry_density.value, unit).quantize(Decimal("0.1"))
        for exchanged in _neighbours_exchanged(str(shown)):
            if explains(to_si(exchanged, unit), maximum_dry_density_kgm3):
                return f"the dry density may have been {exchanged} {unit}: two digits exchanged"
    return ""


def _neighbours_exchanged(text: str) -> Iterable[Decimal]:
    places = [place for place, character in enumerate(text) if character.isdigit()]
    for one, other in pairwise(places):
        digits = list(text)
        digits[one], digits[other] = digits[other], digits[one]
        if digits != list(text):
            yield Decimal("".join(digits))
