"""How many pairs a gauge is compared on and how far it may lie from the direct tests, as data by agency.

A rule holds no calculation of its own: `judge` sets what the pairs say (`paired_comparison`) against it. A rule without
an allowed difference wants every bias that is shown to be corrected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from compaction.calculations.errors import OutsideValidity
from compaction.calculations.paired_comparison import Comparison, Pair
from compaction.calculations.quantities import from_si, to_si
from compaction.calculations.rounding import plain_number


@dataclass(frozen=True)
class ComparisonRule:
    """One rule. Differences in kg/m3 for wet density and in points for water content; None: none is allowed for."""

    code: str
    title: str
    source: str
    pairs_wanted: int
    allowed_mean_kgm3: Decimal | None = None
    allowed_single_kgm3: Decimal | None = None
    allowed_mean_pct: Decimal | None = None
    allowed_single_pct: Decimal | None = None
    gauge_tests_per_direct: int | None = None


def _pcf(text: str) -> Decimal:
    return to_si(Decimal(text), "pcf")


RULES: Final = MappingProxyType(
    {
        "att-48": ComparisonRule(
            code="att-48",
            title="Alberta ATT-48/95",
            source="Alberta Transportation ATT-48/95 (read): ten sites, anew for every gauge, soil and lift",
            pairs_wanted=10,
        ),
        "common": ComparisonRule(
            code="common",
            title="Common practice",
            source="common practice (no source): five pairs or more, mean within 2 lb/ft3, none beyond 4 lb/ft3; water "
            "within a point; one direct test to fifteen by gauge",
            pairs_wanted=5,
            allowed_mean_kgm3=_pcf("2"),
            allowed_single_kgm3=_pcf("4"),
            allowed_mean_pct=Decimal("1"),
            allowed_single_pct=Decimal("2"),
            gauge_tests_per_direct=15,
        ),
        "strict": ComparisonRule(
            code="strict",
            title="Strict practice",
            source="common practice (no source): ten pairs or more, mean within 1 lb/ft3, none beyond 3 lb/ft3; water "
            "within half a point; one direct test to ten by gauge",
            pairs_wanted=10,
            allowed_mean_kgm3=_pcf("1"),
            allowed_single_kgm3=_pcf("3"),
            allowed_mean_pct=Decimal("0.5"),
            allowed_single_pct=Decimal("1"),
            gauge_tests_per_direct=10,
        ),
    }
)
DEFAULT_RULE: Final = "att-48"

WITHIN, OUTSIDE, TOO_FEW = "within", "outside", "too_few"


@dataclass(frozen=True)
class Judged:
    """A verdict (`within`, `outside`, `too_few`) with a sentence for each thing that was looked at."""

    verdict: str
    sentences: tuple[str, ...]


def rule(code: str) -> ComparisonRule:
    """The rule of that code. Raises `OutsideValidity` for one that is not kept. Source: see `RULES`.

    >>> rule("att-48").pairs_wanted
    10
    """
    if code not in RULES:
        raise OutsideValidity("rule-not-kept", f"There is no rule {code[:40]!a}; known are {', '.join(RULES)}.")
    return RULES[code]


def judge(pairs: Sequence[Pair], found: Comparison | None, *, by: ComparisonRule, unit: str) -> Judged:
    """What a rule says to the pairs of one quantity; `unit` is "kg/m3" (wet density) or "%" (points of water content).

    A single difference beyond the rule, or a mean beyond it, is `outside`; a rule without an allowed mean takes a mean
    whose confidence interval leaves zero out as `outside`. Source: `ComparisonRule.source`.

    >>> judge([], None, by=rule("att-48"), unit="kg/m3").verdict
    'too_few'
    """
    said = []
    enough = len(pairs) >= by.pairs_wanted
    wanted = f"{len(pairs)} of {by.pairs_wanted} pairs"
    said.append(f"{wanted}: {'enough' if enough else 'too few'} ({by.title}).")
    if found is None:
        return Judged(TOO_FEW, tuple(said))
    mean_limit = by.allowed_mean_kgm3 if unit == "kg/m3" else by.allowed_mean_pct
    single_limit = by.allowed_single_kgm3 if unit == "kg/m3" else by.allowed_single_pct
    outside = False
    if mean_limit is None:
        outside = found.biased
        interval = f"{_shown(found.confidence_low, unit)} to {_shown(found.confidence_high, unit)}"
        said.append(
            f"Mean difference {_shown(found.mean_difference, unit)}, 95 % interval {interval}: "
            + ("a bias is shown, and the rule allows for none." if outside else "no bias is shown.")
        )
    else:
        outside = abs(found.mean_difference) > mean_limit
        side = "beyond" if outside else "within"
        said.append(
            f"Mean difference {_shown(found.mean_difference, unit)}: {side} the {_shown(mean_limit, unit)} allowed."
        )
    if single_limit is not None:
        beyond = [pair.name for pair in pairs if abs(pair.difference) > single_limit]
        outside = outside or bool(beyond)
        said.append(
            f"Single differences beyond {_shown(single_limit, unit)}: {', '.join(beyond) if beyond else 'none'}."
        )
    return Judged(OUTSIDE if outside and enough else WITHIN if enough else TOO_FEW, tuple(said))


def _shown(value: Decimal, unit: str) -> str:
    if unit == "%":
        return f"{plain_number(value, decimals=2)} points"
    return f"{value:.0f} kg/m3 ({from_si(value, 'pcf'):.1f} pcf)"
