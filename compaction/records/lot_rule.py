"""One rule of a lot: the statistic, its limits, how it is rounded; what belongs together is checked here."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.acceptance_constants import TABLES
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.lot_declaration import LotRule
from compaction.calculations.lot_rules import STATISTICS
from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.readings import Field, Values, read_fields
from compaction.facts import RoundingStep

QUANTITIES: Final = ("percent_compaction", "water_content_deviation", "relative_density", "dry_density")
_LIMIT: Final = "percent|density"
RULE_FIELDS: Final = (
    Field("statistic", "choice", True, "Statistic", tuple(STATISTICS)),
    Field("quantity", "choice", True, "Quantity", QUANTITIES),
    Field("minimum", _LIMIT, False, "Lower limit"),
    Field("maximum", _LIMIT, False, "Upper limit"),
    Field("each_minimum", _LIMIT, False, "No test below"),
    Field("each_maximum", _LIMIT, False, "No test above"),
    Field("of", "count", False, "Tests in a moving average"),
    Field("k", "number", False, "k"),
    Field("k_table", "choice", False, "Table of k", tuple(TABLES)),
    Field("percent_within", "percent", False, "Least percent within the limits"),
    Field("within_by", "choice", False, "Percent within by", ("beta", "table")),
    Field("minimum_tests", "count", False, "Least number of tests"),
    Field("figures", "choice", False, "Figures of the tests", ("unrounded", "judged")),
    Field("round_mean", _LIMIT, False, "Round the mean to"),
    Field("round_standard_deviation", _LIMIT, False, "Round the standard deviation to"),
    Field("round_quality_index", "number", False, "Round the quality index to"),
    Field("round_statistic", _LIMIT, False, "Round the statistic to"),
    Field("tie", "choice", False, "Tie", ("half_even", "half_up")),
    Field("clause", "text", False, "Clause"),
)
MOST_TESTS: Final = 500
#: what only one statistic understands
_ONLY: Final = {
    "each_minimum": "average_with_minimum",
    "each_maximum": "average_with_minimum",
    "of": "moving_average",
    "k": "mean_minus_k_s",
    "k_table": "mean_minus_k_s",
    "percent_within": "percent_within_limits",
    "within_by": "percent_within_limits",
    "round_quality_index": "percent_within_limits",
}


def written_rules(written: Any, pointer: str) -> list[tuple[Values, str]]:
    """The rules as written, each with the unit of its first limit. Raises `ReadingError`, `ReadingsError`."""
    if not isinstance(written, list) or not 1 <= len(written) <= 6:
        raise ReadingError(pointer, "not-rules", "A list of one to six rules is wanted here.")
    errors: list[ReadingError] = []
    found = []
    for index, item in enumerate(written):
        try:
            values = read_fields(RULE_FIELDS, item, f"{pointer}/{index}")
            limits = [item[name] for name in ("minimum", "maximum", "each_minimum", "each_maximum") if name in item]
            found.append((values, str(limits[0]).partition(" ")[2] if limits else ""))
        except ReadingsError as several:
            errors.extend(several.errors)
    if errors:
        raise ReadingsError(errors)
    return found


def read_rule(
    given: Values, unit: str, k_by_tests: Sequence[tuple[int, Decimal]], k_source: str, pointer: str
) -> LotRule:
    """A rule; `k_by_tests` is the lot's own table. Raises `ReadingError`."""
    statistic, quantity = given.text("statistic"), given.text("quantity")
    _fits(given, statistic, quantity, unit, pointer)
    fewest = max(STATISTICS[statistic][1], given.optional_count("of") or 0)
    minimum_tests = given.optional_count("minimum_tests") or fewest
    if not fewest <= minimum_tests <= MOST_TESTS:
        raise ReadingError(
            f"{pointer}/minimum_tests", "out-of-range", f"This statistic needs {fewest} to {MOST_TESTS} tests."
        )
    k, table = given.optional_decimal("k"), TABLES.get(given.text("k_table"))
    if statistic == "mean_minus_k_s":
        ways = [k is not None, table is not None, bool(k_by_tests) and k is None and table is None]
        if sum(ways) != 1:
            raise ReadingError(f"{pointer}/k", "exactly-one-of", "Give k, a named table, or the lot's table of k: one.")
        if (k is not None or k_by_tests) and not table and not k_source:
            raise ReadingError("/k_source", "missing", "Say where k comes from: the clause or table of the contract.")
        if min([k or Decimal(0), *(entry for _, entry in k_by_tests)]) < 0:
            raise ReadingError(f"{pointer}/k", "out-of-range", "A negative k would reward spread.")
    rounding = tuple(
        RoundingStep(name, quantise(_in_unit(given, f"round_{name}", unit)), unit, tie=given.text("tie") or "half_even")
        for name in ("mean", "standard_deviation", "quality_index", "statistic")
        if given.optional_decimal(f"round_{name}") is not None
    )
    if any(step.increment <= 0 for step in rounding):
        raise ReadingError(f"{pointer}/round_statistic", "out-of-range", "An increment of rounding lies above zero.")
    return LotRule(
        statistic=statistic,
        quantity=quantity,
        unit=unit,
        minimum=given.optional_decimal("minimum"),
        maximum=given.optional_decimal("maximum"),
        each_minimum=given.optional_decimal("each_minimum"),
        each_maximum=given.optional_decimal("each_maximum"),
        of=given.optional_count("of") or 0,
        k=k,
        k_by_tests=table.by_tests
        if table
        else tuple(k_by_tests)
        if statistic == "mean_minus_k_s" and k is None
        else (),
        k_source=(table.source if table else k_source) if statistic == "mean_minus_k_s" else "",
        percent_within_at_least_pct=given.optional_decimal("percent_within"),
        within_by=given.text("within_by") or "beta",
        minimum_tests=minimum_tests,
        figures=given.text("figures") or "unrounded",
        rounding=rounding,
        clause=given.text("clause"),
    )


