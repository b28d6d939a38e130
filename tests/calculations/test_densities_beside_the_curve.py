"""Relative density, rapid method, family of curves: identities, directions, limits, what cannot be."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations import family_of_curves, rapid_method, relative_density
from compaction.calculations.catalogue import FORMULAS
from compaction.calculations.density import dry_density_kgm3
from compaction.calculations.errors import CalculationError, ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import UNITS, quantise
from compaction.calculations.rapid_method import RapidPoint
from compaction.calculations.worksheet import Worksheet
from compaction.calculations.zero_air_voids import void_ratio
from compaction.facts import CurvePoint, ReferenceFacts

D = Decimal
#: Far above the error of 28 digits; figures with nine decimals would part where one of them is a tie.
ALMOST = D("1e-15")
PCF = UNITS["density"]["pcf"]


class TestRelativeDensity:
    @given(st.integers(1100, 1500), st.integers(50, 600), st.integers(800, 2300))
    def test_densities_and_void_ratios_give_one_figure(self, low: int, more: int, dry: int) -> None:
        solids = {"specific_gravity": D("2.65"), "water_density_kgm3": D(1000)}
        by_density = relative_density.relative_density_pct(
            dry_density_kgm3=D(dry), minimum_index_density_kgm3=D(low), maximum_index_density_kgm3=D(low + more)
        )
        by_voids = relative_density.relative_density_from_void_ratios_pct(
            void_ratio=void_ratio(dry_density_kgm3=D(dry), **solids),
            maximum_void_ratio=void_ratio(dry_density_kgm3=D(low), **solids),
            minimum_void_ratio=void_ratio(dry_density_kgm3=D(low + more), **solids),
        )
        assert abs(by_density - by_voids) < ALMOST

    @given(st.integers(1100, 1500), st.integers(50, 600), st.integers(-20, 110))
    def test_there_and_back_and_rising(self, low: int, more: int, percent: int) -> None:
        ends = {"minimum_index_density_kgm3": D(low), "maximum_index_density_kgm3": D(low + more)}
        dry = relative_density.dry_density_at_relative_density_kgm3(relative_density_pct=D(percent), **ends)
        assert quantise(relative_density.relative_density_pct(dry_density_kgm3=dry, **ends)) == percent
        assert relative_density.relative_density_pct(dry_density_kgm3=dry + 1, **ends) > percent

    @given(st.integers(850, 950), st.integers(30, 300), st.integers(900, 1300))
    def test_a_unit_never_changes_it(self, low: int, more: int, dry: int) -> None:
        tenths = [D(value) / 10 for value in (dry, low, low + more)]
        names = ("dry_density_kgm3", "minimum_index_density_kgm3", "maximum_index_density_kgm3")
        in_pcf, bare = (
            relative_density.relative_density_pct(**{n: v * factor for n, v in zip(names, tenths, strict=True)})
            for factor in (PCF, D(1))
        )
        assert abs(in_pcf - bare) < ALMOST

    def test_the_ends_are_zero_and_a_hundred_and_beyond_them_is_remarked(self) -> None:
        ends = {"minimum_index_density_kgm3": D(1400), "maximum_index_density_kgm3": D(1750)}
        found = [relative_density.relative_density_pct(dry_density_kgm3=D(d), **ends) for d in (1400, 1750, 1399, 1751)]
        assert found[:2] == [0, 100]
        remarks = [relative_density.relative_density_findings(relative_density_pct=value) for value in found]
        assert [[finding.code for finding in one] for one in remarks] == [
            [],
            [],
            ["looser-than-minimum-index"],
            ["denser-than-maximum-index"],
        ]

    def test_what_cannot_be(self) -> None:
        exchanged = {"minimum_index_density_kgm3": D(1750), "maximum_index_density_kgm3": D(1400)}
        with pytest.raises(ImpossibleReading, match="exchanged"):
            relative_density.relative_density_pct(dry_density_kgm3=D(1600), **exchanged)
        ends = {"minimum_index_density_kgm3": D(1400), "maximum_index_density_kgm3": D(1750)}
        with pytest.raises(ImpossibleReading, match="greater than zero"):
            relative_density.relative_density_pct(dry_density_kgm3=D(0), **ends)
        with pytest.raises(ImpossibleReading, match="No dry density"):
            relative_density.dry_density_at_relative_density_kgm3(relative_density_pct=D(500), **ends)
        with pytest.raises(ImpossibleReading, match="exchanged"):
            relative_density.relative_density_from_void_ratios_pct(
                void_ratio=D("0.5"), maximum_void_ratio=D("0.4"), minimum_void_ratio=D("0.7")
            )
        with pytest.raises(ImpossibleReading):
            relative_density.index_density_kgm3(dry_mass_kg=D(0), mould_volume_m3=D("0.0028"))
        with pytest.raises(NotEnoughReadings):
            relative_density.mean_index_density_kgm3([])


def rapid_points(fill_pct: Decimal, waters: list[Decimal], dries: list[Decimal]) -> list[RapidPoint]:
    """Specimens of known water and dry density, as the rapid method sees them."""
    return [
        RapidPoint(
            added_water_pct=(water - fill_pct) * 100 / (100 + fill_pct),
            wet_density_kgm3=dry * (100 + water) / 100,
        )
        for water, dry in zip(waters, dries, strict=True)
    ]


class TestRapidMethod:
    @given(
        fill=st.integers(2, 25),
        place=st.sampled_from([0, 1, 2]),
        step=st.integers(1, 4),
        rise=st.integers(-60, 60),
        bend=st.integers(1, 60),
        field=st.integers(1500, 2300),
    )
    def test_it_is_the_dry_density_parabola(
        self, fill: int, place: int, step: int, rise: int, bend: int, field: int
    ) -> None:
        """Percent compaction, maximum, optimum and deviation are those of the same points with the oven's water."""
        half = D(step) / 2
        waters = [D(fill) + (n - place) * half for n in range(3)]
        # 1900 + rise u - bend u (u - 1) / 2 with u = 0, 1, 2 peaks at u = rise / bend + 1/2.
        dries = [D(1900), D(1900 + rise), D(1900 + 2 * rise - bend)]
        u = D(rise) / bend + D("0.5")
        maximum, optimum = 1900 + rise * u - bend * u * (u - 1) / 2, waters[0] + half * u
        found = rapid_method.peak(rapid_points(D(fill), waters, dries))
        percent = rapid_method.percent_compaction_pct(
            fill_wet_density_kgm3=D(field), peak_converted_wet_density_kgm3=found.converted_wet_density_kgm3
        )
        deviation = rapid_method.water_content_deviation_pct(
            peak_added_water_pct=found.added_water_pct, fill_water_content_pct=D(fill)
        )
        dry = dry_density_kgm3(wet_density_kgm3=D(field), water_content_pct=D(fill))
        assert abs(found.converted_wet_density_kgm3 / (1 + D(fill) / 100) - maximum) < D("1e-15")
        assert abs(D(fill) - optimum - deviation) < D("1e-15")
        assert abs(percent - 100 * dry / maximum) < D("1e-15")
        assert bool(found.findings) is not (0 <= u <= 2)

    def test_the_sign_follows_the_water(self) -> None:
        """Fill dry of optimum: water is added (z > 0), our deviation is negative, that of D5080 positive."""
        dry_fill = rapid_method.peak(rapid_points(D(8), [D(8), D(10), D(12)], [D(1900), D(1950), D(1920)]))
        wet_fill = rapid_method.peak(rapid_points(D(12), [D(8), D(10), D(12)], [D(1900), D(1950), D(1920)]))
        for found, fill, sign in ((dry_fill, D(8), -1), (wet_fill, D(12), 1)):
            deviation = rapid_method.water_content_deviation_pct(
                peak_added_water_pct=found.added_water_pct, fill_water_content_pct=fill
            )
            assert deviation * sign > 0
            assert found.added_water_pct * sign < 0
            assert rapid_method.in_convention_pct(deviation, convention="dry_positive") == -deviation
            assert rapid_method.in_convention_pct(deviation, convention="wet_positive") == deviation

    def test_an_estimate_of_the_fill_hardly_matters(self) -> None:
        near, far = (
            rapid_method.water_content_deviation_pct(peak_added_water_pct=D(3), fill_water_content_pct=D(fill))
            for fill in (10, 14)
        )
        assert abs(near - far) == D("0.12")  # D5080 section 5.1.3: within 0.1 to 0.2 points

    @pytest.mark.parametrize(
        ("zs", "densities", "code"),
        [
            ((0, 2), (2000, 2020), "rapid-needs-three-points"),
            ((0, 2, 2), (2000, 2020, 2010), "rapid-needs-three-points"),
            ((1, 2, 3), (2000, 2020, 2010), "rapid-needs-fill-point"),
            ((0, 2, 4), (2000, 2010, 2100), "rapid-no-peak"),
            ((0, 2, -100), (2000, 2010, 1900), "rapid-point-impossible"),
            ((0, 2, 4), (2000, 0, 1900), "rapid-point-impossible"),
        ],
    )
    def test_points_that_give_no_peak(self, zs: tuple[int, ...], densities: tuple[int, ...], code: str) -> None:
        with pytest.raises(CalculationError) as raised:
            rapid_method.peak([RapidPoint(D(z), D(d)) for z, d in zip(zs, densities, strict=True)])
        assert raised.value.code == code

    def test_a_peak_beyond_the_points_is_remarked(self) -> None:
        points = [RapidPoint(D(z), D(d) * (100 + z) / 100) for z, d in ((0, 1900), (2, 1960), (4, 2000))]
        assert [finding.code for finding in rapid_method.peak(points).findings] == ["rapid-peak-outside-points"]

    def test_its_steps_stand_in_the_catalogue(self) -> None:
        sheet = Worksheet()
        rapid_method.peak([RapidPoint(D(z), D(2000 - z * z * 5)) for z in (0, 2, -2)], sheet)
        assert [step.id for step in sheet.steps] == ["rapid-converted-wet-density"] * 3 + ["rapid-peak"]
        assert all(step.id in FORMULAS for step in sheet.steps)


