"""The project's words and units on axes. Values come in SI and leave as plain floats for drawing."""

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from compaction.calculations.quantities import from_si

_SYMBOLS = {"pcf": "pcf", "kg/m3": "kg/m³", "Mg/m3": "Mg/m³", "kN/m3": "kN/m³"}


@dataclass(frozen=True)
class Scale:
    """`unit` is that of densities, `step` how finely they are written, `words` us or si."""

    unit: str
    step: Decimal
    words: str = "us"

    def density(self, density_kgm3: Decimal | float) -> float:
        """A density in the project's unit, for drawing."""
        return float(from_si(Decimal(str(density_kgm3)), self.unit))

    def density_text(self, density_kgm3: Decimal) -> str:
        """A density as written beside a mark, with its unit."""
        return f"{from_si(density_kgm3, self.unit).quantize(self.step, rounding=ROUND_HALF_EVEN)} {self.symbol}"

    @property
    def symbol(self) -> str:
        return _SYMBOLS[self.unit]

    @property
    def density_axis(self) -> str:
        return f"Dry {'unit weight' if self.unit == 'kN/m3' else 'density'} ({self.symbol})"

    @property
    def water_axis(self) -> str:
        return f"{'Moisture' if self.words == 'us' else 'Water'} content (% of dry mass)"

    @property
    def percent_axis(self) -> str:
        return f"{'Percent' if self.words == 'us' else 'Degree of'} compaction (%)"

    @property
    def curve_name(self) -> str:
        return "Proctor" if self.words == "us" else "Compaction curve"


def signed(value: Decimal) -> str:
    """A deviation with its sign, without idle zeros: +3, -2, 0."""
    text = f"{value:+f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("+0", "-0") else text.replace("-", "−")


def plain(value: Decimal) -> str:
    """A number without idle zeros: 95, 94.6."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
