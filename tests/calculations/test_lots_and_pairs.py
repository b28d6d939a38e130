"""Acceptance by statistics, paired comparison, counts, precision: against scipy, by identity, at the ends."""

from decimal import Decimal
from math import sqrt
from statistics import stdev

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats
from scipy.special import betainc

from compaction.calculations import acceptance_statistics as lots
from compaction.calculations import count_stability, paired_comparison, precision, standard_counts
from compaction.calculations.errors import CalculationError, ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.paired_comparison import Pair

D = Decimal
PERCENTS = st.lists(st.integers(900, 1080).map(lambda tenths: D(tenths) / 10), min_size=3, max_size=25)


class TestLots:
    @given(st.integers(-4000, 4000), st.integers(3, 60))
    def test_percent_within_is_the_beta_form_of_scipy(self, thousandths: int, tests: int) -> None:
        index = D(thousandths) / 1000
        x = min(max(0.5 - float(index) * sqrt(tests) / (2 * (tests - 1)), 0), 1)
        by_scipy = 100 * (1 - betainc(tests / 2 - 1, tests / 2 - 1, x))
        assert float(lots.within_one_limit_pct(quality_index=index, tests=tests)) == pytest.approx(by_scipy, abs=1e-8)

    @given(PERCENTS, st.integers(900, 1080))
    def test_both_sides_of_one_limit_make_a_hundred(self, values: list[Decimal], tenths: int) -> None:
        assume(len(set(values)) > 1)
        limit = D(tenths) / 10
        above = lots.percent_within_limits_pct(values, lower=limit)
        below = lots.percent_within_limits_pct(values, upper=limit)
        assert abs(above + below - 100) < D("1e-6")
        both = lots.percent_within_limits_pct(values, lower=limit, upper=limit + 2)
        assert 0 <= both <= above + D("1e-9")

    @given(PERCENTS)
    def test_spread_and_mean_are_those_of_others_and_do_not_depend_on_order(self, values: list[Decimal]) -> None:
        spread = float(lots.standard_deviation(values))
        assert spread == pytest.approx(stdev(float(value) for value in values), abs=1e-9)
        assert abs(lots.standard_deviation(values[::-1]) - lots.standard_deviation(values)) < D("1e-20")
        averages = lots.moving_averages(values, of=3)
        assert len(averages) == len(values) - 2
        assert min(values) <= min(averages) <= max(averages) <= max(values)

    @given(PERCENTS, st.integers(0, 300))
    def test_a_larger_k_and_a_lower_lot_never_help(self, values: list[Decimal], hundredths: int) -> None:
        k = D(hundredths) / 100
        found = lots.mean_less_k_s(values, k=k, limit=D(95)).found
        assert lots.mean_less_k_s(values, k=k + 1, limit=D(95)).found <= found
        assert lots.mean_less_k_s([value - 1 for value in values], k=k, limit=D(95)).found < found

    def test_a_limit_that_is_hit_is_met_and_the_part_that_fails_is_told(self) -> None:
        lot = [D(94), D(96)]
        judged = lots.average_with_minimum(lot, average_at_least=D(95), each_at_least=D(94))
        assert judged.met
        assert judged.found == 95
        assert lots.average_with_minimum(lot, average_at_least=D(95), each_at_least=D("94.1")).found == 94
        assert lots.average_with_minimum(lot, average_at_least=D("95.1"), each_at_least=D("94.1")).found == 95
        assert lots.moving_average_at_least(lot, of=2, limit=D(95)).met
        assert not lots.moving_average_at_least([*lot, D("93.9")], of=2, limit=D(95)).met
        assert "not met" in lots.moving_average_at_least([*lot, D("93.9")], of=2, limit=D(95)).sentence

    def test_a_lot_that_passes_test_by_test_need_not_pass_by_statistics(self) -> None:
        """ST-05: every test is at or above 95, yet of the lot some 4.5 % are estimated below."""
        lot = "97.6 96.3 97.0 95.7 97.6 96.3 95.4 98.6 98.6 96.3 96.7 96.9 95.8 95.4"
        values = [D(text) for text in lot.split()]
        assert min(values) >= 95
        assert not lots.within_limits_at_least(values, percent_at_least=D(96), lower=D(95)).met
        assert lots.within_limits_at_least(values, percent_at_least=D(95), lower=D(95)).met

    def test_a_lot_without_spread_is_all_in_or_all_out(self) -> None:
        same = [D(96)] * 4
        assert lots.percent_within_limits_pct(same, lower=D(96)) == 100
        assert lots.percent_within_limits_pct(same, lower=D("96.1")) == 0
        with pytest.raises(OutsideValidity, match="equal"):
            lots.quality_index(same, lower=D(95))

    def test_a_table_takes_the_next_higher_entry_and_mirrors_below_zero(self) -> None:
        for index in (D("0.3"), D("0.9"), D("1.4")):
            entry = lots.as_tabulated_pct(quality_index=index, tests=5)
            exact = lots.within_one_limit_pct(quality_index=index, tests=5)
            assert exact <= entry < exact + 1
            assert lots.as_tabulated_pct(quality_index=-index, tests=5) == 100 - entry

    def test_too_few_tests_and_rules_without_a_limit(self) -> None:
        for call in (
            lambda: lots.mean([]),
            lambda: lots.standard_deviation([D(96)]),
            lambda: lots.within_one_limit_pct(quality_index=D(1), tests=2),
            lambda: lots.percent_within_limits_pct([D(96), D(97)], lower=D(95)),
            lambda: lots.moving_average_at_least([D(96)], of=2, limit=D(95)),
        ):
            with pytest.raises(NotEnoughReadings) as raised:
                call()
            assert raised.value.code == "lot-too-small"
        for call in (
            lambda: lots.quality_index([D(1), D(2)]),
            lambda: lots.percent_within_limits_pct([D(1), D(2), D(3)]),
            lambda: lots.mean_less_k_s([D(1), D(2)], k=D(-1), limit=D(0)),
            lambda: lots.moving_averages([D(1)], of=0),
        ):
            with pytest.raises(OutsideValidity):
                call()


