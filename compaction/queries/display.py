"""Figures as the project shows them: densities in its unit, with the digits that the trade writes."""

from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from compaction.calculations.quantities import from_si

#: unit of the project -> step that densities are shown in (common practice, no source)
DENSITY_STEPS: Final = {
    "pcf": Decimal("0.1"),
    "kg/m3": Decimal("1"),
    "Mg/m3": Decimal("0.001"),
    "kN/m3": Decimal("0.01"),
}
PERCENT_STEP: Final = Decimal("0.1")


def in_display_units(figures: Mapping[str, Decimal], *, units: str) -> dict[str, dict[str, str]]:
    """Densities (kg/m3 inside) in `units` and percentages, rounded for reading only; other figures are left out."""
    shown: dict[str, dict[str, str]] = {}
    for name, value in figures.items():
        if name.endswith("_kgm3"):
            step, unit = DENSITY_STEPS[units], units
            shown[name.removesuffix("_kgm3")] = {"value": _text(from_si(value, units), step), "unit": unit}
        elif name.endswith("_pct") or name in ("percent_compaction", "percent_compaction_judged"):
            shown[name.removesuffix("_pct")] = {"value": _text(value, PERCENT_STEP), "unit": "%"}
    return shown


def _text(value: Decimal, step: Decimal) -> str:
    return format(value.quantize(step, rounding=ROUND_HALF_EVEN) if abs(value) < Decimal("1e15") else value, "f")
