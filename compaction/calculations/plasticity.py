"""The plasticity chart: A-line, U-line, what fines are called by liquid limit and plasticity index, organic fines."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings

#: ratio of liquid limits, oven dried over not dried, below which fines are organic (D2487 clause 11.3.2, from memory)
ORGANIC_RATIO: Final = Decimal("0.75")


@dataclass(frozen=True)
class Limits:
    """Liquid limit and plasticity index of what passes No. 40, percent; `non_plastic` where there is none."""

    liquid_limit_pct: Decimal | None = None
    plasticity_index_pct: Decimal | None = None
    non_plastic: bool = False
    liquid_limit_oven_dried_pct: Decimal | None = None


def a_line_pct(liquid_limit_pct: Decimal) -> Decimal:
    """Plasticity index on the A-line, percent: 4 up to a liquid limit of 25.5, then 0.73 (LL - 20).

    Validity: any liquid limit, percent. Source: ASTM D2487 figure 4 (from memory).

    >>> a_line_pct(Decimal(42))
    Decimal('16.06')
    """
    return max(Decimal(4), Decimal("0.73") * (liquid_limit_pct - 20))


def u_line_pct(liquid_limit_pct: Decimal) -> Decimal:
    """Plasticity index on the U-line, percent: 7 up to a liquid limit of 16, then 0.9 (LL - 8). Limits above it are
    doubtful. Validity: any liquid limit, percent. Source: ASTM D2487 figure 4 (from memory).

    >>> u_line_pct(Decimal(48))
    Decimal('36.0')
    """
    return max(Decimal(7), Decimal("0.9") * (liquid_limit_pct - 8))


def fines_symbol(limits: Limits) -> str:
    """ML, CL, CL-ML, MH or CH by the plasticity chart, whatever is organic.

    Validity: 0 <= PI <= LL. Raises `NotEnoughReadings` ("limits-missing"), `ImpossibleReading`
    ("limits-impossible"). Source: ASTM D2487 clauses 11.1 and 11.2, figure 4 (from memory).

    >>> fines_symbol(Limits(Decimal(25), Decimal(5)))
    'CL-ML'
    """
    if limits.non_plastic:
        return "ML"
    liquid, plasticity = limits.liquid_limit_pct, limits.plasticity_index_pct
    if liquid is None or plasticity is None:
        raise NotEnoughReadings(
            "limits-missing",
            "The fines are named by the plasticity chart: give liquid limit and plasticity index, or say that the "
            "soil is non-plastic.",
            missing=("liquid_limit", "plastic_limit"),
        )
    if not 0 <= plasticity <= liquid:
        raise ImpossibleReading(
            "limits-impossible",
            f"A plasticity index of {plasticity} % does not lie between 0 and the liquid limit of {liquid} %. "
            "Check both limits.",
            value=plasticity,
            limit=liquid,
            unit="%",
        )
    above = plasticity >= a_line_pct(liquid)
    if liquid >= 50:
        return "CH" if above else "MH"
    if above and plasticity > 7:
        return "CL"
    return "CL-ML" if above and plasticity >= 4 else "ML"


def is_organic(limits: Limits) -> bool:
    """Whether oven drying takes more than a quarter off the liquid limit; no where one of the two is not known.

    Source: ASTM D2487 clause 11.3.2 (from memory).

    >>> is_organic(Limits(Decimal(32), Decimal(10), liquid_limit_oven_dried_pct=Decimal(21)))
    True
    """
    liquid, dried = limits.liquid_limit_pct, limits.liquid_limit_oven_dried_pct
    return liquid is not None and dried is not None and liquid > 0 and dried / liquid < ORGANIC_RATIO
