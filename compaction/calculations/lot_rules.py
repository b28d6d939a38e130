"""What a lot's rule says of its tests, with every number that went into it and a sentence that a pencil can follow.

The tests come in order, in percent or kg/m3, and are worked with in the unit in which the limits were written.
Rounding of mean, standard deviation, quality index and the statistic itself is part of the rule. Equality meets.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations import acceptance_statistics as statistics
from compaction.calculations.acceptance_constants import k_for
from compaction.calculations.errors import CalculationError
from compaction.calculations.lot_declaration import LotRule
from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import describe, plain_number, round_to

MET: Final = "met"
NOT_MET: Final = "not_met"
UNDECIDED: Final = "undecided"
#: statistic -> (words, fewest tests from which it can be worked out)
STATISTICS: Final[Mapping[str, tuple[str, int]]] = {
    "each": ("each test", 1),
    "average_with_minimum": ("average, and none below a minimum", 1),
    "moving_average": ("moving average", 1),
    "mean_minus_k_s": ("mean less k standard deviations", 2),
    "percent_within_limits": ("percent within limits", statistics.FEWEST_WITHIN_LIMITS),
}
ROUNDED: Final = ("mean", "standard_deviation", "quality_index", "statistic")


@dataclass(frozen=True)
class LotVerdict:
    """A rule applied: met, not met or undecided; how many tests; the figures by name in the rule's unit; a sentence."""

    statistic: str
    quantity: str
    result: str
    tests: int
    figures: Mapping[str, Decimal]
    sentence: str


@dataclass(frozen=True)
class _Check:
    words: str  # with the figure in it
    found: Decimal
    limit: Decimal
    at_least: bool

    @property
    def met(self) -> bool:
        return self.found >= self.limit if self.at_least else self.found <= self.limit


def judge_lot(rule: LotRule, values: Sequence[Decimal]) -> LotVerdict:
    """The verdict of a rule on tests in order (percent or kg/m3). Too few tests make it undecided, with the reason.

    Source: the functions of `acceptance_statistics`; a clause that is declared with the lot.

    >>> rule = LotRule("mean_minus_k_s", "percent_compaction", minimum=Decimal(95), k=Decimal("0.92"))
    >>> lot = [Decimal(text) for text in ("95", "96", "97", "98", "99", "98.2")]
    >>> judge_lot(rule, lot).sentence
    'n 6, mean 97.2 %, s 1.497 %, k 0.92: mean - k s is 95.82 %, at least 95 % wanted: met.'
    """
    shown = [quantise(from_si(value, rule.unit)) for value in values]
    figures: dict[str, Decimal] = {}
    for name, limit in (
        ("minimum", rule.minimum),
        ("maximum", rule.maximum),
        ("each_minimum", rule.each_minimum),
        ("each_maximum", rule.each_maximum),
    ):
        if limit is not None:
            figures[name] = quantise(from_si(limit, rule.unit))
    try:
        _describe(rule, shown, figures)
        checks, note = _WORKED[rule.statistic](rule, shown, figures)
    except CalculationError as error:
        return LotVerdict(rule.statistic, rule.quantity, UNDECIDED, len(values), figures, error.sentence)
    result = MET if all(check.met for check in checks) else NOT_MET
    told = "; ".join(_told(check, rule) for check in checks)
    return LotVerdict(
        rule.statistic, rule.quantity, result, len(values), figures, f"{_lead(rule, shown, figures)}: {told}{note}."
    )


