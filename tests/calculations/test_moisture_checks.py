"""One determination against the standard it names: specimen, readability, constant mass, carbide limits."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction import evaluation, observation
from compaction.calculations.constant_mass import last_change_pct
from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.moisture import water_content_pct
from compaction.calculations.moisture_checks import determination_findings
from compaction.calculations.moisture_specimens import SPECIMEN_TABLES
from compaction.calculations.moisture_standards import CAUTIONS, MOISTURE_STANDARDS, standards_for
from compaction.facts import WaterContentReading
from compaction.observation import ContentError
from compaction.observation.choices import WATER_CONTENT_METHODS
from tests.evaluation import builders

D = Decimal
MICROWAVE = {
    "method": "microwave", "fraction": "total", "specimen_mass": "320.4 g", "standard": "d4643",
    "weighings": ["291.6 g", "287.2 g", "286.1 g", "285.9 g"],
}  # fmt: skip


def read(determination: dict[str, Any], **changes: Any) -> WaterContentReading:
    body = builders.cone_body(water_contents=[{**determination, **changes}])
    return observation.read(body).water_contents[0]


def codes(determination: dict[str, Any], particle_mm: str | None = None, **changes: Any) -> list[str]:
    found = determination_findings(
        read(determination, **changes), maximum_particle_mm=None if particle_mm is None else D(particle_mm)
    )
    return [one.code for one in found]


def test_weighings_give_the_water_content_and_show_the_drying() -> None:
    reading = read(MICROWAVE)
    assert water_content_pct(reading) == 100 * (D("320.4") - D("285.9")) / D("285.9")
    change = last_change_pct(reading.weighings_kg, of_kg=D("0.3204"))
    assert change == 100 * D("0.2") / D("320.4")  # 0.06 %, within the 0.1 % of D4643
    assert codes(MICROWAVE, "4.75") == []


@pytest.mark.parametrize(
    ("changes", "particle_mm", "expected"),
    [
        ({"weighings": ["291.6 g", "287.2 g"]}, None, ["constant-mass-not-reached"]),
        ({"specimen_mass": "250.0 g", "weighings": ["223.1 g", "223.0 g"]}, "4.75", ["moisture-specimen-too-small"]),
        ({"specimen_mass": "320 g", "weighings": ["286 g", "286 g"]}, "4.75", ["moisture-masses-too-coarse"]),
        ({"specimen_mass": "320 g", "weighings": ["286 g", "286 g"]}, None, ["moisture-masses-too-coarse"]),
        ({"standard": "t255", "weighings": ["287.2 g", "286.1 g"]}, None, ["constant-mass-not-reached"]),
    ],
)
def test_a_microwave_determination(changes: dict[str, Any], particle_mm: str | None, expected: list[str]) -> None:
    assert codes(MICROWAVE, particle_mm, **changes) == expected


def test_a_value_alone_shows_no_drying_where_the_method_is_drying_by_steps() -> None:
    value = {"method": "direct_heat", "fraction": "total", "value": "12.1 %"}
    assert codes(value) == []  # no standard is named
    assert codes(value, standard="d4959") == ["constant-mass-not-shown"]
    assert codes({**value, "method": "oven"}, standard="d2216_b") == []


CAN = {"wet_and_can": "88.63 g", "dry_and_can": "82.10 g", "can_mass": "31.20 g"}  # 57.43 g moist


@pytest.mark.parametrize(
    ("standard", "particle_mm", "can", "expected"),
    [
        ("d2216_a", "4.75", CAN, []),  # 20 g
        ("d2216_b", "4.75", CAN, ["moisture-specimen-too-small"]),  # 100 g
        ("t265", "4.75", CAN, ["moisture-specimen-too-small"]),  # 100 g (TB-01)
        ("t265", "0.425", CAN, []),  # 10 g
        ("bs1377_2", "2.0", CAN, []),  # 30 g
        ("d2216_b", "2.0", {**CAN, "can_mass": "31.2 g"}, ["moisture-masses-too-coarse"]),  # to 0.01 g
        ("d2216_a", "2.0", {**CAN, "can_mass": "31.2 g"}, []),  # to 0.1 g
        ("t265", "0.425", {**CAN, "can_mass": "31 g"}, ["moisture-masses-too-coarse"]),
    ],
)
def test_an_oven_determination(standard: str, particle_mm: str, can: dict[str, str], expected: list[str]) -> None:
    assert codes({"method": "oven", "fraction": "total", "cans": [can], "standard": standard}, particle_mm) == expected


def test_weighings_beside_a_can_end_with_its_dry_mass() -> None:
    determination = {"method": "oven", "fraction": "total", "cans": [CAN], "standard": "d2216_b"}
    assert codes({**determination, "weighings": ["82.14 g", "82.10 g"]}, "2.0") == []  # 0.04 of 57.43 g: 0.07 %
    assert codes({**determination, "weighings": ["82.20 g", "82.10 g"]}, "2.0") == ["constant-mass-not-reached"]
    with pytest.raises(ContentError) as raised:
        read(determination, weighings=["82.20 g", "82.15 g"])
    assert [code for _, code, _ in raised.value.errors] == ["contradiction"]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"specimen_mass": "26.0 g"}, []),
        ({"specimen_mass": "20.0 g"}, []),
        ({"specimen_mass": "13.0 g"}, ["carbide-specimen-mass"]),
        ({"specimen_mass": "13.0 g", "half_specimen": True}, []),
        ({"standard": "d4944", "specimen_mass": "26.0 g"}, ["carbide-specimen-mass"]),
    ],
)
def test_a_carbide_specimen_has_the_mass_that_the_dial_is_made_for(
    changes: dict[str, Any], expected: list[str]
) -> None:
    """TB-05: 20 or 26 g, half of it where the dial is doubled."""
    assert codes({"method": "carbide", "fraction": "total", "dial": "11.0 %", "standard": "t217"} | changes) == expected


def test_carbide_takes_what_passes_no_4() -> None:
    dial = {"method": "carbide", "dial": "11.0 %", "standard": "t217"}
    assert codes({**dial, "fraction": "total"}, "19") == ["carbide-of-the-whole"]
    assert codes({**dial, "fraction": "control"}, "19") == []
    assert codes({**dial, "fraction": "total"}, "4.75") == []


@pytest.mark.parametrize(
    ("determination", "pointer", "code"),
    [
        ({**MICROWAVE, "standard": "t265"}, "/standard", "not-with-this-method"),
        ({**MICROWAVE, "value": "12 %"}, "/weighings", "stated-twice"),
        ({**MICROWAVE, "weighings": ["285.9 g"]}, "/weighings", "out-of-range"),
        ({name: MICROWAVE[name] for name in ("method", "fraction", "weighings")}, "/weighings", "missing"),
        (
            {"method": "carbide", "fraction": "total", "dial": "9 %", "weighings": ["1 g", "1 g"]},
            "/weighings",
            "stated-twice",
        ),
        (
            {"method": "oven", "fraction": "total", "cans": [CAN], "specimen_mass": "57 g"},
            "/specimen_mass",
            "stated-twice",
        ),
        (
            {"method": "oven", "fraction": "total", "cans": [CAN, CAN], "weighings": ["82.1 g", "82.10 g"]},
            "/weighings",
            "contradiction",
        ),
        ({**MICROWAVE, "weighings": ["285.9 g", 285]}, "/weighings/1", "not-a-quantity"),
        ({**MICROWAVE, "weighings": "285.9 g"}, "/weighings", "not-an-array"),
    ],
)
def test_what_does_not_go_together_is_refused(determination: dict[str, Any], pointer: str, code: str) -> None:
    with pytest.raises(ContentError) as raised:
        read(determination)
    assert (f"/water_contents/0{pointer}", code) in [(at, found) for at, found, _ in raised.value.errors]


def test_weighings_that_cannot_be_are_held_and_never_raise() -> None:
    body = builders.cone_body(water_contents=[{**MICROWAVE, "weighings": ["0.1 g", "0 g"]}])
    outcome = evaluation.evaluate(builders.inputs(body, reference=builders.reference()))
    assert "impossible-mass" in {one.code for one in outcome.holds}
    with pytest.raises(ImpossibleReading):
        last_change_pct([D(1), D(0)], of_kg=D(1))
    with pytest.raises(NotEnoughReadings):
        last_change_pct([D(1)], of_kg=D(1))


def test_the_last_digit_written_counts_in_the_digest_only_where_a_standard_is_named() -> None:
    def digest(determination: dict[str, Any]) -> str:
        return evaluation.inputs_digest(builders.inputs(builders.cone_body(water_contents=[determination])))

    plain = {"method": "oven", "fraction": "total", "cans": [CAN]}
    coarse = {**plain, "cans": [{**CAN, "can_mass": "31.2 g"}]}
    assert digest(plain) == digest(coarse)
    assert digest({**plain, "standard": "d2216_b"}) != digest({**coarse, "standard": "d2216_b"})
    assert digest(plain) != digest({**plain, "standard": "d2216_b"})


@given(st.integers(1, 5000), st.integers(0, 500), st.sampled_from(["g", "kg"]))
def test_a_unit_changes_no_change_of_mass(after: int, lost: int, unit: str) -> None:
    factor = 1000 if unit == "g" else 1
    masses = [D(after + lost) / factor, D(after) / factor]
    assert last_change_pct(masses, of_kg=D(after + lost) / factor) == 100 * D(lost) / (after + lost)


def test_tables_and_methods_hold_together() -> None:
    for code, one in MOISTURE_STANDARDS.items():
        assert set(one.methods) <= set(WATER_CONTENT_METHODS), code
        assert not one.specimens or one.specimens in SPECIMEN_TABLES
        assert list(one.read_to_kg) == sorted(one.read_to_kg)
    assert all(standards_for(method) for method in ("oven", "microwave", "direct_heat", "carbide"))
    assert set(CAUTIONS) == {"microwave", "direct_heat", "carbide"}
