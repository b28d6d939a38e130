"""Examples of every in-place method but the sand cone and the gauge: readings to wet and dry density, with findings."""

from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations import density, moisture
from compaction.calculations.errors import CalculationError
from compaction.calculations.methods import METHODS, read_readings, work
from tests.worked_examples.example_files import assert_met, codes, examples, si


@pytest.mark.parametrize("example", examples("in_place"), ids=lambda example: example["id"])
def test_in_place(example: dict[str, Any]) -> None:
    method = METHODS[example["method"]]
    readings = read_readings(method.code, method.schema, example["readings"])
    if "error" in example:
        with pytest.raises(CalculationError) as raised:
            work(readings)
        assert raised.value.code == example["error"]
        return
    in_place = work(readings)
    findings = list(in_place.findings)
    if "maximum_particle" in example:
        assert method.particle_findings is not None
        findings += method.particle_findings(readings, in_place, si(example["maximum_particle"]) * 1000)
    assert codes(findings) == example["findings"]
    assert in_place.wet_density_kgm3 is not None
    worked = {"wet_density": in_place.wet_density_kgm3}
    if in_place.hole_volume_m3 is not None:
        worked["hole_volume"] = in_place.hole_volume_m3
    if can := example.get("can"):
        worked["water_content"] = moisture.from_masses(
            wet_and_can_kg=si(can["wet"]), dry_and_can_kg=si(can["dry"]), can_kg=si(can["can"])
        )
        worked["dry_density"] = density.dry_density_kgm3(
            wet_density_kgm3=in_place.wet_density_kgm3, water_content_pct=worked["water_content"]
        )
    expected = [*example.get("printed", {}).items(), *example.get("recomputed", {}).items()]
    assert expected
    for name, text in expected:
        assert_met(text, worked[name], name=name)


def test_each_method_has_a_worked_example() -> None:
    elsewhere = {
        "sand_cone",
        "nuclear_gauge",
        "transcribed",
    }  # sand_cone.toml, nuclear_gauge_ng01.toml, transcribed_ds01.toml
    assert set(METHODS) - {example["method"] for example in examples("in_place")} == elsewhere


def test_the_density_of_water_agrees_with_the_table_for_moulds() -> None:
    from compaction.calculations.calibration import water_density_kgm3
    from compaction.calculations.water_density import water_density_at_kgm3

    for tenths in range(200, 301, 5):
        degc = Decimal(tenths) / 10
        apart = water_density_kgm3(temperature_degc=degc) - water_density_at_kgm3(temperature_degc=degc)
        assert abs(apart) < Decimal("0.05"), degc
