"""How stations are written: 12+34.56 (blocks of 100) or 1+234.56 (blocks of 1000), by integer arithmetic."""

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal


@dataclass(frozen=True)
class StationFormat:
    """`digits_after_plus` is 2 (12+34.56) or 3 (1+234.56); `decimals` behind the point, usually 2."""

    digits_after_plus: int = 2
    decimals: int = 2

    def __post_init__(self) -> None:
        if self.digits_after_plus not in (2, 3):
            raise ValueError(f"{self.digits_after_plus} digits after the plus: only 2 (12+34) and 3 (1+234) are used.")
        if not 0 <= self.decimals <= 4:
            raise ValueError(f"{self.decimals} decimals: between 0 and 4 are possible.")

    @property
    def block(self) -> int:
        """Length of a full station in the alignment's unit: 100 or 1000."""
        return int(10**self.digits_after_plus)

    def text(self, station: Decimal) -> str:
        """A displayed station as text. 99.999 gives 1+00.00; -50 gives -0+50.00.

        The value is rounded once (half to even), then split as a whole number of the smallest unit, so
        the part behind the plus can never reach a full block.
        """
        smallest = int(station.scaleb(self.decimals).to_integral_value(rounding=ROUND_HALF_EVEN))
        sign = "-" if smallest < 0 else ""
        whole, rest = divmod(abs(smallest), self.block * int(10**self.decimals))
        return f"{sign}{whole}+{self._behind_plus(rest, self.digits_after_plus)}"

    def kilometre_text(self, *, kilometre: int, metres: Decimal) -> str:
        """A label in a kilometre system with unequal kilometres: 27+1000.20 stays as it is."""
        smallest = int(metres.scaleb(self.decimals).to_integral_value(rounding=ROUND_HALF_EVEN))
        sign = "-" if smallest < 0 else ""
        return f"{kilometre}+{sign}{self._behind_plus(abs(smallest), self.digits_after_plus)}"

    def _behind_plus(self, smallest: int, digits: int) -> str:
        whole, fraction = divmod(smallest, int(10**self.decimals))
        shown = f"{whole:0{digits}d}"
        return f"{shown}.{fraction:0{self.decimals}d}" if self.decimals else shown
