"""Rounding rules: ASTM E29 (half to even), Iowa IM 202 (half up), truncation, the absolute method."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations.quantities import from_si, quantise, to_si
from compaction.calculations.rounding import RoundingRule, RoundingRuleError, apply, describe, plain_number, rule
from compaction.facts import RoundingStep

D = Decimal


def step(increment: str, *, quantity: str = "percent_compaction", unit: str = "%", **more: str) -> RoundingStep:
    return RoundingStep(quantity, D(increment), unit, **more)


@pytest.mark.parametrize(
    ("value", "increment", "method", "tie", "expected"),
    [
        # practice.md C.3: 94.5 against 95 is 94 (even) or 95 (up); E29 tie examples from memory.
        ("94.5", "1", "round", "half_even", "94"),
        ("95.5", "1", "round", "half_even", "96"),
        ("94.5", "1", "round", "half_up", "95"),
        ("94.6", "1", "round", "half_even", "95"),
        ("94.4999", "1", "round", "half_up", "94"),
        ("94.9", "1", "truncate", "half_even", "94"),
        ("94.95", "0.1", "round", "half_even", "95.0"),
        ("94.85", "0.1", "round", "half_even", "94.8"),
        ("94.85", "0.1", "round", "half_up", "94.9"),
        ("97.19", "0.1", "truncate", "half_up", "97.1"),
        ("94.25", "0.5", "round", "half_even", "94.0"),
        ("94.75", "0.5", "round", "half_even", "95.0"),
        ("94.25", "0.5", "round", "half_up", "94.5"),
        ("12.325", "0.05", "round", "half_even", "12.3"),
        ("12.375", "0.05", "round", "half_even", "12.4"),
        ("12.325", "0.05", "round", "half_up", "12.35"),
        # Below zero, as deviations from optimum are: ties like those above zero, digits cut off towards zero.
        ("-2.5", "1", "round", "half_even", "-2"),
        ("-2.5", "1", "round", "half_up", "-3"),
        ("-2.9", "1", "truncate", "half_even", "-2"),
        ("-0.4", "1", "round", "half_even", "0"),
        ("0", "0.1", "round", "half_even", "0"),
    ],
)
def test_one_step(value: str, increment: str, method: str, tie: str, expected: str) -> None:
    found = apply(rule([step(increment, method=method, tie=tie)]), "percent_compaction", D(value))
    assert found == D(expected)
    assert not (found == 0 and found.is_signed())


@pytest.mark.parametrize(
    ("value_kgm3", "tie", "expected"),
    [
        ("1865", "half_even", "1860"),
        ("1875", "half_even", "1880"),
        ("1865", "half_up", "1870"),
        ("1864.9", "half_up", "1860"),
    ],
)
def test_densities_to_ten_kilograms(value_kgm3: str, tie: str, expected: str) -> None:
    rounding = rule([step("10", quantity="dry_density", unit="kg/m3", tie=tie)])
    assert apply(rounding, "dry_density", D(value_kgm3)) == D(expected)


@given(tenths=st.integers(600, 1800), tie=st.sampled_from(["half_even", "half_up"]))
def test_a_tie_in_pcf_is_still_a_tie_after_kgm3(tenths: int, tie: str) -> None:
    """94.5 pcf goes through kg/m3 and back: nine decimals are taken before the rule looks at it."""
    value = D(tenths) + D("0.5")
    found = from_si(
        apply(rule([step("1", quantity="dry_density", unit="pcf", tie=tie)]), "dry_density", to_si(value, "pcf")), "pcf"
    )
    up = tie == "half_up" or tenths % 2 == 1
    assert quantise(found) == tenths + (1 if up else 0)


def test_a_percentage_of_densities_that_is_a_tie_stays_one() -> None:
    percent = 100 * to_si(D("94.5"), "pcf") / to_si(D("100.0"), "pcf")
    assert apply(rule([step("1")]), "percent_compaction", percent) == 94
    assert apply(rule([step("1", tie="half_up")]), "percent_compaction", percent) == 95


def test_nine_decimals_do_not_swallow_a_true_difference() -> None:
    assert apply(rule([step("1", tie="half_up")]), "percent_compaction", D("94.499999999")) == 94
    assert apply(rule([step("1")]), "percent_compaction", D("94.500000001")) == 95


def test_only_the_named_quantity_is_rounded() -> None:
    assert apply(rule([step("1")]), "water_content", D("12.345")) == D("12.345")


def test_the_absolute_method_rounds_nothing() -> None:
    assert apply(rule([step("1")], absolute=True), "percent_compaction", D("94.999")) == D("94.999")


def test_steps_act_in_their_order() -> None:
    twice = rule([step("0.1", tie="half_up"), step("1", tie="half_up")])
    assert apply(twice, "percent_compaction", D("94.45")) == 95  # 94.5, then 95: as the rule says
    assert apply(rule([step("1", tie="half_up")]), "percent_compaction", D("94.45")) == 94


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (RoundingStep("colour", D(1), "%"), "colour"),
        (RoundingStep("dry_density", D(1), "%"), "pcf"),
        (RoundingStep("percent_compaction", D(0), "%"), "above zero"),
        (RoundingStep("percent_compaction", D(1), "%", "round", "up"), "half_even"),
    ],
)
def test_a_step_that_cannot_be_applied_is_refused(bad: RoundingStep, words: str) -> None:
    with pytest.raises(RoundingRuleError, match=words):
        RoundingRule(steps=(bad,))


def test_words_for_people() -> None:
    assert describe(step("0.10", quantity="dry_density", unit="pcf")) == "to 0.1 pcf, half to even"
    assert describe(step("1", method="truncate")) == "cut off to 1 %"
    assert plain_number(D("-0.000")) == "0"
    assert plain_number(D("1E+2")) == "100"
    assert plain_number(D("94.2511"), decimals=1) == "94.3"
