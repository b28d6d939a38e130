"""Acceptance constants k of "mean less k standard deviations", by number of tests: data, each table with its source.

The contract's own table is entered with the lot; these are two that can be named instead. Replace or add a table here
and its source with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import sqrt
from typing import Final

from scipy.special import nctdtrit, ndtri

from compaction.calculations.errors import OutsideValidity


@dataclass(frozen=True)
class ConstantTable:
    """Number of tests -> k, and where that comes from."""

    title: str
    source: str
    by_tests: tuple[tuple[int, Decimal], ...]


def k_by_risk(*, tests: int, share_below_pct: Decimal, producer_risk_pct: Decimal) -> Decimal:
    """The constant k (a ratio) at which a normal lot with `share_below_pct` under the limit is refused with the chance
    `producer_risk_pct`.

    Percentile of the non-central t distribution with tests - 1 degrees of freedom and non-centrality z sqrt(tests),
    over sqrt(tests), to three decimals. Validity: 2 tests and more, both percentages above 0 and below 50. Raises
    `OutsideValidity`. Source: variables acceptance with unknown spread, ISO 3951-1 (from memory); for 10 and 10 % the
    values are those used in Australian road practice for 3, 4 and 6 tests (0.535, 0.617, 0.719; from memory).

    >>> k_by_risk(tests=6, share_below_pct=Decimal(10), producer_risk_pct=Decimal(10))
    Decimal('0.719')
    """
    if tests < 2:
        raise OutsideValidity("lot-too-small", f"{tests} tests have no spread; k needs two.", value=Decimal(tests))
    for percent in (share_below_pct, producer_risk_pct):
        if not 0 < percent < 50:
            raise OutsideValidity(
                "risk-out-of-range", f"{percent} % is not between 0 and 50 %.", value=percent, limit=Decimal(50)
            )
    away = float(ndtri(1 - float(share_below_pct) / 100)) * sqrt(tests)
    found = float(nctdtrit(tests - 1, away, float(producer_risk_pct) / 100)) / sqrt(tests)
    return round(Decimal(repr(found)), 3)


TABLES: Final[Mapping[str, ConstantTable]] = {
    "six_tests": ConstantTable(
        "0.92 for six tests",
        "characteristic density ratio of a lot of six tests, practice in Victoria, Australia (from memory)",
        ((6, Decimal("0.92")),),
    ),
    "producer_risk_10": ConstantTable(
        "10 % below the limit refused one time in ten",
        "non-central t distribution, 10 % of the lot below the limit, producer's risk 10 % (worked out; ISO 3951-1 "
        "from memory)",
        tuple(
            (number, k_by_risk(tests=number, share_below_pct=Decimal(10), producer_risk_pct=Decimal(10)))
            for number in range(3, 31)
        ),
    ),
}


def k_for(tests: int, table: Sequence[tuple[int, Decimal]]) -> Decimal:
    """The entry of a table for a number of tests, a ratio; nothing is interpolated. Raises `OutsideValidity`.

    Source: common practice (no source).

    >>> k_for(6, TABLES["six_tests"].by_tests)
    Decimal('0.92')
    """
    for number, k in table:
        if number == tests:
            return k
    known = ", ".join(str(number) for number, _ in table)
    raise OutsideValidity(
        "no-k-for-number",
        f"There is no k for {tests} tests; the lot's table has it for {known}. Test until one of these is reached, or "
        "declare a table that has it.",
        value=Decimal(tests),
    )
