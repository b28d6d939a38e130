"""Grain sizes: percent passing by size, sizes at a percentage, coefficients of uniformity and curvature, fractions."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.quantities import quantise

#: code -> (name, opening in mm). ASTM E11, 20 mm BS 410 and IS 460 (from memory); D2487 goes by No. 4 and No. 200.
SIEVES: Final[dict[str, tuple[str, Decimal]]] = {
    code: (name, Decimal(opening))
    for code, name, opening in (
        ("twelve", "12 in.", "300"), ("three", "3 in.", "75"), ("two", "2 in.", "50"),
        ("one_and_half", "1 1/2 in.", "37.5"), ("one", "1 in.", "25"), ("twenty_mm", "BS, IS", "20"),
        ("three_quarters", "3/4 in.", "19"),
        ("one_half", "1/2 in.", "12.5"), ("three_eighths", "3/8 in.", "9.5"), ("no4", "No. 4", "4.75"),
        ("no8", "No. 8", "2.36"), ("no10", "No. 10", "2"), ("no16", "No. 16", "1.18"), ("no20", "No. 20", "0.85"),
        ("no30", "No. 30", "0.6"), ("no40", "No. 40", "0.425"), ("no50", "No. 50", "0.3"), ("no60", "No. 60", "0.25"),
        ("no100", "No. 100", "0.15"), ("no140", "No. 140", "0.106"), ("no200", "No. 200", "0.075"),
    )
}  # fmt: skip
COBBLES_MM, GRAVEL_MM, FINES_MM = SIEVES["three"][1], SIEVES["no4"][1], SIEVES["no200"][1]
#: Sheets print 4.76 for 4.75, 0.074 for 0.075 and 76.2 for 75 mm: within this share it is the same sieve.
_SAME_SIEVE: Final = Decimal("0.02")
_HUNDRED: Final = Decimal(100)


@dataclass(frozen=True)
class Passing:
    """Percent of the dry mass that passes an opening, mm."""

    size_mm: Decimal
    passing_pct: Decimal


@dataclass(frozen=True)
class Fractions:
    """Percent of the dry mass: over 75 mm, gravel, sand, fines. Gravel, sand and fines are of what passes 75 mm."""

    oversize_75mm_pct: Decimal
    gravel_pct: Decimal
    sand_pct: Decimal
    fines_pct: Decimal


def in_order(gradation: Sequence[Passing]) -> tuple[Passing, ...]:
    """The gradation from coarse to fine. Raises `ImpossibleReading` where it cannot be one.

    Validity: sizes above zero and each once, percentages 0 to 100 that never rise towards finer sizes.
    Source: ASTM D6913, section on calculation (from memory).

    >>> [one.size_mm for one in in_order([Passing(Decimal("0.075"), Decimal(20)), Passing(Decimal(2), Decimal(90))])]
    [Decimal('2'), Decimal('0.075')]
    """
    ordered = tuple(sorted(gradation, key=lambda one: one.size_mm, reverse=True))
    for one in ordered:
        if one.size_mm <= 0 or not 0 <= one.passing_pct <= _HUNDRED:
            raise ImpossibleReading(
                "gradation-out-of-range",
                f"{one.passing_pct} % passing {one.size_mm:f} mm: sizes are above zero and percentages 0 to 100.",
                value=one.passing_pct,
                limit=_HUNDRED,
                unit="%",
            )
    for coarser, finer in pairwise(ordered):
        if coarser.size_mm == finer.size_mm or finer.passing_pct > coarser.passing_pct:
            raise ImpossibleReading(
                "gradation-rises",
                f"{finer.passing_pct} % pass {finer.size_mm:f} mm but {coarser.passing_pct} % pass "
                f"{coarser.size_mm:f} mm; each size stands once and no more can pass a finer one. Check both sieves.",
                value=finer.passing_pct,
                limit=coarser.passing_pct,
                unit="%",
            )
    return ordered


def passing_pct(gradation: Sequence[Passing], size_mm: Decimal) -> Decimal:
    """Percent that passes a sieve that was used, or that lies where the gradation does not change.

    Raises `NotEnoughReadings` ("sieve-not-tested") otherwise: a boundary of a classification is not guessed.
    Source: ASTM D2487, section on preparation for classification (from memory).

    >>> passing_pct([Passing(Decimal("4.75"), Decimal(92)), Passing(Decimal("0.075"), Decimal(48))], Decimal("4.75"))
    Decimal('92')
    """
    ordered = in_order(gradation)
    for one in ordered:
        if abs(one.size_mm - size_mm) <= _SAME_SIEVE * size_mm:
            return one.passing_pct
    coarser = [one for one in ordered if one.size_mm > size_mm]
    finer = [one for one in ordered if one.size_mm < size_mm]
    if finer and finer[0].passing_pct == (coarser[-1].passing_pct if coarser else _HUNDRED):
        return finer[0].passing_pct
    if coarser and coarser[-1].passing_pct == 0:
        return Decimal(0)
    raise NotEnoughReadings(
        "sieve-not-tested",
        f"The gradation has no sieve of {size_mm:f} mm. Give the percentage that passes it.",
        missing=(f"{size_mm:f} mm",),
    )


def size_at_mm(gradation: Sequence[Passing], percent: Decimal) -> Decimal:
    """The size (mm) than which `percent` is finer, on a straight line over the logarithm of the size.

    Validity: between the ends of the gradation. Where the gradation is level at `percent`, the finer end counts.
    Raises `NotEnoughReadings` ("size-beyond-gradation"). Source: ASTM D2487 clause 8.5 and D6913 (from memory).

    >>> size_at_mm([Passing(Decimal(10), Decimal(90)), Passing(Decimal("0.1"), Decimal(10))], Decimal(50))
    Decimal('1.000000000')
    """
    ordered = in_order(gradation)
    for finer, coarser in pairwise(reversed(ordered)):
        if finer.passing_pct <= percent <= coarser.passing_pct:
            if finer.passing_pct == percent:
                return finer.size_mm
            share = (percent - finer.passing_pct) / (coarser.passing_pct - finer.passing_pct)
            logarithm = finer.size_mm.ln() + share * (coarser.size_mm.ln() - finer.size_mm.ln())
            return quantise(logarithm.exp())
    raise NotEnoughReadings(
        "size-beyond-gradation",
        f"The size than which {percent:f} % is finer lies beyond the gradation. Test coarser or finer sizes (D7928).",
        missing=(f"D{percent:f}",),
    )


def uniformity_coefficient(*, d60_mm: Decimal, d10_mm: Decimal) -> Decimal:
    """Cu = D60 / D10 (mm over mm), a ratio. Validity: both above zero. Raises `ImpossibleReading`.

    Source: ASTM D2487 clause 3.2 and 8.5 (from memory).

    >>> round(uniformity_coefficient(d60_mm=Decimal("0.77"), d10_mm=Decimal("0.3")), 2)
    Decimal('2.57')
    """
    _sizes(d60_mm, d10_mm)
    return d60_mm / d10_mm


def curvature_coefficient(*, d60_mm: Decimal, d30_mm: Decimal, d10_mm: Decimal) -> Decimal:
    """Cc = D30^2 / (D10 D60), all in mm; a ratio. Validity: all above zero. Raises `ImpossibleReading`.

    Source: ASTM D2487 clause 3.2 and 8.5 (from memory).

    >>> round(curvature_coefficient(d60_mm=Decimal("0.77"), d30_mm=Decimal("0.41"), d10_mm=Decimal("0.3")), 2)
    Decimal('0.73')
    """
    _sizes(d60_mm, d30_mm, d10_mm)
    return d30_mm * d30_mm / (d10_mm * d60_mm)


def fractions(gradation: Sequence[Passing]) -> Fractions:
    """Gravel, sand and fines in percent of what passes 75 mm, and how much of the whole is larger.

    Raises `ImpossibleReading`, `NotEnoughReadings`. Source: ASTM D2487 clauses 3.1 and 6, the classification is of
    what passes 75 mm (from memory).

    >>> found = fractions([Passing(Decimal("4.75"), Decimal(92)), Passing(Decimal("0.075"), Decimal(48))])
    >>> (found.gravel_pct, found.sand_pct, found.fines_pct)
    (Decimal('8'), Decimal('44'), Decimal('48'))
    """
    ordered = in_order(gradation)
    larger = [one for one in ordered if one.size_mm >= COBBLES_MM * (1 - _SAME_SIEVE)]
    below_75mm = passing_pct(ordered, COBBLES_MM) if larger else _HUNDRED
    if below_75mm == 0:
        raise ImpossibleReading(
            "nothing-below-75mm", "Nothing passes 75 mm; D2487 classifies what does.", value=below_75mm, unit="%"
        )
    below_gravel = _HUNDRED * passing_pct(ordered, GRAVEL_MM) / below_75mm
    fines = _HUNDRED * passing_pct(ordered, FINES_MM) / below_75mm
    return Fractions(
        oversize_75mm_pct=_HUNDRED - below_75mm,
        gravel_pct=_HUNDRED - below_gravel,
        sand_pct=below_gravel - fines,
        fines_pct=fines,
    )


def _sizes(*sizes_mm: Decimal) -> None:
    if min(sizes_mm) <= 0:
        raise ImpossibleReading(
            "size-not-positive", f"A size of {min(sizes_mm)} mm: sizes are above zero.", value=min(sizes_mm), unit="mm"
        )