def pairs_of(differences: list[Decimal], references: list[int] | None = None) -> list[Pair]:
    references = references or [2000 + 7 * n for n in range(len(differences))]
    return [
        Pair(str(n), D(reference) + difference, D(reference))
        for n, (difference, reference) in enumerate(zip(differences, references, strict=True), 1)
    ]


DIFFERENCES = st.lists(st.integers(-400, 400).map(lambda tenths: D(tenths) / 10), min_size=3, max_size=20)


class TestPairs:
    @given(DIFFERENCES)
    def test_interval_and_test_are_those_of_scipy(self, differences: list[Decimal]) -> None:
        assume(len(set(differences)) > 1)
        pairs = pairs_of(differences)
        found = paired_comparison.compare(pairs)
        by_scipy = stats.ttest_rel([float(p.checked) for p in pairs], [float(p.reference) for p in pairs])
        low, high = by_scipy.confidence_interval(0.95)
        assert found.t is not None
        assert float(found.t) == pytest.approx(by_scipy.statistic, rel=1e-6, abs=1e-6)
        assert float(found.p_value) == pytest.approx(by_scipy.pvalue, abs=1e-7)
        assert float(found.confidence_low) == pytest.approx(low, abs=1e-6)
        assert float(found.confidence_high) == pytest.approx(high, abs=1e-6)
        assert found.agreement_low <= found.mean_difference <= found.agreement_high
        line = stats.linregress([float(p.checked) for p in pairs], [float(p.reference) for p in pairs])
        assert float(found.slope or 0) == pytest.approx(line.slope, abs=1e-6)
        assert float(found.correlation or 0) == pytest.approx(line.rvalue, abs=1e-6)

    @given(DIFFERENCES, st.sampled_from(["pcf", "g/cm3"]))
    def test_a_unit_changes_no_verdict(self, differences: list[Decimal], unit: str) -> None:
        factor = D(16) if unit == "pcf" else D(1000)
        assume(len(set(differences)) > 1)
        one = paired_comparison.compare(pairs_of(differences))
        scaled = [Pair(p.name, p.checked / factor, p.reference / factor) for p in pairs_of(differences)]
        other = paired_comparison.compare(scaled)
        assert abs((one.t or D(0)) - (other.t or D(0))) < D("1e-5")
        assert one.outliers == other.outliers
        assert abs(other.mean_difference * factor - one.mean_difference) < D("1e-5")

    def test_an_outlier_is_named_and_stays_in_the_figures(self) -> None:
        differences = [D(value) for value in (8, 10, 12, 9, 11, 10, 9, 12, 8, 60)]
        found = paired_comparison.compare(pairs_of(differences))
        assert found.outliers == ("10",)
        assert found.mean_difference == D("14.9")
        assert [finding.code for finding in found.findings] == ["pair-is-outlier"]
        assert paired_comparison.compare(pairs_of([*differences[:-1], D(11)])).outliers == ()

    def test_the_largest_deviation_against_a_published_table(self) -> None:
        """ASTM E178 (two-sided 5 %, n = 10): 2.290 standard deviations (from memory)."""
        base = [D(value) for value in (0, 1, 2, 3, 4, 5, 6, 7, 8)]
        named = [far for far in range(9, 40) if paired_comparison.compare(pairs_of([*base, D(far)])).outliers]
        first = [float(value) for value in (*base, named[0])]
        before = [float(value) for value in (*base, named[0] - 1)]
        deviations = [(max(one) - sum(one) / 10) / stdev(one) for one in (before, first)]
        assert deviations[0] <= 2.290 < deviations[1]

    def test_equal_differences_are_a_bias_without_scatter(self) -> None:
        found = paired_comparison.compare(pairs_of([D(5)] * 4))
        assert (found.t, found.p_value, found.standard_deviation, found.biased) == (None, 0, 0, True)
        none = paired_comparison.compare(pairs_of([D(0)] * 4))
        assert (none.p_value, none.biased, paired_comparison.proposed_constant(none)) == (1, False, None)

    def test_a_constant_reading_has_no_regression(self) -> None:
        found = paired_comparison.compare([Pair(str(n), D(2000), D(1990 + n)) for n in range(4)])
        assert (found.slope, found.intercept, found.correlation) == (None, None, None)

    def test_pairs_of_several_gauges_are_never_pooled(self) -> None:
        mixed = [Pair(str(n), D(2000), D(1990), (f"G-{n % 2}", "silt", "backscatter", "")) for n in range(6)]
        with pytest.raises(OutsideValidity, match="one gauge"):
            paired_comparison.compare(mixed)
        assert [len(group) for group in paired_comparison.by_conditions(mixed).values()] == [3, 3]
        with pytest.raises(NotEnoughReadings):
            paired_comparison.compare(mixed[:2])
        with pytest.raises(OutsideValidity, match="confidence"):
            paired_comparison.compare(mixed[::2], confidence_pct=D(100))


