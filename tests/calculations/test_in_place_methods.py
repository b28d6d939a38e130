"""What holds for the methods beside cone and gauge: units, direction of every reading, what cannot be, worksheets."""

from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations import sand_cone, sand_replacement
from compaction.calculations.catalogue import FORMULAS
from compaction.calculations.errors import CalculationError, ImpossibleReading, OutsideValidity
from compaction.calculations.hole_sizes import PIT_VOLUMES, SMALLEST_HOLES
from compaction.calculations.methods import METHODS, read_readings, work
from compaction.calculations.quantities import quantise
from compaction.calculations.water_density import water_density_at_kgm3
from compaction.calculations.worksheet import Worksheet
from tests.field_readings import IN_PLACE

D = Decimal
#: the same number in another unit, exactly
OTHER_UNITS = {
    "g": ("kg", D("0.001")),
    "cm3": ("L", D("0.001")),
    "kg/m3": ("g/cm3", D("0.001")),
    "degC": ("degF", D(0)),
}
#: reading -> does more of it make the soil denser (+1) or looser (-1)?
DIRECTIONS = {
    "sand_replacement": {"soil_wet_mass_kg": 1, "mass_before_kg": -1, "mass_after_kg": 1, "cone_mass_kg": 1},
    "rubber_balloon": {"soil_wet_mass_kg": 1, "final_volume_m3": -1, "initial_volume_m3": 1},
    "drive_cylinder": {"cylinder_and_soil_mass_kg": 1, "cylinder_mass_kg": -1, "cylinder_volume_m3": -1},
    "test_pit_sand": {"soil_wet_mass_kg": 1, "sand_poured_kg": -1, "frame_sand_kg": 1, "sand_bulk_density_kgm3": 1},
    "test_pit_water": {
        "soil_wet_mass_kg": 1, "pit_water_mass_kg": -1, "ring_water_mass_kg": 1, "liner_volume_m3": -1,
        "water_temperature_degc": -1,  # warm water takes more room: the pit is larger
    },
    "stated_wet_density": {"wet_density_kgm3": 1},
}  # fmt: skip


def readings_of(code: str, **changes: Any) -> Any:
    return read_readings(code, METHODS[code].schema, IN_PLACE[code] | changes)


def in_other_units(written: dict[str, Any]) -> dict[str, Any]:
    changed = {}
    for name, text in written.items():
        number, _, unit = text.partition(" ")
        if unit not in OTHER_UNITS:
            changed[name] = text
        elif unit == "degC":
            changed[name] = f"{D(number) * 9 / 5 + 32:f} degF"
        else:
            other, factor = OTHER_UNITS[unit]
            changed[name] = f"{D(number) * factor:f} {other}"
    return changed


def test_the_samples_cover_every_method_that_has_no_tests_of_its_own() -> None:
    assert set(IN_PLACE) == set(DIRECTIONS) == set(METHODS) - {"sand_cone", "nuclear_gauge", "transcribed"}


@pytest.mark.parametrize("code", IN_PLACE)
def test_a_unit_never_changes_a_result(code: str) -> None:
    metric, other = IN_PLACE[code], in_other_units(IN_PLACE[code])
    assert metric != other
    left, right = (work(read_readings(code, 1, written)) for written in (metric, other))
    assert quantise(left.wet_density_kgm3 or D(0)) == quantise(right.wet_density_kgm3 or D(0))
    assert [finding.code for finding in left.findings] == [finding.code for finding in right.findings]


@pytest.mark.parametrize(("code", "name"), [(code, name) for code in DIRECTIONS for name in DIRECTIONS[code]])
@given(percent=st.integers(min_value=1, max_value=5))
def test_each_reading_pulls_the_density_one_way(code: str, name: str, percent: int) -> None:
    readings = readings_of(code)
    more = replace(readings, **{name: getattr(readings, name) * (100 + percent) / 100})
    before, after = work(readings).wet_density_kgm3, work(more).wet_density_kgm3
    assert before is not None
    assert after is not None
    assert (after - before) * DIRECTIONS[code][name] > 0


