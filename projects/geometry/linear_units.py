"""The three length units that alignments and map grids are written in, with their exact factors."""

from dataclasses import dataclass
from decimal import Decimal


class UnknownLinearUnit(ValueError):
    """The unit is not one of metre, international foot, US survey foot."""


@dataclass(frozen=True)
class LinearUnit:
    """A length unit: `code` as stored, `symbol` as shown, `metres` exact (28 digits for the survey foot)."""

    code: str
    symbol: str
    name: str
    metres: Decimal

    def to_metres(self, length: Decimal) -> Decimal:
        """A length in this unit as metres."""
        return length * self.metres

    def from_metres(self, length_m: Decimal) -> Decimal:
        """A length in metres as this unit."""
        return length_m / self.metres


METRE = LinearUnit("m", "m", "metre", Decimal(1))
# 1 ft = 0.3048 m exactly; US survey foot = 1200/3937 m (NIST and NOAA notice, 85 FR 62698, 5 October 2020).
FOOT = LinearUnit("ft", "ft", "international foot", Decimal("0.3048"))
US_SURVEY_FOOT = LinearUnit("ftUS", "ft", "US survey foot", Decimal(1200) / Decimal(3937))

LINEAR_UNITS = {unit.code: unit for unit in (METRE, FOOT, US_SURVEY_FOOT)}


def linear_unit(code: str) -> LinearUnit:
    """The unit with this code (`m`, `ft`, `ftUS`). Raises `UnknownLinearUnit`."""
    try:
        return LINEAR_UNITS[code]
    except KeyError:
        raise UnknownLinearUnit(
            f"The length unit “{code}” is not known. Use m (metre), ft (international foot) or ftUS (US survey foot)."
        ) from None