class TestCounts:
    def test_chance_is_stable_and_both_ends_are_remarked(self) -> None:
        chance = [2747, 2853, 2800, 2790, 2810, 2760, 2840, 2700, 2900, 2800]
        wild = [2500, 3100, 2800, 2790, 2810, 2760, 2840, 2700, 2900, 2800]
        smooth = [2799, 2801, 2800, 2800, 2801, 2799, 2800, 2801, 2799, 2800]
        found = [
            [finding.code for finding in count_stability.stability_findings(count_stability.stability(counts))]
            for counts in (chance, wild, smooth)
        ]
        assert found == [[], ["counts-unstable"], ["counts-too-smooth"]]

    def test_the_limits_are_those_of_chi_square(self) -> None:
        found = count_stability.stability([2800, 2810, 2790, 2805, 2795])
        for ratio, share in ((found.lowest_ratio, 0.025), (found.highest_ratio, 0.975)):
            assert float(ratio) == pytest.approx(sqrt(stats.chi2.ppf(share, 4) / 4), abs=1e-8)

    @given(st.integers(2, 16))
    def test_a_prescaled_display_scatters_less(self, prescale: int) -> None:
        counts = [2747, 2853, 2800, 2790, 2810]
        plain, scaled = (count_stability.stability(counts, prescale=D(factor)).ratio for factor in (1, prescale))
        assert abs(scaled - plain * D(prescale).sqrt()) < D("1e-6")

    def test_what_says_nothing(self) -> None:
        with pytest.raises(NotEnoughReadings):
            count_stability.stability([2800, 2800, 2800])
        with pytest.raises(ImpossibleReading):
            count_stability.stability([2800, 2800, 2800, 0])
        with pytest.raises(OutsideValidity):
            count_stability.stability([2800] * 4, prescale=D(0))
        with pytest.raises(OutsideValidity):
            count_stability.chance_limit(reference_count=D(0))

    def test_the_rolling_mean_takes_the_last_four_before_the_day(self) -> None:
        counts = [2870, 2880, 2874, 2876, 2900, 2875]
        assert standard_counts.rolling_references(counts) == [
            None, D(2870), D(2875), D(8624) / 3, D(2875), D("2882.5"),
        ]  # fmt: skip
        assert standard_counts.rolling_references(counts, window=1)[1:] == [D(count) for count in counts[:-1]]
        with pytest.raises(OutsideValidity):
            standard_counts.rolling_references(counts, window=0)

    def test_decay_alone_takes_a_gauge_past_one_percent_in_160_days(self) -> None:
        """Against its certificate a sound gauge drifts out of the limit; against the decayed count it does not."""
        certificate = D(1_000_000)  # large, so that whole counts do not blur the day
        for days, off in ((159, False), (161, True)):
            decayed = standard_counts.decayed_count(count=certificate, days=days)
            found = [
                standard_counts.standard_count_findings(kind="density", count=round(decayed), reference=reference)
                for reference in (certificate, decayed)
            ]
            assert [bool(one) for one in found] == [off, False], days


def test_precision_is_wider_between_laboratories_and_asks_for_what_is_kept() -> None:
    for (quantity, standard, soil), kept in precision.PRECISIONS.items():
        assert kept.single_operator < kept.between_laboratories
        narrow, wide = (
            precision.allowed_difference(quantity, standard=standard, soil=soil, mean=D(12), same_operator=same)
            for same in (True, False)
        )
        assert 0 < narrow < wide
    with pytest.raises(CalculationError, match="enter it"):
        precision.allowed_difference("water_content", standard="ASTM D4643", mean=D(12), same_operator=True)
    with pytest.raises(ImpossibleReading):
        precision.allowed_difference("water_content", standard="ASTM D2216", mean=D(0), same_operator=True)