def _in_unit(given: Values, name: str, unit: str) -> Decimal:
    value = given.decimal(name)
    return value if name == "round_quality_index" or given.kind(name) == "percent" else from_si(value, unit)


def _fits(given: Values, statistic: str, quantity: str, unit: str, pointer: str) -> None:
    """What belongs together: limits with the quantity, members with the statistic."""
    limits = [
        name
        for name in ("minimum", "maximum", "each_minimum", "each_maximum")
        if given.optional_decimal(name) is not None
    ]
    wanted = "density" if quantity == "dry_density" else "percent"
    for name in (*limits, "round_mean", "round_standard_deviation"):
        if given.optional_decimal(name) is not None and given.kind(name) != wanted:
            raise ReadingError(f"{pointer}/{name}", "unit-of-another-quantity", f"A limit of {quantity} is a {wanted}.")
    if not {"minimum", "maximum"} & set(limits):
        raise ReadingError(f"{pointer}/minimum", "no-limit", "A rule needs a lower limit, an upper limit or both.")
    for low, high in (("minimum", "maximum"), ("each_minimum", "each_maximum")):
        if low in limits and high in limits and given.decimal(low) > given.decimal(high):
            raise ReadingError(f"{pointer}/{low}", "limits-crossed", "The lower limit lies above the upper one.")
    for name, only in _ONLY.items():
        present = given.text(name) if name in ("k_table", "within_by") else _present(given, name)
        if present and statistic != only:
            raise ReadingError(f"{pointer}/{name}", "not-for-this-statistic", f"{name} belongs to {only}.")
    if statistic == "moving_average" and not 2 <= (given.optional_count("of") or 0) <= 50:
        raise ReadingError(f"{pointer}/of", "out-of-range", "A moving average is of 2 to 50 tests.")
    if statistic == "percent_within_limits":
        percent = given.optional_decimal("percent_within")
        if percent is None or not 0 < percent <= 100:
            raise ReadingError(
                f"{pointer}/percent_within", "out-of-range", "Give the percent wanted, above 0, at most 100."
            )


def _present(given: Values, name: str) -> bool:
    return (given.optional_count(name) if name == "of" else given.optional_decimal(name)) is not None
