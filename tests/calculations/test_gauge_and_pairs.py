"""The gauge's offsets, turned readings and remarks; both regressions; the rules of comparison."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from compaction.calculations import (
    comparison_rules,
    deming_regression,
    gauge_adopted,
    gauge_checks,
    nuclear_gauge,
    paired_comparison,
)
from compaction.calculations.errors import CalculationError, OutsideValidity, ReadingsError
from compaction.calculations.methods import read_readings, work
from compaction.calculations.nuclear_gauge import NuclearGaugeReadings, TurnedReading
from compaction.calculations.paired_comparison import Pair
from compaction.calculations.worksheet import Worksheet
from compaction.instrument_facts import GaugeCorrectionFacts

D = Decimal
DISPLAY = {
    "mode": "direct_transmission",
    "depth": "6 in",
    "serial": "G-1",
    "density_standard_count": 2874,
    "moisture_standard_count": 660,
    "wet_density": "2100 kg/m3",
}
IN_POINTS = {**DISPLAY, "water_content": "10.0 %"}
PER_VOLUME = {**DISPLAY, "water": "190 kg/m3"}


def dry(written: dict[str, Any], **more: Any) -> Decimal:
    found = work(read_readings("nuclear_gauge", 1, {**written, **more})).dry_density_kgm3
    assert found is not None
    return found


class TestOffsets:
    @pytest.mark.parametrize(
        ("written", "offset", "expected"),
        [
            # by pencil: 2100 / 1.10; 190 - 10 per volume: 2100 - 180; 9.5 %: 2100 / 1.095; times 0.9: 2100 - 171
            (IN_POINTS, None, D(2100) / D("1.10")),
            (PER_VOLUME, {"value": "-10 kg/m3", "in_display": False}, D(1920)),
            (IN_POINTS, {"value": "-0.5 %", "in_display": False}, D(2100) / D("1.095")),
            (PER_VOLUME, {"factor": "0.9", "factor_of": "water", "in_display": False}, D(1929)),
            (IN_POINTS, {"factor": "0.9", "factor_of": "water_content", "in_display": False}, D(2100) / D("1.09")),
            (PER_VOLUME, {"value": "-10 kg/m3", "in_display": True}, D(1910)),
            (PER_VOLUME, {"factor": "0.9", "factor_of": "water", "in_display": True}, D(1910)),
        ],
    )
    def test_each_acts_in_its_own_unit_and_once(
        self, written: dict[str, Any], offset: dict[str, Any] | None, expected: Decimal
    ) -> None:
        assert dry(written, **({"water_offset": offset} if offset else {})) == pytest.approx(expected, abs=D("1e-18"))

    def test_wet_density_takes_a_constant_or_a_factor_and_leaves_the_water_per_volume(self) -> None:
        assert dry(PER_VOLUME, density_offset={"value": "-16 kg/m3", "in_display": False}) == 1894
        assert dry(PER_VOLUME, density_offset={"factor": "1.01", "in_display": False}) == D("2121.00") - 190
        assert dry(PER_VOLUME, density_offset={"factor": "1.01", "in_display": True}) == 1910

    def test_points_and_mass_agree_only_at_the_density_at_which_they_were_found(self) -> None:
        """NG-05's lesson: at 2100 kg/m3 wet -0.5 points are -7.96 kg/m3; at 1800 kg/m3 the two part."""
        mass = D(2100) * D("9.5") / D("109.5") - D(2100) * 10 / 110
        for wet, same in (("2100 kg/m3", True), ("1800 kg/m3", False)):
            here = {**IN_POINTS, "wet_density": wet}
            by_points = dry(here, water_offset={"value": "-0.5 %", "in_display": False})
            by_mass = dry(here, water_offset={"value": f"{mass:.6f} kg/m3", "in_display": False})
            assert (abs(by_points - by_mass) < D("1e-5")) == same

    @given(st.integers(-15, 15), st.integers(1500, 2300), st.integers(5, 25), st.booleans())
    def test_an_adopted_correction_is_the_same_as_the_crews_own_offset(
        self, tenths: int, wet: int, water: int, per_volume: bool
    ) -> None:
        offset = D(tenths) / 10
        form = {"water": f"{wet * water // 150} kg/m3"} if per_volume else {"water_content": f"{water} %"}
        written = {**DISPLAY, "wet_density": f"{wet} kg/m3", **form}
        own = dry(written, water_offset={"value": f"{offset} %", "in_display": False})
        correction = GaugeCorrectionFacts(
            ident="c", gauge="G-1", mode="direct_transmission", notch=6, effective_from=date(2026, 6, 1),
            water_offset_pct=offset,
        )  # fmt: skip
        readings = read_readings("nuclear_gauge", 1, written)
        sheet = Worksheet()
        assert work(gauge_adopted.with_correction(readings, correction), sheet).dry_density_kgm3 == own
        assert [step.note for step in sheet.steps if step.id == "gauge-offset-points"] == ["adopted correction c"]

    def test_what_contradicts_itself_is_refused_at_its_place(self) -> None:
        turned = {"wet_density": "2110 kg/m3", "water_content": "10.1 %"}
        for more, pointer in (
            ({"water_offset": {"factor": "0.9", "in_display": False}}, "/water_offset/factor_of"),
            ({"water_offset": {"in_display": False}}, "/water_offset/value"),
            ({"density_offset": {"factor": "9", "in_display": False}}, "/density_offset/factor"),
            ({"rotated": [turned]}, "/rotation"),
            ({"rotation": "apart"}, "/rotation"),
            ({"rotated": [turned] * 4, "rotation": "average"}, "/rotated"),
            ({"rotated": [{**turned, "turned": 45}], "rotation": "average"}, "/rotated/0/turned"),
            ({"rotated": [], "rotation": "average"}, "/rotated"),
            (
                {"rotated": [{"wet_density": "2110 kg/m3", "water": "190 kg/m3"}], "rotation": "average"},
                "/rotated/0",
            ),
        ):
            with pytest.raises(ReadingsError) as refused:
                read_readings("nuclear_gauge", 1, {**IN_POINTS, **more})
            assert pointer in [error.pointer for error in refused.value.errors], more


