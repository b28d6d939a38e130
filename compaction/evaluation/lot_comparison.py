"""The contractor's tests of a lot against the owner's: pair by pair where they were made beside one another, and as
two samples. It supports or does not support the use of the contractor's tests; it changes no verdict."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import CalculationError
from compaction.calculations.lot_declaration import LotFacts
from compaction.calculations.paired_comparison import Comparison, Pair, compare
from compaction.calculations.rounding import plain_number
from compaction.calculations.two_sample_comparison import TwoSamples, compare_samples
from compaction.evaluation.lot_membership import Member

CONTRACTOR: Final = frozenset({"quality_control"})
OWNER: Final = frozenset({"acceptance", "verification"})
_FEWEST: Final = 3
_OF_NO_MATTER: Final = frozenset({"voided", "made-before", "made-after-closing", "outside-days", "exempt", "held"})


@dataclass(frozen=True)
class LotComparison:
    """What pairs and samples say, in the unit of the quantity (percent or kg/m3); None where there are too few."""

    quantity: str
    pairs: tuple[tuple[str, str, Decimal, Decimal], ...]  # names and figures: checked, reference
    paired: Comparison | None
    samples: TwoSamples | None
    sentences: tuple[str, ...]


def compare_lot(facts: LotFacts, found: Sequence[Member]) -> LotComparison | None:
    """Pairs and samples of the lot; None where there is neither a pair nor a test of each side."""
    quantity = facts.rules[0].quantity
    usable = {
        one.test.uuid: one.test
        for one in found
        if one.code not in _OF_NO_MATTER and quantity in one.test.values
    }  # fmt: skip
    pairs = []
    for test in usable.values():
        other = usable.get(test.check_of)
        if other is not None:
            checked, reference = (test, other) if test.purpose in CONTRACTOR else (other, test)
            pairs.append((checked.name, reference.name, checked.values[quantity], reference.values[quantity]))
    sides = [
        [
            test.values[quantity]
            for test in usable.values()
            if test.purpose in side and not test.retest_of and not test.check_of
        ]
        for side in (CONTRACTOR, OWNER)
    ]
    if not pairs and not all(sides):
        return None
    sentences: list[str] = []
    paired = samples = None
    risk = facts.comparison_risk_pct
    if len(pairs) >= _FEWEST:
        paired = compare(
            [Pair(checked, one, other) for checked, _, one, other in pairs],
            confidence_pct=100 - risk,
            pairs_wanted=_FEWEST,
        )
        sentences.append(_of_pairs(paired, risk, facts))
    elif pairs:
        sentences.append(f"{_many(len(pairs), 'pair')} made beside one another; {_FEWEST} allow a comparison.")
    if all(sides):
        try:
            samples = compare_samples(*sides, risk_pct=risk)
            sentences.append(_of_samples(samples))
        except CalculationError as error:
            sentences.append(error.sentence)
    return LotComparison(quantity, tuple(pairs), paired, samples, tuple(sentences))


def _many(count: int, name: str) -> str:
    return f"{count} {name}{'' if count == 1 else 's'}"


def _of_pairs(found: Comparison, risk: Decimal, facts: LotFacts) -> str:
    unit = "%" if facts.rules[0].unit == "%" else "kg/m³"
    agrees = "differ beyond chance" if found.biased else "agree"
    t = (
        f"t {plain_number(found.t, decimals=3)}, p {plain_number(found.p_value, decimals=4)}, "
        if found.t is not None
        else ""
    )
    return (
        f"{_many(found.pairs, 'pair')}: mean difference {plain_number(found.mean_difference, decimals=3)} {unit} "
        f"({plain_number(100 - risk)} % confidence {plain_number(found.confidence_low, decimals=3)} to "
        f"{plain_number(found.confidence_high, decimals=3)}), {t}risk {plain_number(risk)} %: the two {agrees}."
    )


def _of_samples(found: TwoSamples) -> str:
    f = "F without end" if found.f is None else f"F {plain_number(found.f, decimals=3)}"
    t = "t without end" if found.t is None else f"t {plain_number(found.t, decimals=3)}"
    spreads = "agree" if found.spreads_agree else "differ"
    means = "agree" if found.means_agree else "differ"
    supported = "support" if found.spreads_agree and found.means_agree else "do not support"
    return (
        f"{found.tests[0]} tests of quality control and {found.tests[1]} of the owner, risk "
        f"{plain_number(found.risk_pct)} %: {f} (critical {plain_number(found.f_critical, decimals=3)}), the spreads "
        f"{spreads}; {t} (critical {plain_number(found.t_critical, decimals=3)}, "
        f"{'pooled' if found.pooled else 'Welch'}), the means {means}. The owner's tests {supported} the contractor's."
    )
