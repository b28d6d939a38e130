"""What the pairs of one key say: each quantity compared by itself, judged by a rule, with a correction proposed."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from compaction.calculations import comparison_rules, paired_comparison
from compaction.calculations.comparison_rules import OUTSIDE, TOO_FEW, WITHIN, ComparisonRule, Judged
from compaction.calculations.paired_comparison import Comparison, Pair
from compaction.calculations.quantities import from_si
from compaction.evaluation.gauge_pairs import QUANTITIES, SpotPair, as_pairs
from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey
from projects import canonical

FEWEST: Final = 3
#: unit -> how finely a correction is written (readability of the display: common practice, no source)
STEPS: Final = {
    "pcf": Decimal("0.1"),
    "kg/m3": Decimal("1"),
    "Mg/m3": Decimal("0.001"),
    "kN/m3": Decimal("0.01"),
    "%": Decimal("0.1"),
}


@dataclass(frozen=True)
class QuantityCompared:
    """One quantity of one key. `found` is None with fewer than three pairs."""

    quantity: str
    unit: str
    pairs: tuple[Pair, ...]
    found: Comparison | None
    judged: Judged


@dataclass(frozen=True)
class GaugeComparison:
    """Everything that the pairs of a key say under a rule. `digest` names the figures a person looked at."""

    key: GaugeKey
    rule: ComparisonRule
    pairs: tuple[SpotPair, ...]
    gauge_tests: int
    quantities: tuple[QuantityCompared, ...]
    digest: str

    @property
    def verdict(self) -> str:
        """The worst of wet density and water content: outside before too few before within."""
        found = {one.judged.verdict for one in self.quantities if one.quantity != "water_per_volume"}
        return next((one for one in (OUTSIDE, TOO_FEW, WITHIN) if one in found), TOO_FEW)

    def of(self, quantity: str) -> QuantityCompared:
        """One quantity by name."""
        return next(one for one in self.quantities if one.quantity == quantity)

    @property
    def with_offset_in_display(self) -> int:
        """How many of the pairs were read with an offset in the display already."""
        return sum(1 for pair in self.pairs if pair.offset_in_display)

    @property
    def direct_tests_short(self) -> int | None:
        """How many direct tests the rule still wants for the gauge tests made; None where it names no share."""
        if self.rule.gauge_tests_per_direct is None:
            return None
        wanted = -(-self.gauge_tests // self.rule.gauge_tests_per_direct)
        have = sum(1 for pair in self.pairs if pair.counts and pair.direct)
        return max(0, wanted - have)


def compare(key: GaugeKey, pairs: Sequence[SpotPair], *, rule: ComparisonRule, gauge_tests: int = 0) -> GaugeComparison:
    """Compare the pairs of one key. Raises `ValueError` for a pair of another key: nothing leaks."""
    strange = [pair for pair in pairs if pair.key != key]
    if strange:
        raise ValueError(f"{len(strange)} pairs belong to another key than {key}.")
    ordered = tuple(sorted(pairs, key=lambda pair: (pair.performed_at, pair.gauge, pair.direct)))
    quantities = tuple(_compared(ordered, quantity, unit, rule) for quantity, unit in QUANTITIES.items())
    return GaugeComparison(key, rule, ordered, gauge_tests, quantities, _digest(key, ordered, rule))


def _compared(pairs: Sequence[SpotPair], quantity: str, unit: str, rule: ComparisonRule) -> QuantityCompared:
    found = as_pairs(pairs, quantity)
    said = paired_comparison.compare(found, pairs_wanted=rule.pairs_wanted) if len(found) >= FEWEST else None
    return QuantityCompared(quantity, unit, tuple(found), said, comparison_rules.judge(found, said, by=rule, unit=unit))


def _digest(key: GaugeKey, pairs: Sequence[SpotPair], rule: ComparisonRule) -> str:
    return canonical.digest(
        {
            "key": [key.gauge, key.reference, key.mode, key.notch],
            "rule": rule.code,
            "pairs": [
                [
                    pair.gauge,
                    pair.direct,
                    pair.counts,
                    *(
                        None if side is None else f"{side:.6f}"
                        for quantity in QUANTITIES
                        for side in pair.sides(quantity)
                    ),
                ]
                for pair in pairs
            ],
        }
    )


@dataclass(frozen=True)
class Proposal:
    """What the pairs propose to add to the display, as quantities with their unit; empty where nothing is to be."""

    density_offset: str = ""
    water_offset: str = ""

    @property
    def anything(self) -> bool:
        """Whether the pairs ask for any correction."""
        return bool(self.density_offset or self.water_offset)


def propose(found: GaugeComparison, *, density_unit: str) -> Proposal:
    """The constants that would bring the means together, where the rule is not met and the bias is shown.

    Water goes in the unit that the gauge displays: per volume where every pair that counts shows it so, else points.
    """
    wet, points, mass = (found.of(name) for name in ("wet_density", "water_content", "water_per_volume"))
    per_volume = bool(mass.pairs) and len(mass.pairs) == len(points.pairs)
    return Proposal(
        density_offset=_constant(wet, density_unit),
        water_offset=_constant(mass, density_unit, asked=points) if per_volume else _constant(points, "%"),
    )


def _constant(compared: QuantityCompared, unit: str, *, asked: QuantityCompared | None = None) -> str:
    if compared.found is None or (asked or compared).judged.verdict != OUTSIDE:
        return ""
    constant = paired_comparison.proposed_constant(compared.found)
    if constant is None:
        return ""
    shown = (constant if unit == "%" else from_si(constant, unit)).quantize(STEPS[unit], rounding=ROUND_HALF_EVEN)
    return f"{shown} {unit}" if shown else ""


def left_over(compared: QuantityCompared, correction: GaugeCorrectionFacts) -> Decimal | None:
    """The mean difference that remains with a correction added to the display; None for factors, other quantities."""
    constant = {
        "wet_density": correction.density_offset_kgm3,
        "water_content": correction.water_offset_pct,
        "water_per_volume": correction.water_offset_kgm3,
    }[compared.quantity]
    return None if compared.found is None or constant is None else compared.found.mean_difference + constant