class TestTurned:
    def test_the_mean_of_two_and_of_four(self) -> None:
        second = {"turned": 90, "wet_density": "2120 kg/m3", "water_content": "10.4 %"}
        two = work(read_readings("nuclear_gauge", 1, {**IN_POINTS, "rotated": [second], "rotation": "average"}))
        assert (two.wet_density_kgm3, two.water_contents[0].water_content_pct) == (2110, D("10.2"))
        four = {**PER_VOLUME, "rotated": [{"wet_density": "2104 kg/m3", "water": "194 kg/m3"}] * 3}
        found = work(read_readings("nuclear_gauge", 1, {**four, "rotation": "average"}))
        assert (found.wet_density_kgm3, found.dry_density_kgm3) == (2103, 2103 - 193)

    @given(st.permutations([2080, 2100, 2110, 2095]))
    def test_the_order_of_turning_does_not_matter(self, wet: list[int]) -> None:
        first, *others = map(D, wet)
        readings = NuclearGaugeReadings(
            mode="backscatter",
            wet_density_kgm3=first,
            water_content_pct=D(10),
            rotated=tuple(TurnedReading(one, water_content_pct=D(10)) for one in others),
            rotation="average",
        )
        assert nuclear_gauge.work(readings).wet_density_kgm3 == D("2096.25")
        assert {one.wet_density_kgm3 for one in nuclear_gauge.each_turned(readings)} == set(map(D, wet))

    def test_a_spread_beyond_three_pcf_is_remarked(self) -> None:
        for second, codes in (("2148 kg/m3", []), ("2149 kg/m3", ["rotated-readings-spread"])):
            turned = {"wet_density": second, "water_content": "10.0 %"}
            found = work(read_readings("nuclear_gauge", 1, {**IN_POINTS, "rotated": [turned], "rotation": "average"}))
            assert [one.code for one in found.findings] == codes


class TestChecks:
    @pytest.mark.parametrize("inches", range(2, 13))
    def test_inch_and_millimetre_engravings_are_one_notch(self, inches: int) -> None:
        assert gauge_checks.notch(D(inches) * D("0.0254")) == gauge_checks.notch(D(inches) * D("0.025")) == inches

    def test_between_the_notches_there_is_none(self) -> None:
        for depth_m in ("0", "0.0254", "0.0635", "0.165", "0.3302", "1"):
            assert gauge_checks.notch(D(depth_m)) is None, depth_m

    def test_surroundings_are_remarked_and_change_no_figure(self) -> None:
        for more, code in (
            ({"wall_distance": "0.4 m"}, "wall-without-trench-count"),
            ({"wall_distance": "0.4 m", "trench": {"moisture_count": 690, "in_display": False}},
             "trench-offset-not-in-display"),
            ({"wall_distance": "0.4 m", "trench": {"moisture_count": 690, "in_display": True}}, ""),
            ({"wall_distance": "0.6 m"}, ""),
            ({"other_source_distance": "8 m"}, "other-source-near"),
            ({"other_source_distance": "10 m"}, ""),
        ):  # fmt: skip
            found = work(read_readings("nuclear_gauge", 1, {**IN_POINTS, **more}))
            assert [one.code for one in found.findings] == ([code] if code else [])
            assert found.dry_density_kgm3 == dry(IN_POINTS)


