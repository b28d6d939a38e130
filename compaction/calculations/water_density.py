"""Density of water by temperature over the whole range of field and laboratory, 0 to 40 deg C.

Calibration of moulds has a table of its own (`calibration.water_density_kgm3`, ARIZ 225b); the two agree within
0.05 kg/m3, which a test shows.
"""

from decimal import Decimal
from typing import Final

from compaction.calculations.errors import OutsideValidity

COLDEST_DEGC: Final = Decimal(0)
WARMEST_DEGC: Final = Decimal(40)
# Constants of the formula in the order of its source.
_A1, _A2, _A3, _A4, _A5 = (Decimal(text) for text in ("-3.983035", "301.797", "522528.9", "69.34881", "999.974950"))


def water_density_at_kgm3(*, temperature_degc: Decimal) -> Decimal:
    """Density of pure water free of air, kg/m3: a5 [1 - (t + a1)^2 (t + a2) / (a3 (t + a4))].

    Validity: 0 to 40 deg C. Raises `OutsideValidity`. Source: Tanaka, Girard, Davis, Peuto and Bignell, Recommended
    table for the density of water, Metrologia 38 (2001), 301-309 (from memory).

    >>> round(water_density_at_kgm3(temperature_degc=Decimal(20)), 3)
    Decimal('998.207')
    """
    if not COLDEST_DEGC <= temperature_degc <= WARMEST_DEGC:
        raise OutsideValidity(
            "water-temperature-out-of-range",
            f"Water at {temperature_degc:.1f} deg C is outside the {COLDEST_DEGC} to {WARMEST_DEGC} deg C for which "
            "its density is given. Check the temperature and its unit.",
            value=temperature_degc,
            limit=WARMEST_DEGC if temperature_degc > WARMEST_DEGC else COLDEST_DEGC,
            unit="degC",
        )
    t = temperature_degc
    return _A5 * (1 - (t + _A1) ** 2 * (t + _A2) / (_A3 * (t + _A4)))
