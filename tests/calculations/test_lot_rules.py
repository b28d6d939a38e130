"""A lot's rules with their numbers: against scipy, at the limit, and the tests of two testers."""

from decimal import Decimal, localcontext
from math import sqrt
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats
from scipy.special import betainc

from compaction.calculations.acceptance_constants import TABLES, k_by_risk, k_for
from compaction.calculations.errors import NotEnoughReadings, OutsideValidity
from compaction.calculations.lot_declaration import LotRule
from compaction.calculations.lot_rules import judge_lot
from compaction.calculations.quantities import to_si
from compaction.calculations.two_sample_comparison import compare_samples
from compaction.facts import RoundingStep

D = Decimal
PERCENTS = st.lists(st.integers(900, 1080).map(lambda tenths: D(tenths) / 10), min_size=3, max_size=25)


def rule(statistic: str, **changes: Any) -> LotRule:
    return LotRule(statistic, "percent_compaction", **{"minimum": D(95), **changes})


@given(PERCENTS, st.integers(900, 1080), st.integers(0, 80))
def test_percent_within_two_limits_is_the_beta_form_of_scipy(values: list[Decimal], tenths: int, width: int) -> None:
    assume(len(set(values)) > 1)
    low, high = D(tenths) / 10, D(tenths + width) / 10
    of = rule("percent_within_limits", minimum=low, maximum=high, percent_within_at_least_pct=D(90))
    found = judge_lot(of, values).figures
    n = len(values)
    with localcontext(
        prec=50
    ):  # at the ends of x the share goes as its root: a float's last digit would show in the sixth
        mean = sum(values) / n
        s = (sum((value - mean) ** 2 for value in values) / (n - 1)).sqrt()
        shares = [D("0.5") - q * D(n).sqrt() / (2 * (n - 1)) for q in ((mean - low) / s, (high - mean) / s)]
        ends = [float(min(max(round(x, 40), D(0)), D(1))) for x in shares]
    within = [100 * (1 - betainc(n / 2 - 1, n / 2 - 1, x)) for x in ends]
    assert float(found["statistic"]) == pytest.approx(max(sum(within) - 100, 0), abs=1e-6)


@pytest.mark.parametrize("number", range(3, 31))
def test_k_by_risk_is_the_non_central_t_of_scipy(number: int) -> None:
    by_scipy = stats.nct.ppf(0.1, number - 1, stats.norm.ppf(0.9) * sqrt(number)) / sqrt(number)
    assert float(k_for(number, TABLES["producer_risk_10"].by_tests)) == pytest.approx(by_scipy, abs=5.1e-4)


def test_a_lot_with_that_share_below_the_limit_is_refused_that_often() -> None:
    """10 % below the limit, k by a risk of 10 %: of 4,000 lots of six from a normal distribution about 400."""
    k = float(k_by_risk(tests=6, share_below_pct=D(10), producer_risk_pct=D(10)))
    drawn = stats.norm.rvs(size=(4000, 6), random_state=7)
    refused = (drawn.mean(axis=1) - k * drawn.std(axis=1, ddof=1) < stats.norm.ppf(0.1)).sum()
    assert 340 <= refused <= 460


def test_a_table_of_k_is_not_stretched() -> None:
    with pytest.raises(OutsideValidity, match="no k for 5 tests"):
        k_for(5, TABLES["six_tests"].by_tests)
    verdict = judge_lot(rule("mean_minus_k_s", k_by_tests=TABLES["six_tests"].by_tests), [D(96), D(97)])
    assert verdict.result == "undecided"
    assert "Test until one of these is reached" in verdict.sentence
    for wrong in ({"tests": 1}, {"share_below_pct": D(0)}, {"producer_risk_pct": D(50)}):
        with pytest.raises(OutsideValidity):
            k_by_risk(**{"tests": 6, "share_below_pct": D(10), "producer_risk_pct": D(10), **wrong})  # type: ignore[arg-type]


def test_a_limit_that_is_hit_is_met_and_one_missed_by_little_says_by_how_much() -> None:
    values = [D(94), D(96)]
    assert judge_lot(rule("average_with_minimum", each_minimum=D(94)), values).result == "met"
    short = judge_lot(rule("average_with_minimum"), [D("94.9996"), D(95)])
    assert short.result == "not_met"
    assert "is 94.9998 %, at least 95 % wanted: not met" in short.sentence