@pytest.mark.parametrize(("code", "name"), [(code, name) for code in DIRECTIONS for name in DIRECTIONS[code]])
def test_a_reading_below_zero_is_never_worked(code: str, name: str) -> None:
    readings = readings_of(code)
    below = replace(readings, **{name: D(-1)})
    with pytest.raises(OutsideValidity if name == "water_temperature_degc" else ImpossibleReading) as raised:
        work(below)
    assert raised.value.sentence.endswith(".")
    assert raised.value.unit


@pytest.mark.parametrize(
    ("code", "changes", "error"),
    [
        ("rubber_balloon", {"final_volume": "538 cm3"}, "impossible-volume"),
        ("rubber_balloon", {"soil_wet_mass": "0 g"}, "impossible-mass"),
        ("drive_cylinder", {"cylinder_mass": "3150 g"}, "impossible-mass"),
        ("drive_cylinder", {"cylinder_mass": "0 g"}, "impossible-mass"),
        ("drive_cylinder", {"cylinder_volume": "0 cm3"}, "impossible-volume"),
        ("sand_replacement", {"cone_mass": "2800 g"}, "impossible-mass"),
        ("sand_replacement", {"sand_bulk_density": "0 kg/m3"}, "sand-density-not-positive"),
        ("test_pit_sand", {"frame_sand": "98 kg"}, "impossible-mass"),
        ("test_pit_sand", {"sand_bulk_density": "0 kg/m3"}, "sand-density-not-positive"),
        ("test_pit_water", {"ring_water_mass": "640 kg"}, "impossible-volume"),
        ("test_pit_water", {"liner_volume": "0.6 m3"}, "impossible-volume"),
        ("test_pit_water", {"water_temperature": "41 degC"}, "water-temperature-out-of-range"),
        ("test_pit_water", {"soil_wet_mass": "0 kg"}, "impossible-mass"),
        ("stated_wet_density", {"standard_uncertainty": "0 kg/m3"}, "uncertainty-impossible"),
        ("stated_wet_density", {"standard_uncertainty": "2000 kg/m3"}, "uncertainty-impossible"),
    ],
)
def test_readings_that_cannot_be_true(code: str, changes: dict[str, str], error: str) -> None:
    with pytest.raises(CalculationError) as raised:
        work(readings_of(code, **changes))
    assert raised.value.code == error
    assert raised.value.value is not None


def test_a_cylinder_of_no_width_or_no_height_is_refused() -> None:
    without = {name: text for name, text in IN_PLACE["drive_cylinder"].items() if name != "cylinder_volume"}
    for sizes in ({"inside_diameter": "0 mm", "height": "130 mm"}, {"inside_diameter": "100 mm", "height": "-1 mm"}):
        with pytest.raises(ImpossibleReading, match="both must be greater"):
            work(read_readings("drive_cylinder", 1, without | {"cylinder": sizes}))


@given(
    st.integers(min_value=5000, max_value=9000),
    st.integers(min_value=0, max_value=1500),
    st.integers(min_value=0, max_value=1500),
    st.integers(min_value=1000, max_value=6000),
)
def test_sand_replacement_is_the_arithmetic_of_the_sand_cone(before: int, after: int, cone: int, soil: int) -> None:
    shared = {
        "mass_before_kg": D(before) / 1000,
        "mass_after_kg": D(after) / 1000,
        "sand_bulk_density_kgm3": D(1450),
        "soil_wet_mass_kg": D(soil) / 1000,
    }
    one = sand_replacement.SandReplacementReadings(pouring_cylinder="small", cone_mass_kg=D(cone) / 1000, **shared)
    other = sand_cone.SandConeReadings(cone_and_plate_mass_kg=D(cone) / 1000, **shared)
    assert sand_replacement.work(one) == sand_cone.work(other)
    # As BS 1377-9 and IS 2720-28 write it: soil over sand in the hole, times the bulk density of the sand.
    in_the_hole = shared["mass_before_kg"] - shared["mass_after_kg"] - D(cone) / 1000
    as_written = shared["soil_wet_mass_kg"] / in_the_hole * D(1450)
    assert abs((sand_replacement.work(one).wet_density_kgm3 or D(0)) - as_written) < D("1e-15")


