"""Soil classification by ASTM D2487: group symbol and group name, with the way that leads there.

The flow follows the standard's figures 1 to 3 and table 1, written from memory of the 2017 edition: figure 1 names
fine-grained soils, figure 2 organic ones, figure 3 coarse-grained ones, figure 4 is the plasticity chart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations import gradation as grain
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.gradation import Passing
from compaction.calculations.plasticity import ORGANIC_RATIO, Limits, a_line_pct, fines_symbol, is_organic

_HUNDRED: Final = Decimal(100)
_SAME: Final = Decimal("0.98")  # 76.2 and 74 mm are taken as the sieve of 75 mm
_WORDS: Final = {
    "CL": "lean clay", "ML": "silt", "CL-ML": "silty clay", "CH": "fat clay", "MH": "elastic silt",
    "GW": "well-graded gravel", "GP": "poorly graded gravel", "SW": "well-graded sand", "SP": "poorly graded sand",
    "GM": "silty gravel", "GC": "clayey gravel", "GC-GM": "silty, clayey gravel",
    "SM": "silty sand", "SC": "clayey sand", "SC-SM": "silty, clayey sand",
}  # fmt: skip


@dataclass(frozen=True)
class Classification:
    """Group symbol, group name and, in words, each branch that was taken."""

    group_symbol: str
    group_name: str
    way: tuple[str, ...]


def classify(
    *,
    gravel_pct: Decimal,
    sand_pct: Decimal,
    fines_pct: Decimal,
    limits: Limits,
    uniformity: Decimal | None = None,
    curvature: Decimal | None = None,
    peat: bool = False,
) -> Classification:
    """Group symbol and name from the fractions of what passes 75 mm (percent), limits, Cu and Cc.

    Validity: fractions that add to 100 %. Raises `ImpossibleReading`, `NotEnoughReadings` where a branch needs what is
    not known ("limits-missing", "coefficients-missing"). Source: ASTM D2487 figures 1 to 3 (from memory).

    >>> classify(gravel_pct=Decimal(8), sand_pct=Decimal(44), fines_pct=Decimal(48),
    ...     limits=Limits(Decimal(30), Decimal(8))).group_name
    'clayey sand'
    """
    if peat:
        return Classification("PT", "peat", ("Mainly organic matter, dark, with an organic smell: peat.",))
    if min(gravel_pct, sand_pct, fines_pct) < 0 or abs(gravel_pct + sand_pct + fines_pct - _HUNDRED) > Decimal("0.5"):
        raise ImpossibleReading(
            "fractions-do-not-add-up",
            f"Gravel {gravel_pct:.1f}, sand {sand_pct:.1f} and fines {fines_pct:.1f} % do not make 100 %.",
            value=gravel_pct + sand_pct + fines_pct,
            limit=_HUNDRED,
            unit="%",
        )
    if fines_pct >= 50:
        return _fine(gravel_pct, sand_pct, fines_pct, limits)
    return _coarse(gravel_pct, sand_pct, fines_pct, limits, uniformity, curvature)


def classify_sample(gradation: Sequence[Passing], *, limits: Limits, peat: bool = False) -> Classification:
    """The same from a gradation: fractions, Cu and Cc are worked out, larger stones are added to the name.

    Raises `ImpossibleReading`, `NotEnoughReadings`. Source: ASTM D2487 clauses 8 to 12 and table 1, note on cobbles
    and boulders (from memory).

    >>> classify_sample([Passing(Decimal("4.75"), Decimal(92)), Passing(Decimal("0.075"), Decimal(48))],
    ...     limits=Limits(Decimal(30), Decimal(8))).group_symbol
    'SC'
    """
    if peat:
        return classify(gravel_pct=_HUNDRED, sand_pct=Decimal(0), fines_pct=Decimal(0), limits=limits, peat=True)
    parts = grain.fractions(gradation)
    uniformity, curvature = coefficients(gradation)
    found = classify(
        gravel_pct=parts.gravel_pct,
        sand_pct=parts.sand_pct,
        fines_pct=parts.fines_pct,
        limits=limits,
        uniformity=uniformity,
        curvature=curvature,
    )
    if parts.oversize_75mm_pct == 0:
        return found
    stones = "cobbles" if _passes_300mm(gradation) else "cobbles and boulders"
    joint = "" if " with " not in found.group_name else ", "
    name = f"{found.group_name}{joint or ' with '}{stones}"
    why = f"{parts.oversize_75mm_pct:.0f} % of the whole is larger than 75 mm: {stones}."
    return Classification(found.group_symbol, name, (*found.way, why))


def coefficients(gradation: Sequence[Passing]) -> tuple[Decimal | None, Decimal | None]:
    """Cu and Cc of a gradation; None where D10, D30 or D60 lies beyond it. Raises `ImpossibleReading`.

    They are of what passes 75 mm. Source: ASTM D2487 clause 8.5 (from memory).

    >>> coefficients([Passing(Decimal(2), Decimal(90)), Passing(Decimal("0.075"), Decimal(48))])
    (None, None)
    """
    parts = grain.in_order(gradation)
    below = next((one.passing_pct for one in reversed(parts) if one.size_mm >= grain.COBBLES_MM * _SAME), _HUNDRED)
    try:
        d10, d30, d60 = (grain.size_at_mm(parts, share * below / _HUNDRED) for share in map(Decimal, (10, 30, 60)))
    except NotEnoughReadings:
        return None, None
    return (
        grain.uniformity_coefficient(d60_mm=d60, d10_mm=d10),
        grain.curvature_coefficient(d60_mm=d60, d30_mm=d30, d10_mm=d10),
    )


def _passes_300mm(gradation: Sequence[Passing]) -> bool:
    larger = [one for one in gradation if one.size_mm >= 300 * _SAME]
    return not larger or min(larger, key=lambda one: one.size_mm).passing_pct == _HUNDRED


def _fine(gravel: Decimal, sand: Decimal, fines: Decimal, limits: Limits) -> Classification:
    symbol = fines_symbol(limits)
    way = [f"{fines:.0f} % pass No. 200, half or more: fine-grained.", _chart_words(limits, symbol)]
    base = _WORDS[symbol]
    if is_organic(limits):
        base = "organic clay" if symbol in ("CL", "CL-ML", "CH") else "organic silt"
        symbol = "OH" if symbol in ("CH", "MH") else "OL"
        way.append(f"Oven drying lowers the liquid limit below {ORGANIC_RATIO} of it: organic.")
    coarse = _HUNDRED - fines
    mostly_sand = sand >= gravel
    if coarse < 15:
        name = base
    elif coarse < 30:
        name = f"{base} with {'sand' if mostly_sand else 'gravel'}"
    else:
        name = f"{'sandy' if mostly_sand else 'gravelly'} {base}"
        if (gravel if mostly_sand else sand) >= 15:
            name += " with gravel" if mostly_sand else " with sand"
    way.append(f"{coarse:.0f} % is coarser than No. 200: {sand:.0f} % sand, {gravel:.0f} % gravel.")
    return Classification(symbol, name, tuple(way))


def _coarse(
    gravel: Decimal,
    sand: Decimal,
    fines: Decimal,
    limits: Limits,
    uniformity: Decimal | None,
    curvature: Decimal | None,
) -> Classification:
    letter, other, least = ("G", sand, 4) if gravel > sand else ("S", gravel, 6)
    kind, beside = ("gravel", "sand") if letter == "G" else ("sand", "gravel")
    way = [
        f"{fines:.0f} % pass No. 200, less than half: coarse-grained.",
        f"{gravel:.0f} % gravel and {sand:.0f} % sand: {kind}.",
    ]
    grading = _grading(letter, least, fines, uniformity, curvature, way) if fines <= 12 else ""
    chart = ""
    if fines >= 5:
        chart = fines_symbol(limits)
        way.append(_chart_words(limits, chart))
    if fines < 5:
        symbol = grading
        name, joint = _WORDS[symbol], " with "
    elif fines <= 12:
        symbol = f"{grading}-{letter}{'M' if chart in ('ML', 'MH') else 'C'}"
        second = {"ML": "silt", "MH": "silt", "CL-ML": "silty clay"}.get(chart, "clay")
        name, joint = f"{_WORDS[grading]} with {second}", " and "
    else:
        symbol = f"{letter}C-{letter}M" if chart == "CL-ML" else f"{letter}{'M' if chart in ('ML', 'MH') else 'C'}"
        name, joint = _WORDS[symbol], " with "
    if fines >= 5 and is_organic(limits):
        name, joint = f"{name}{joint}organic fines", " and "
    if other >= 15:
        name += f"{joint}{beside}"
        way.append(f"{other:.0f} % {beside}, 15 or more: named beside.")
    return Classification(symbol, name, tuple(way))


def _grading(
    letter: str, least: int, fines: Decimal, uniformity: Decimal | None, curvature: Decimal | None, way: list[str]
) -> str:
    """GW, GP, SW or SP by Cu and Cc."""
    if uniformity is None or curvature is None:
        raise NotEnoughReadings(
            "coefficients-missing",
            f"With {fines:.0f} % fines the grading counts, and D10, D30 and D60 are not all within the gradation. "
            "Test finer sizes (hydrometer, D7928).",
            missing=("uniformity", "curvature"),
        )
    well = uniformity >= least and 1 <= curvature <= 3
    way.append(
        f"Cu {uniformity:.1f} (at least {least} wanted) and Cc {curvature:.2f} (1 to 3 wanted): "
        f"{'well' if well else 'poorly'} graded."
    )
    return f"{letter}{'W' if well else 'P'}"


def _chart_words(limits: Limits, symbol: str) -> str:
    if limits.non_plastic:
        return "Non-plastic: silty fines."
    liquid, plasticity = limits.liquid_limit_pct, limits.plasticity_index_pct
    assert liquid is not None
    return f"Liquid limit {liquid} %, plasticity index {plasticity} %, A-line at {a_line_pct(liquid):.1f} %: {symbol}."
