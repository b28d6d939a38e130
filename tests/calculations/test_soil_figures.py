"""Water content, oversize, densities and zero air voids: limits from physics, inverses, and what is refused."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations import calibration, moisture, oversize, standard_counts, zero_air_voids
from compaction.calculations.density import dry_density_kgm3, percent_compaction
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings, OutsideValidity
from compaction.calculations.quantities import quantise, to_si
from compaction.calculations.worksheet import Worksheet
from compaction.facts import WaterContentReading

WATER = Decimal(1000)


def decimals(low: str, high: str, places: int = 3) -> st.SearchStrategy[Decimal]:
    return st.decimals(min_value=low, max_value=high, places=places)


DENSITIES = decimals("1200", "2500")
WATERS = decimals("0", "60")
GRAVITIES = decimals("2.55", "2.95")


class TestWaterContent:
    def test_doubling_comes_before_the_change_of_basis(self) -> None:
        sheet = Worksheet()
        got = moisture.carbide_dry_basis(Decimal("11.0"), True, sheet)
        wrong_order = 2 * moisture.wet_to_dry_basis_pct(Decimal("11.0"))
        assert round(got, 1) == Decimal("28.2")
        assert round(wrong_order, 1) == Decimal("24.7")
        assert [step.id for step in sheet.steps] == ["carbide-half-specimen", "wet-to-dry-basis"]

    @given(WATERS)
    def test_to_the_wet_basis_and_back(self, water_pct: Decimal) -> None:
        wet_basis = moisture.dry_to_wet_basis_pct(water_pct)
        assert wet_basis <= water_pct
        assert quantise(moisture.wet_to_dry_basis_pct(wet_basis)) == quantise(water_pct)

    @pytest.mark.parametrize(
        ("wet", "dry", "can"), [("100", "110", "50"), ("100", "50", "50"), ("100", "40", "50"), ("100", "90", "-1")]
    )
    def test_masses_that_cannot_be(self, wet: str, dry: str, can: str) -> None:
        with pytest.raises(ImpossibleReading) as raised:
            moisture.from_masses(wet_and_can_kg=Decimal(wet), dry_and_can_kg=Decimal(dry), can_kg=Decimal(can))
        assert raised.value.code == "impossible-mass"

    def test_dry_soil_has_no_water(self) -> None:
        nothing = moisture.from_masses(wet_and_can_kg=Decimal(2), dry_and_can_kg=Decimal(2), can_kg=Decimal(1))
        assert nothing == 0

    def test_a_determination_without_a_figure_names_what_is_missing(self) -> None:
        with pytest.raises(NotEnoughReadings, match="no value, no cans and no dial") as raised:
            moisture.water_content_pct(WaterContentReading(method="oven", fraction="total"))
        assert raised.value.missing == ("value", "cans", "dial")

    @pytest.mark.parametrize("dial", ["20.1", "-0.1"])
    def test_a_dial_beyond_its_range(self, dial: str) -> None:
        with pytest.raises((OutsideValidity, ImpossibleReading)):
            moisture.carbide_dry_basis(Decimal(dial))


class TestOversize:
    @given(DENSITIES, decimals("0", "40", 1), GRAVITIES)
    def test_to_the_whole_and_back_to_the_control_fraction(
        self, control_kgm3: Decimal, oversize_pct: Decimal, gravity: Decimal
    ) -> None:
        stones = {
            "oversize_pct": oversize_pct,
            "bulk_specific_gravity": gravity,
            "water_density_kgm3": WATER,
        }
        whole = oversize.corrected_maximum_dry_density_kgm3(maximum_dry_density_kgm3=control_kgm3, **stones)
        back = oversize.field_control_fraction_dry_density_kgm3(total_dry_density_kgm3=whole, **stones)
        assert quantise(back) == quantise(control_kgm3)
        assert min(control_kgm3, gravity * WATER) - 1 < whole < max(control_kgm3, gravity * WATER) + 1

    @given(WATERS, decimals("0", "5", 1), decimals("0", "40", 1))
    def test_water_to_the_whole_and_back(self, control: Decimal, stones: Decimal, oversize_pct: Decimal) -> None:
        total = oversize.total_water_content_pct(
            control_pct=control, oversize_water_pct=stones, oversize_pct=oversize_pct
        )
        back = oversize.field_control_fraction_water_content_pct(
            total_water_content_pct=total, oversize_water_content_pct=stones, oversize_pct=oversize_pct
        )
        assert quantise(back) == quantise(control)

    @given(decimals("0.001", "2", 3), decimals("0", "5", 1), decimals("0", "30", 1))
    def test_percent_from_masses_is_one_whichever_water_is_known(
        self, stones_kg: Decimal, stones_pct: Decimal, control_pct: Decimal
    ) -> None:
        masses = {
            "total_wet_mass_kg": Decimal(5),
            "oversize_wet_mass_kg": stones_kg,
            "oversize_water_content_pct": stones_pct,
        }
        from_control = oversize.oversize_pct_from_masses(**masses, control_water_content_pct=control_pct)
        total_pct = oversize.total_water_content_pct(
            control_pct=control_pct, oversize_water_pct=stones_pct, oversize_pct=from_control
        )
        from_total = oversize.oversize_pct_from_masses(**masses, total_water_content_pct=total_pct)
        assert quantise(from_control) == quantise(from_total)

    def test_beyond_the_limit_the_sentence_names_value_limit_and_remedy(self) -> None:
        with pytest.raises(OutsideValidity) as raised:
            oversize.correction_applies(oversize_pct=Decimal("30.1"), sieve="three_quarters")
        assert "30.10 %" in raised.value.sentence
        assert "30 %" in raised.value.sentence
        assert "test fill" in raised.value.sentence
        assert (raised.value.value, raised.value.limit, raised.value.unit) == (Decimal("30.1"), Decimal(30), "%")

    def test_a_sieve_that_the_practice_does_not_know(self) -> None:
        with pytest.raises(OutsideValidity, match=r"No\. 4"):
            oversize.correction_applies(oversize_pct=Decimal(10), sieve="no4", practice="nddot_t224")

    def test_stones_that_would_fill_the_hole(self) -> None:
        with pytest.raises(ImpossibleReading) as raised:
            oversize.field_control_fraction_dry_density_kgm3(
                total_dry_density_kgm3=Decimal(2600),
                oversize_pct=Decimal(99),
                bulk_specific_gravity=Decimal("2.55"),
                water_density_kgm3=WATER,
            )
        assert raised.value.code == "oversize-fills-the-hole"

    def test_exactly_one_water_content_is_wanted_for_masses(self) -> None:
        with pytest.raises(NotEnoughReadings):
            oversize.oversize_pct_from_masses(
                total_wet_mass_kg=Decimal(3), oversize_wet_mass_kg=Decimal(1), oversize_water_content_pct=Decimal(1)
            )


class TestZeroAirVoids:
    @given(decimals("0.001", "60"), GRAVITIES)
    def test_on_the_line_saturation_is_full_and_no_air_is_left(self, water_pct: Decimal, gravity: Decimal) -> None:
        soil = {"specific_gravity": gravity, "water_density_kgm3": WATER}
        line = zero_air_voids.zero_air_voids_dry_density_kgm3(water_content_pct=water_pct, **soil)
        on_the_line = {"dry_density_kgm3": line, "water_content_pct": water_pct, **soil}
        assert abs(zero_air_voids.air_voids_pct(**on_the_line)) < Decimal("1e-20")
        assert quantise(zero_air_voids.saturation_pct(**on_the_line)) == 100
        voids = zero_air_voids.void_ratio(dry_density_kgm3=line, **soil)
        assert quantise(voids) == quantise(water_pct * gravity / 100)

    def test_dry_soil_on_the_line_is_solid(self) -> None:
        with pytest.raises(ImpossibleReading, match="solids") as raised:
            zero_air_voids.saturation_pct(
                dry_density_kgm3=Decimal(2700),
                water_content_pct=Decimal(0),
                specific_gravity=Decimal("2.70"),
                water_density_kgm3=WATER,
            )
        assert raised.value.code == "denser-than-solids"

    @given(DENSITIES, DENSITIES, WATERS)
    def test_wetter_is_lower_and_denser_is_higher(self, low: Decimal, high: Decimal, water_pct: Decimal) -> None:
        low, high = sorted((low, high))
        dry = dry_density_kgm3(wet_density_kgm3=high, water_content_pct=water_pct)
        assert dry >= dry_density_kgm3(wet_density_kgm3=low, water_content_pct=water_pct)
        assert dry > dry_density_kgm3(wet_density_kgm3=high, water_content_pct=water_pct + 1)
        assert percent_compaction(dry_density_kgm3=dry, maximum_dry_density_kgm3=dry) == 100


class TestCalibration:
    def test_between_two_lines_of_the_table(self) -> None:
        between = calibration.water_density_kgm3(temperature_degc=to_si(Decimal("68.5"), "degF"))
        assert quantise(between) == quantise(to_si(Decimal("62.3115"), "pcf"))

    @pytest.mark.parametrize("degf", ["67.9", "86.1"])
    def test_outside_the_table(self, degf: str) -> None:
        with pytest.raises(OutsideValidity) as raised:
            calibration.water_density_kgm3(temperature_degc=to_si(Decimal(degf), "degF"))
        assert raised.value.code == "water-temperature-out-of-table"

    def test_a_container_of_no_volume(self) -> None:
        with pytest.raises(ImpossibleReading):
            calibration.sand_bulk_density_kgm3(sand_mass_kg=Decimal(1), container_volume_m3=Decimal(0))


class TestStandardCounts:
    @pytest.mark.parametrize(("count", "off"), [(2846, 0), (2902, 0), (2845, 1), (2903, 1)])
    def test_one_percent_of_2874_for_density(self, count: int, off: int) -> None:
        found = standard_counts.standard_count_findings(kind="density", count=count, reference=Decimal(2874))
        assert len(found) == off

    @pytest.mark.parametrize(("count", "off"), [(647, 0), (673, 0), (646, 1), (674, 1)])
    def test_two_percent_of_660_for_moisture(self, count: int, off: int) -> None:
        found = standard_counts.standard_count_findings(kind="moisture", count=count, reference=Decimal(660))
        assert len(found) == off

    def test_after_some_160_days_a_sound_gauge_is_one_percent_down(self) -> None:
        assert standard_counts.decayed_count(count=Decimal(10_000), days=155) > 9900
        assert standard_counts.decayed_count(count=Decimal(10_000), days=165) < 9900