@pytest.mark.parametrize("code", IN_PLACE)
def test_each_step_of_the_worksheet_can_be_followed(code: str) -> None:
    sheet = Worksheet()
    in_place = work(readings_of(code), sheet)
    assert sheet.steps
    assert sheet.steps[-1].result_name == "wet_density_kgm3"
    assert sheet.steps[-1].result == quantise(in_place.wet_density_kgm3 or D(0))
    assert [step.id for step in sheet.steps if step.id not in FORMULAS] == []
    given_names = {field.name for field in fields(readings_of(code))}
    worked_names: set[str] = set()
    for step in sheet.steps:
        known = given_names | worked_names | {"water_density_kgm3", "stated_kgm3", "sand_out_kg"}
        unknown = {name for name in step.numbers if name not in known and name != "cone_and_plate_mass_kg"}
        assert unknown == set(), f"{step.id} uses a number that comes from nowhere"
        worked_names.add(step.result_name)


def test_weighed_and_metered_water_give_one_pit() -> None:
    weighed = readings_of("test_pit_water")
    metered = replace(
        weighed,
        pit_water_mass_kg=None,
        ring_water_mass_kg=None,
        pit_water_volume_m3=D(640) / water_density_at_kgm3(temperature_degc=D(15)),
        ring_water_volume_m3=D(121) / water_density_at_kgm3(temperature_degc=D(15)),
    )
    one, other = work(weighed).hole_volume_m3, work(metered).hole_volume_m3
    assert quantise(one or D(0)) == quantise(other or D(1))


def test_water_is_densest_at_four_degrees() -> None:
    by_temperature = {tenths: water_density_at_kgm3(temperature_degc=D(tenths) / 10) for tenths in range(0, 401)}
    assert max(by_temperature, key=lambda tenths: by_temperature[tenths]) == 40
    assert abs(by_temperature[250] - D("997.047")) < D("0.001")  # common tables, 25 deg C
    for degc in (D("-0.1"), D("40.1")):
        with pytest.raises(OutsideValidity):
            water_density_at_kgm3(temperature_degc=degc)


def test_tables_rise_with_the_particle_and_each_pit_method_has_both() -> None:
    for standard, tables in SMALLEST_HOLES.items():
        assert [table.edition for table in tables] == sorted({table.edition for table in tables})
        for table in tables:
            assert list(table.rows) == sorted(table.rows), standard
            assert len({volume for _, volume in table.rows}) == len(table.rows)
    assert set(PIT_VOLUMES) <= set(SMALLEST_HOLES)


@pytest.mark.parametrize(
    ("standard", "hole_cm3", "particle_mm", "codes"),
    [
        ("", 1000, "4.75", ["hole-too-small"]),  # D1556 where none is named: 1420 cm3 up to 12.5 mm
        ("AASHTO T 191", 1000, "4.75", []),  # 700 cm3
        ("AASHTO T 191", 2900, "50", []),
        ("ASTM D1556", 2900, "50", ["hole-beyond-method", "particle-beyond-method"]),
        ("", 2900, "37.5", []),  # nothing is held against a test that names no standard, as before
    ],
)
def test_a_sand_cone_is_held_to_the_standard_that_it_names(
    standard: str, hole_cm3: int, particle_mm: str, codes: list[str]
) -> None:
    readings = sand_cone.SandConeReadings(
        mass_before_kg=D(9),
        mass_after_kg=D(1),
        sand_bulk_density_kgm3=D(1400),
        soil_wet_mass_kg=D(hole_cm3) / 500,
        cone_and_plate_mass_kg=D(8) - D(hole_cm3) * D("0.0014"),
        standard=standard,
    )
    found = work(readings)
    assert found.hole_volume_m3 == D(hole_cm3) / 1_000_000
    particles = sand_cone.particle_findings(readings, found, D(particle_mm))
    assert [one.code for one in (*found.findings, *particles)] == codes