def _describe(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> None:
    """Mean, spread and ends, which every rule shows."""
    if values:
        figures["mean"] = _round(rule, "mean", statistics.mean(values))
        figures["lowest"], figures["highest"] = min(values), max(values)
    if len(values) > 1:
        figures["standard_deviation"] = _round(rule, "standard_deviation", statistics.standard_deviation(values))
    fewest = max(STATISTICS[rule.statistic][1], rule.of)
    if len(values) < fewest:
        statistics.at_least(values, fewest)


def _round(rule: LotRule, name: str, value: Decimal) -> Decimal:
    return quantise(_stepped(rule, name, value))


def _stepped(rule: LotRule, name: str, value: Decimal) -> Decimal:
    """Rounded where the specification says so, else with all its digits."""
    for step in rule.rounding:
        if step.quantity == name:
            value = round_to(value, step)
    return value


def _limits(
    rule: LotRule, figures: Mapping[str, Decimal], words: str, low: Decimal, high: Decimal, *, of: str = ""
) -> list[_Check]:
    """The lower figure against the minimum, the upper one against the maximum."""
    checks = []
    for name, found, at_least in (("minimum", low, True), ("maximum", high, False)):
        if of + name in figures:
            checks.append(
                _Check(words.replace("|", "lowest" if at_least else "highest"), found, figures[of + name], at_least)
            )
    return checks


def _each(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> tuple[list[_Check], str]:
    return _limits(rule, figures, "the | test", min(values), max(values)), ""


def _average(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> tuple[list[_Check], str]:
    average = figures["statistic"] = _round(rule, "statistic", figures["mean"])
    checks = _limits(rule, figures, "the average", average, average)
    return [*checks, *_limits(rule, figures, "the | test", min(values), max(values), of="each_")], ""


def _moving(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> tuple[list[_Check], str]:
    means = [_round(rule, "statistic", one) for one in statistics.moving_averages(values, of=rule.of)]
    low, high = min(means), max(means)
    figures["lowest_moving_average"], figures["highest_moving_average"] = low, high
    figures["moving_averages"] = Decimal(len(means))
    at = means.index(low) + 1
    where = f" ({_ordinal(at)} to {_ordinal(at + rule.of - 1)} test)" if figures.get("minimum") is not None else ""
    words = f"of {len(means)} moving averages of {rule.of} tests the |"
    return _limits(rule, figures, words, low, high), where


def _ordinal(number: int) -> str:
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def _less_k_s(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> tuple[list[_Check], str]:
    k = figures["k"] = rule.k if rule.k is not None else k_for(len(values), rule.k_by_tests)
    away = k * figures["standard_deviation"]
    checks = []
    for name, sign, at_least in (("minimum", -1, True), ("maximum", 1, False)):
        if name in figures:
            found = _round(rule, "statistic", figures["mean"] + sign * away)
            figures["statistic" if at_least else "upper_statistic"] = found
            checks.append(_Check(f"mean {'-' if at_least else '+'} k s", found, figures[name], at_least))
    return checks, f" (k: {rule.k_source})" if rule.k_source else ""


def _within(rule: LotRule, values: Sequence[Decimal], figures: dict[str, Decimal]) -> tuple[list[_Check], str]:
    assert rule.percent_within_at_least_pct is not None
    middle = _stepped(rule, "mean", statistics.mean(values))
    spread = _stepped(rule, "standard_deviation", statistics.standard_deviation(values))
    parts = []
    for name, side, sign in (("minimum", "lower", 1), ("maximum", "upper", -1)):
        if name not in figures:
            continue
        if spread == 0:
            parts.append(Decimal(100 if sign * (middle - figures[name]) >= 0 else 0))
            continue
        index = _stepped(rule, "quality_index", sign * (middle - figures[name]) / spread)
        worked = statistics.as_tabulated_pct if rule.within_by == "table" else statistics.within_one_limit_pct
        figures[f"{side}_quality_index"] = quantise(index)
        figures[f"within_{side}_limit_pct"] = worked(quality_index=index, tests=len(values))
        parts.append(figures[f"within_{side}_limit_pct"])
    within = max(sum(parts, Decimal(0)) - 100 * (len(parts) - 1), Decimal(0))
    figures["statistic"] = _round(rule, "statistic", within)
    how = "the next higher whole percent, as a table gives it" if rule.within_by == "table" else "beta distribution"
    return [_Check("percent within limits", figures["statistic"], rule.percent_within_at_least_pct, True)], f" ({how})"


_WORKED: Final[Mapping[str, Callable[[LotRule, Sequence[Decimal], dict[str, Decimal]], tuple[list[_Check], str]]]] = {
    "each": _each,
    "average_with_minimum": _average,
    "moving_average": _moving,
    "mean_minus_k_s": _less_k_s,
    "percent_within_limits": _within,
}


# ---- in words ------------------------------------------------------------------------------------
def _lead(rule: LotRule, values: Sequence[Decimal], figures: Mapping[str, Decimal]) -> str:
    parts = [f"n {len(values)}", f"mean {_written(rule, 'mean', figures)}"]
    if "standard_deviation" in figures:
        parts.append(f"s {_written(rule, 'standard_deviation', figures)}")
    if "k" in figures:
        parts.append(f"k {plain_number(figures['k'])}")
    for side, sign in (("lower", "QL"), ("upper", "QU")):
        if f"{side}_quality_index" in figures:
            parts.append(f"{sign} {plain_number(figures[f'{side}_quality_index'], decimals=4)}")
            parts.append(f"{plain_number(figures[f'within_{side}_limit_pct'], decimals=2)} % within")
    if rule.statistic == "percent_within_limits":
        ends = [
            f"{words} {plain_number(figures[name])} {rule.unit}"
            for name, words in (("minimum", "from"), ("maximum", "to"))
            if name in figures
        ]
        parts.append(f"limits {' '.join(ends)}")
    return ", ".join(parts)


def _written(rule: LotRule, name: str, figures: Mapping[str, Decimal]) -> str:
    rounded = [describe(step) for step in rule.rounding if step.quantity == name]
    shown = f"{plain_number(figures[name], decimals=4 if rounded else 3)} {rule.unit}"
    return f"{shown} (rounded {rounded[0]})" if rounded else shown


def _told(check: _Check, rule: LotRule) -> str:
    unit = "%" if rule.statistic == "percent_within_limits" else rule.unit
    wanted = "at least" if check.at_least else "at most"
    return (
        f"{check.words} is {_apart(check.found, check.limit)} {unit}, {wanted} {plain_number(check.limit)} {unit} "
        f"wanted: {'met' if check.met else 'not met'}"
    )


def _apart(found: Decimal, limit: Decimal) -> str:
    """Two decimals, or as many as show on which side of the limit the figure lies."""
    for decimals in range(2, 10):
        text = plain_number(found, decimals=decimals)
        shown = Decimal(text)
        if (shown > limit) == (found > limit) and (shown < limit) == (found < limit):
            return text
    return plain_number(found)