def curve(code: str, maximum: str, optimum: str, *, method: str = "T99-A", driest: str = "0.7") -> ReferenceFacts:
    limb = [(D(share), 1 - (1 - D(share)) ** 2) for share in (driest, "0.85", "0.93", "1")]
    return ReferenceFacts(
        code=code,
        rev=1,
        approved=True,
        method=method,
        maximum_dry_density_kgm3=D(maximum),
        optimum_water_content_pct=D(optimum),
        points=tuple(CurvePoint(share * D(optimum), height * D(maximum)) for share, height in limb),
    )


FAMILY = [curve("A", "1700", "20"), curve("B", "1800", "16"), curve("C", "1900", "12")]


class TestFamilyOfCurves:
    @pytest.mark.parametrize("member", FAMILY, ids=lambda member: member.code)
    @pytest.mark.parametrize("share", ["0.85", "0.93", "1"])
    def test_a_point_on_a_curve_gives_that_curve(self, member: ReferenceFacts, share: str) -> None:
        at = D(share)
        found = family_of_curves.one_point(
            FAMILY,
            water_content_pct=at * member.optimum_water_content_pct,
            dry_density_kgm3=(1 - (1 - at) ** 2) * member.maximum_dry_density_kgm3,
        )
        assert found.on_curve == member.code
        assert abs(found.maximum_dry_density_kgm3 - member.maximum_dry_density_kgm3) < D("0.001")
        assert abs(found.percent_of_optimum - 100 * at) < D("0.001")

    @given(st.integers(0, 200), st.integers(80, 100))
    def test_a_point_inside_is_found_again(self, tenths: int, percent: int) -> None:
        """Between neighbours the curve through a point of the mixed curve is that mixed curve."""
        t = D(tenths) / 100
        lower = FAMILY[0] if t < 1 else FAMILY[1]
        maximum = D(1700) + 100 * t
        optimum = D(20) - 4 * t
        limb = [(p.water_content_pct / lower.optimum_water_content_pct, p.dry_density_kgm3) for p in lower.points]
        heights = [(share, dry / lower.maximum_dry_density_kgm3) for share, dry in limb]
        share = D(percent) / 100
        height = next(
            low + (high - low) * (share - left) / (right - left)
            for (left, low), (right, high) in pairwise(heights)
            if left <= share <= right
        )
        found = family_of_curves.one_point(FAMILY, water_content_pct=share * optimum, dry_density_kgm3=height * maximum)
        assert abs(found.maximum_dry_density_kgm3 - maximum) < D("0.001")
        assert abs(found.optimum_water_content_pct - optimum) < D("0.001")

    @given(st.integers(1705, 1790))
    def test_a_denser_point_is_a_denser_soil(self, dry: int) -> None:
        at = {"water_content_pct": D(16)}
        one, other = (family_of_curves.one_point(FAMILY, dry_density_kgm3=D(value), **at) for value in (dry, dry + 1))
        assert other.maximum_dry_density_kgm3 > one.maximum_dry_density_kgm3
        assert other.optimum_water_content_pct < one.optimum_water_content_pct

    @pytest.mark.parametrize(
        ("water", "dry", "code"),
        [
            ("14.0", "1650", "one-point-outside-window"),  # some 74 % of its optimum
            ("10.0", "1700", "one-point-outside-window"),
            ("16.0", "1850", "one-point-outside-family"),  # wet of optimum, or denser than the family
            ("16.0", "1500", "one-point-outside-family"),
            ("25.0", "1600", "one-point-outside-family"),
        ],
    )
    def test_outside_window_or_family_no_maximum_is_given(self, water: str, dry: str, code: str) -> None:
        with pytest.raises(OutsideValidity) as raised:
            family_of_curves.one_point(FAMILY, water_content_pct=D(water), dry_density_kgm3=D(dry))
        assert raised.value.code == code

    def test_the_window_has_both_its_ends(self) -> None:
        for share, found in ((D("0.80"), True), (D("0.799"), False)):
            limb = D("0.91") + (D("0.9775") - D("0.91")) * (share - D("0.7")) / D("0.15")
            point = {"water_content_pct": share * 16, "dry_density_kgm3": limb * 1800}
            if found:
                assert family_of_curves.one_point(FAMILY, **point).percent_of_optimum == 80
            else:
                with pytest.raises(OutsideValidity, match="Compact another"):
                    family_of_curves.one_point(FAMILY, **point)

    def test_what_is_no_family(self) -> None:
        point = {"water_content_pct": D(16), "dry_density_kgm3": D(1750)}
        cases = {
            "family-too-small": FAMILY[:2],
            "family-mixes-methods": [*FAMILY[:2], replace(FAMILY[2], method="T180-A")],
            "spine-not-falling": [curve("A", "1700", "12"), FAMILY[1], curve("C", "1900", "20")],
            "dry-limb-too-short": [*FAMILY[:2], curve("C", "1900", "12", driest="0.81")],
        }
        for code, family in cases.items():
            with pytest.raises(NotEnoughReadings) as raised:
                family_of_curves.one_point(family, **point)
            assert raised.value.code == code
        with pytest.raises(ImpossibleReading):
            family_of_curves.one_point(FAMILY, water_content_pct=D(0), dry_density_kgm3=D(1750))

    def test_a_curve_off_the_spine_is_named(self) -> None:
        family = [curve(f"P{n}", str(1600 + 40 * n), str(22 - n)) for n in range(9)]
        family[4] = replace(family[4], optimum_water_content_pct=D(13))
        found = family_of_curves.family_findings(family)
        assert [finding.code for finding in found] == ["curve-off-spine"]
        assert "P4" in found[0].sentence