def test_characteristic_value_of_six_tests() -> None:
    """n 6, mean 97.2, s 1.5, k 0.92: 95.8 (common practice in Victoria, from memory)."""
    values = [D(text) for text in ("95", "96", "97", "98", "99", "98.2")]
    verdict = judge_lot(rule("mean_minus_k_s", k_by_tests=TABLES["six_tests"].by_tests), values)
    assert round(verdict.figures["statistic"], 1) == D("95.8")
    upper = judge_lot(rule("mean_minus_k_s", minimum=None, maximum=D(98), k=D("0.92")), values)
    assert upper.result == "not_met"
    assert round(upper.figures["upper_statistic"], 2) == D("98.58")


def test_moving_averages_name_the_worst_run() -> None:
    values = [D(text) for text in ("97", "96", "93", "94", "95", "99")]
    verdict = judge_lot(rule("moving_average", of=3), values)
    assert "of 4 moving averages of 3 tests the lowest is 94 %" in verdict.sentence
    assert verdict.sentence.endswith("(3rd to 5th test).")
    assert judge_lot(rule("moving_average", of=7), values).result == "undecided"


def test_each_test_and_a_lot_without_spread() -> None:
    assert judge_lot(rule("each"), [D(95), D("94.9")]).result == "not_met"
    same = [D(96)] * 4
    for low, result in ((D(96), "met"), (D("96.1"), "not_met")):
        of = rule("percent_within_limits", minimum=low, percent_within_at_least_pct=D(90))
        assert judge_lot(of, same).result == result


def test_dry_densities_are_worked_with_in_the_unit_of_the_limit() -> None:
    step = RoundingStep("mean", D("0.1"), "pcf")
    of = LotRule("average_with_minimum", "dry_density", unit="pcf", minimum=to_si(D(105), "pcf"), rounding=(step,))
    verdict = judge_lot(of, [to_si(D(text), "pcf") for text in ("104.8", "104.9")])
    assert (verdict.result, verdict.figures["mean"]) == ("not_met", D("104.8"))  # 104.85 is a tie: to the even digit
    assert "mean 104.8 pcf (rounded to 0.1 pcf, half to even)" in verdict.sentence


@given(PERCENTS, PERCENTS, st.sampled_from(["1", "5", "10"]))
def test_f_and_t_are_those_of_scipy(first: list[Decimal], second: list[Decimal], risk: str) -> None:
    assume(len(set(first)) > 1 and len(set(second)) > 1)
    found = compare_samples(first, second, risk_pct=D(risk))
    one, other = ([float(value) for value in sample] for sample in (first, second))
    a, b = (stats.tvar(one), len(one) - 1), (stats.tvar(other), len(other) - 1)
    large, small = (a, b) if a[0] >= b[0] else (b, a)
    ratio = large[0] / small[0]
    assert float(found.f or 0) == pytest.approx(ratio, rel=1e-6)
    assert float(found.f_p_value) == pytest.approx(min(1, 2 * stats.f.sf(ratio, large[1], small[1])), abs=1e-7)
    assert float(found.f_critical) == pytest.approx(stats.f.ppf(1 - float(risk) / 200, large[1], small[1]), rel=1e-6)
    by_scipy = stats.ttest_ind(one, other, equal_var=found.pooled)
    assert float(found.t or 0) == pytest.approx(by_scipy.statistic, abs=1e-6, rel=1e-6)
    assert float(found.t_p_value) == pytest.approx(by_scipy.pvalue, abs=1e-7)
    assert found.pooled == found.spreads_agree


def test_samples_without_spread_or_too_small() -> None:
    same = compare_samples([D(96)] * 3, [D(96)] * 4, risk_pct=D(5))
    assert (same.f, same.t, same.spreads_agree, same.means_agree) == (None, None, True, True)
    apart = compare_samples([D(96)] * 3, [D(97)] * 4, risk_pct=D(5))
    assert (apart.t, apart.means_agree) == (None, False)
    one_sided = compare_samples([D(96)] * 3, [D(95), D(96), D(98)], risk_pct=D(5))
    assert (one_sided.f, one_sided.spreads_agree) == (None, False)
    with pytest.raises(NotEnoughReadings):
        compare_samples([D(96)] * 2, [D(96)] * 4, risk_pct=D(5))
    with pytest.raises(OutsideValidity):
        compare_samples([D(96)] * 3, [D(96)] * 4, risk_pct=D(50))
