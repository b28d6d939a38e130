"""Readings of each method: read strictly and all at once, worked to finite figures or to a named error."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compaction.calculations.catalogue import FORMULAS
from compaction.calculations.errors import CalculationError, ImpossibleReading, ReadingsError
from compaction.calculations.hole_sizes import hole_findings
from compaction.calculations.in_place import InPlace
from compaction.calculations.methods import METHODS, Field, read_readings, work
from compaction.calculations.nuclear_gauge import NuclearGaugeReadings
from compaction.calculations.quantities import UNITS, quantise
from compaction.calculations.sand_cone import SandConeReadings
from compaction.calculations.worksheet import Worksheet

SAND_CONE = {
    "mass_before": "6842 g",
    "mass_after": "2871 g",
    "cone_and_plate_mass": "1612 g",
    "sand_bulk_density": "1.412 g/cm3",
    "soil_wet_mass": "3421 g",
}
GAUGE = {
    "mode": "direct_transmission",
    "depth": "6 in",
    "serial": "G-1187",
    "density_standard_count": 2874,
    "moisture_standard_count": 660,
    "count_time": "1 min",
    "wet_density": "2200 kg/m3",
    "water": "200 kg/m3",
}


def problems(method: str, written: object) -> list[tuple[str, str]]:
    with pytest.raises(ReadingsError) as raised:
        read_readings(method, 1, written)
    return [(error.pointer, error.code) for error in raised.value.errors]


def worked(method: str, written: dict[str, Any]) -> InPlace:
    return work(read_readings(method, 1, written))


class TestReading:
    def test_every_problem_is_told_at_once(self) -> None:
        written = {"mass_before": "6842", "mass_after": 2871, "cone_and_plate_mass": "1612 g", "soil/wet~": "1 g"}
        assert problems("sand_cone", written) == [
            ("/soil~1wet~0", "unknown-name"),
            ("/mass_before", "unit-missing"),
            ("/mass_after", "not-a-quantity"),
            ("/sand_bulk_density", "missing"),
            ("/soil_wet_mass", "missing"),
        ]

    def test_the_cone_is_a_mass_or_a_volume_but_not_both_nor_neither(self) -> None:
        neither = {name: value for name, value in SAND_CONE.items() if name != "cone_and_plate_mass"}
        both = SAND_CONE | {"cone_and_plate_volume": "1141 cm3"}
        for written in (neither, both):
            assert problems("sand_cone", written) == [("/cone_and_plate_mass", "exactly-one-of")]

    def test_problems_inside_a_group_point_into_it(self) -> None:
        written = GAUGE | {"water_offset": {"value": "0.5 kg", "in_display": "no", "gauge": "G"}}
        assert problems("nuclear_gauge", written) == [
            ("/water_offset/gauge", "unknown-name"),
            ("/water_offset/value", "unit-unknown"),
            ("/water_offset/in_display", "not-yes-or-no"),
        ]

    @pytest.mark.parametrize("written", [None, [], "x", 3])
    def test_readings_are_an_object(self, written: object) -> None:
        assert problems("sand_cone", written) == [("", "not-an-object")]

    def test_methods_and_schemas_nobody_knows(self) -> None:
        assert problems("water_witching", SAND_CONE) == [("", "unknown-method")]
        with pytest.raises(ReadingsError, match="update the server"):
            read_readings("sand_cone", 2, SAND_CONE)

    @pytest.mark.parametrize("text", ["a\x00b", "line\nbreak", "\ud800", "x" * 201])
    def test_text_is_plain_and_short(self, text: str) -> None:
        assert problems("nuclear_gauge", GAUGE | {"serial": text}) == [("/serial", "text-not-plain")]

    def test_each_method_names_fields_for_its_form(self) -> None:
        for code, method in METHODS.items():
            assert method.code == code
            assert all(field.label and field.name.isidentifier() for field in method.fields)
            assert set(method.upgraders) == set(range(1, method.schema))


class TestSandCone:
    @pytest.mark.parametrize(
        ("change", "words"),
        [
            ({"mass_after": "6842 g"}, "exchanged"),
            ({"mass_after": "7000 g"}, "exchanged"),
            ({"mass_after": "-1 g"}, "at least zero"),
            ({"cone_and_plate_mass": "3971 g"}, "nothing is left"),
            ({"cone_and_plate_mass": "-1 g"}, "nothing is left"),
            ({"soil_wet_mass": "0 g"}, "greater than zero"),
            ({"empty_apparatus_mass": "2872 g"}, "empty"),
        ],
    )
    def test_masses_that_cannot_be_are_read_but_not_worked(self, change: dict[str, str], words: str) -> None:
        readings = read_readings("sand_cone", 1, SAND_CONE | change)
        with pytest.raises(ImpossibleReading, match=words) as raised:
            work(readings)
        assert raised.value.code == "impossible-mass"
        assert raised.value.unit == "kg"

    def test_the_cone_as_a_volume_gives_what_the_same_cone_as_a_mass_gives(self) -> None:
        readings = read_readings("sand_cone", 1, SAND_CONE)
        as_volume = replace(
            readings, cone_and_plate_mass_kg=None, cone_and_plate_volume_m3=Decimal("1.612") / Decimal(1412)
        )
        volume, mass = work(as_volume).hole_volume_m3, work(readings).hole_volume_m3
        assert volume is not None
        assert mass is not None
        assert quantise(volume) == quantise(mass)

    def test_a_sand_of_unusual_density_is_a_finding(self) -> None:
        found = worked("sand_cone", SAND_CONE | {"sand_bulk_density": "1.70 g/cm3"}).findings
        assert [finding.code for finding in found] == ["sand-density-unusual"]

    def test_a_particle_beyond_the_table_asks_for_a_test_pit(self) -> None:
        found = hole_findings(hole_volume_m3=Decimal(1), maximum_particle_mm=Decimal(40))
        assert [finding.code for finding in found] == ["particle-beyond-method"]

    @given(
        st.integers(min_value=1000, max_value=9000),
        st.integers(min_value=1, max_value=500),
        st.integers(min_value=1300, max_value=1650),
    )
    def test_more_soil_is_denser_and_a_larger_hole_is_looser(self, soil_g: int, more_g: int, sand_kgm3: int) -> None:
        readings = SandConeReadings(
            mass_before_kg=Decimal(9),
            mass_after_kg=Decimal(4),
            sand_bulk_density_kgm3=Decimal(sand_kgm3),
            soil_wet_mass_kg=Decimal(soil_g) / 1000,
            cone_and_plate_mass_kg=Decimal("1.6"),
        )
        more_soil = replace(readings, soil_wet_mass_kg=readings.soil_wet_mass_kg + Decimal(more_g) / 1000)
        larger_hole = replace(readings, mass_after_kg=readings.mass_after_kg - Decimal(more_g) / 1000)
        density = {name: work(each).wet_density_kgm3 for name, each in
                   (("plain", readings), ("soil", more_soil), ("hole", larger_hole))}  # fmt: skip
        assert density["hole"] < density["plain"] < density["soil"]  # type: ignore[operator]


class TestUnits:
    """One test written in several systems of units is one test."""

    @given(
        st.integers(min_value=5000, max_value=9000),
        st.integers(min_value=0, max_value=1500),
        st.integers(min_value=1000, max_value=6000),
    )
    def test_a_unit_never_changes_a_sand_cone_result(self, before_g: int, after_g: int, soil_g: int) -> None:
        grams = SAND_CONE | {
            "mass_before": f"{before_g} g",
            "mass_after": f"{after_g} g",
            "soil_wet_mass": f"{soil_g} g",
        }
        kilograms = grams | {
            "mass_before": f"{Decimal(before_g) / 1000:f} kg",
            "mass_after": f"{Decimal(after_g) / 1000:f} kg",
            "soil_wet_mass": f"{Decimal(soil_g) / 1000:f} kg",
            "cone_and_plate_mass": "1.612 kg",
            "sand_bulk_density": "1412 kg/m3",
        }
        assert worked("sand_cone", grams) == worked("sand_cone", kilograms)

    @given(st.integers(min_value=800, max_value=1600), st.integers(min_value=0, max_value=400))
    def test_pounds_and_kilograms_give_one_dry_density(self, wet_tenths: int, water_tenths: int) -> None:
        wet, water = Decimal(wet_tenths) / 10, Decimal(water_tenths) / 10
        in_pcf = NuclearGaugeReadings(
            mode="backscatter",
            wet_density_kgm3=wet * UNITS["density"]["pcf"],
            water_density_in_soil_kgm3=water * UNITS["density"]["pcf"],
        )
        dry = work(in_pcf).dry_density_kgm3
        assert dry is not None
        assert quantise(dry / UNITS["density"]["pcf"]) == wet - water


class TestNuclearGauge:
    def test_water_per_volume_and_the_same_water_content_agree(self) -> None:
        by_mass = worked("nuclear_gauge", GAUGE)
        without = {name: value for name, value in GAUGE.items() if name != "water"}
        by_content = worked("nuclear_gauge", without | {"water_content": "10 %"})
        assert by_mass.dry_density_kgm3 == by_content.dry_density_kgm3 == 2000
        assert by_mass.water_contents == by_content.water_contents
        assert by_mass.findings == ()

    def test_an_offset_is_applied_only_where_the_display_has_it_not(self) -> None:
        for value, dry in (("-20 kg/m3", Decimal(2020)), ("1 %", Decimal(2200) / Decimal("1.11"))):
            applied = worked("nuclear_gauge", GAUGE | {"water_offset": {"value": value, "in_display": False}})
            left = worked("nuclear_gauge", GAUGE | {"water_offset": {"value": value, "in_display": True}})
            assert quantise(applied.dry_density_kgm3 or Decimal(0)) == quantise(dry)
            assert left.dry_density_kgm3 == 2000

    def test_an_offset_of_mass_works_on_the_mass_even_where_content_is_displayed(self) -> None:
        without = {name: value for name, value in GAUGE.items() if name != "water"}
        offset = {"value": "-20 kg/m3", "in_display": False}
        got = worked("nuclear_gauge", without | {"water_content": "10 %", "water_offset": offset})
        assert got.dry_density_kgm3 == 2020

    @pytest.mark.parametrize(
        ("change", "code"),
        [
            ({"density_standard_count": None}, "standard-count-missing"),
            ({"depth": None}, "depth-missing"),
            ({"mode": "backscatter"}, "mode-and-depth-disagree"),
        ],
    )
    def test_what_the_reviewer_would_ask(self, change: dict[str, str | None], code: str) -> None:
        written = {name: value for name, value in (GAUGE | change).items() if value is not None}
        assert [finding.code for finding in worked("nuclear_gauge", written).findings] == [code]

    @pytest.mark.parametrize(
        ("change", "code"),
        [
            ({"water": "2200 kg/m3"}, "water-not-below-wet-density"),
            ({"wet_density": "0 kg/m3"}, "wet-density-not-positive"),
            ({"water_offset": {"value": "-11 %", "in_display": False}}, "water-content-negative"),
        ],
    )
    def test_readings_that_cannot_be(self, change: dict[str, Any], code: str) -> None:
        with pytest.raises(ImpossibleReading) as raised:
            worked("nuclear_gauge", GAUGE | change)
        assert raised.value.code == code


def test_a_sheet_whose_densities_disagree_is_found_and_a_rounded_one_is_not() -> None:
    rounded = {"wet_density": "120.2 pcf", "water_content": "26.8 %", "dry_density": "94.8 pcf"}
    exchanged = rounded | {"dry_density": "98.4 pcf"}
    assert worked("transcribed", rounded).findings == ()
    assert [finding.code for finding in worked("transcribed", exchanged).findings] == ["sheet-densities-disagree"]


@pytest.mark.parametrize(("method", "written"), [("sand_cone", SAND_CONE), ("nuclear_gauge", GAUGE)])
def test_each_step_of_the_worksheet_can_be_followed(method: str, written: dict[str, Any]) -> None:
    sheet = Worksheet()
    work(read_readings(method, 1, written), sheet)
    assert sheet.steps
    seen: dict[str, Decimal] = {}
    for step in sheet.steps:
        assert step.id in FORMULAS
        for name, value in step.numbers.items():
            assert seen.get(name, value) == value, f"{step.id} uses another {name} than the step that gave it"
        seen[step.result_name] = step.result


#: what a gauge's readings may say against each other
CONTRADICTIONS = {"factor-of-what", "out-of-range", "too-many", "rotation-and-readings", "water-forms-differ"}


def any_quantity(kind: str) -> st.SearchStrategy[str]:
    number = st.decimals(min_value=-9_999_999, max_value=9_999_999, places=3).map(lambda value: f"{value:f}")
    usual = st.sampled_from(["0", "1", "1000", "0.000001", "9999999", "-1"])
    return st.builds(lambda value, unit: f"{value} {unit}", number | usual, st.sampled_from(sorted(UNITS[kind])))


def any_fields(fields: tuple[Field, ...]) -> st.SearchStrategy[dict[str, object]]:
    kinds: dict[str, st.SearchStrategy[object]] = {
        "count": st.integers(min_value=0, max_value=9_999_999),
        "text": st.just("G-1"),
        "yes_no": st.booleans(),
        "number": st.sampled_from(["0.95", "1", "1.04", "0", "2.65", "-1", "9999999"]),
    }
    required, optional = {}, {}
    for field in fields:
        if field.kind in kinds:
            strategy = kinds[field.kind]
        elif field.kind == "group":
            strategy = any_fields(field.fields)
        elif field.kind == "groups":
            strategy = st.lists(any_fields(field.fields), min_size=1, max_size=4)
        elif field.kind == "choice":
            strategy = st.sampled_from(field.choices)
        else:
            strategy = st.one_of([any_quantity(kind) for kind in field.kind.split("|")])
        (required if field.required else optional)[field.name] = strategy
    return st.fixed_dictionaries(required, optional=optional)


@pytest.mark.parametrize("code", sorted(METHODS))
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(data=st.data())
def test_whatever_can_be_read_gives_finite_figures_or_a_named_error(code: str, data: st.DataObject) -> None:
    written = data.draw(any_fields(METHODS[code].fields))
    sheet = Worksheet()
    try:
        readings = read_readings(code, 1, written)
    except ReadingsError as refused:
        codes = {error.code for error in refused.errors}
        assert codes <= {"exactly-one-of", *CONTRADICTIONS}
        return
    try:
        in_place = work(readings, sheet)
    except CalculationError as named:
        in_place, sentence = InPlace(), named.sentence
    else:
        sentence = "worked."
    assert sentence.endswith(".")
    for value in (in_place.wet_density_kgm3, in_place.dry_density_kgm3, in_place.hole_volume_m3):
        assert value is None or (value.is_finite() and value > 0)
    assert all(step.result.is_finite() for step in sheet.steps)