PAIRS = st.lists(st.tuples(st.integers(19000, 21000), st.integers(-300, 300)), min_size=3, max_size=15).map(
    lambda rows: [Pair(str(n), D(one + off) / 10, D(one) / 10) for n, (one, off) in enumerate(rows)]
)


class TestComparison:
    @given(PAIRS)
    def test_exchanged_sides_turn_the_signs_and_leave_the_test(self, pairs: list[Pair]) -> None:
        one = paired_comparison.compare(pairs)
        other = paired_comparison.compare([Pair(p.name, p.reference, p.checked) for p in pairs])
        tiny = D("2e-9")
        assert abs(one.mean_difference + other.mean_difference) <= tiny
        assert abs(one.confidence_low + other.confidence_high) <= tiny
        assert abs(one.agreement_high + other.agreement_low) <= tiny
        assert (one.standard_deviation, one.biased, one.outliers) == (
            other.standard_deviation, other.biased, other.outliers,
        )  # fmt: skip
        if one.deming_slope and other.deming_slope and D("0.01") < abs(one.deming_slope) < 100:
            assert one.deming_slope * other.deming_slope == pytest.approx(D(1), abs=D("1e-5"))

    @given(PAIRS)
    def test_the_line_through_both_scatters_is_the_first_principal_axis(self, pairs: list[Pair]) -> None:
        """With equal scatter Deming's line is that of least squared distance: numpy's singular vectors say the same."""
        points = np.array([[float(p.reference), float(p.checked)] for p in pairs])
        centred = points - points.mean(axis=0)
        _, sizes, axes = np.linalg.svd(centred)
        assume(sizes[0] - sizes[1] > 1 and abs(axes[0][0]) > 0.01 and abs(axes[0][1]) > 0.01)
        line = deming_regression.line([(pair.reference, pair.checked) for pair in pairs])
        assert line is not None
        assert float(line[0]) == pytest.approx(axes[0][1] / axes[0][0], rel=1e-6, abs=1e-6)
        assert float(line[1]) == pytest.approx(points[:, 1].mean() - float(line[0]) * points[:, 0].mean(), abs=1e-2)

    def test_deming_between_the_two_ordinary_lines_and_without_a_direction(self) -> None:
        pairs = [Pair(str(n), D(2 * n + n % 2 * 3), D(n)) for n in range(8)]
        found = paired_comparison.compare(pairs)
        assert found.slope is not None
        assert found.deming_slope is not None
        on_reference = paired_comparison.compare([Pair(p.name, p.reference, p.checked) for p in pairs]).slope
        assert on_reference is not None
        assert on_reference < found.deming_slope < 1 / found.slope
        assert deming_regression.line([(D(n), D(5)) for n in range(4)]) is None
        with pytest.raises(OutsideValidity):
            deming_regression.line([(D(n), D(n)) for n in range(4)], variance_ratio=D(0))

    def test_the_rules_count_pairs_means_and_single_differences(self) -> None:
        common, ten = comparison_rules.rule("common"), comparison_rules.rule("att-48")
        quiet = [Pair(str(n), D(2000 + d), D(2000)) for n, d in enumerate((8, 12, -9, -11, 5, -5, 3, -2, 0, 1))]
        wild = [*quiet[:-1], Pair("far", D(2070), D(2000))]
        shifted = [replace(pair, checked=pair.checked + 40) for pair in quiet]

        def verdict(pairs: list[Pair], by: comparison_rules.ComparisonRule) -> str:
            found = paired_comparison.compare(pairs)
            return comparison_rules.judge(pairs, found, by=by, unit="kg/m3").verdict

        assert [verdict(quiet, common), verdict(wild, common), verdict(shifted, common)] == [
            "within", "outside", "outside",
        ]  # fmt: skip
        assert [verdict(quiet, ten), verdict(shifted, ten)] == ["within", "outside"]
        assert verdict(shifted[:4], common) == "too_few"
        assert ten.pairs_wanted == 10  # NG-04: ATT-48 wants ten sites
        said = comparison_rules.judge(wild, paired_comparison.compare(wild), by=common, unit="kg/m3").sentences
        assert said[-1] == "Single differences beyond 64 kg/m3 (4.0 pcf): far."
        with pytest.raises(CalculationError, match="known are"):
            comparison_rules.rule("ours")
