"""A method that nobody has written yet, made of one module and one entry: everything else follows from the entry.

`test_a_method_touches_six_places` counts where a method's code is named; here a new one is put into the table of
methods and goes through record, evaluation, uncertainty, form and the document for machines.
"""

import re
import sys
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

import pytest

from compaction import evaluation, observation
from compaction.calculations import methods
from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.in_place import InPlace
from compaction.calculations.methods import METHODS, Method
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import Worksheet
from compaction.evaluation import uncertainty
from compaction.observation.description import json_schema
from compaction.views.entry_fields import reading_fields
from tests.architecture.test_a_method_touches_six_places import FIRST_THREE, PROJECT
from tests.builders import make_project
from tests.evaluation import builders

CODE = "waxed_lump"


# ---- the module of the new method -----------------------------------------------------------------
@dataclass(frozen=True)
class WaxedLumpReadings:
    """A lump under wax, weighed in air and by the water that it displaces."""

    soil_wet_mass_kg: Decimal
    lump_volume_m3: Decimal


FIELDS = (
    Field("soil_wet_mass", "mass", True, "Wet mass of the lump"),
    Field("lump_volume", "volume", True, "Volume of the lump"),
)


def read(values: Values) -> WaxedLumpReadings:
    return WaxedLumpReadings(values.decimal("soil_wet_mass"), values.decimal("lump_volume"))


def work(readings: WaxedLumpReadings, sheet: Worksheet) -> InPlace:
    if readings.lump_volume_m3 <= 0:
        raise ImpossibleReading("impossible-volume", "The lump has no volume.", value=Decimal(0), limit=Decimal(0))
    wet = readings.soil_wet_mass_kg / readings.lump_volume_m3
    sheet.add("waxed-lump", result_name="wet_density_kgm3", result=wet, soil_wet_mass_kg=readings.soil_wet_mass_kg)
    return InPlace(wet_density_kgm3=wet, soil_wet_mass_kg=readings.soil_wet_mass_kg)


# ---- its entry -------------------------------------------------------------------------------------
ENTRY = Method(
    code=CODE, schema=1, title="Waxed lump", standards=(), fields=FIELDS, readings_type=WaxedLumpReadings, read=read,
    work=work,
)  # fmt: skip
BODY = builders.cone_body(method=CODE, readings={"soil_wet_mass": "2000 g", "lump_volume": "1 L"})


@pytest.fixture
def with_the_new_method(monkeypatch: pytest.MonkeyPatch) -> None:
    """The table with one more entry, wherever a module holds it."""
    longer = MappingProxyType({**METHODS, CODE: ENTRY})
    for module in list(sys.modules.values()):
        if getattr(module, "METHODS", None) is METHODS:
            monkeypatch.setattr(module, "METHODS", longer)
    monkeypatch.setattr(methods, "_BY_TYPE", {**methods._BY_TYPE, WaxedLumpReadings: ENTRY})


@pytest.mark.usefixtures("with_the_new_method")
def test_it_is_read_worked_judged_and_told() -> None:
    inputs = builders.inputs(
        BODY | {"spot": ["spot_not_representative", "vibration"]},
        reference=builders.reference(),
        specification=builders.specification(),
    )
    outcome = evaluation.evaluate(inputs)
    assert outcome.figures["wet_density_kgm3"] == 2000
    assert round(outcome.figures["dry_density_kgm3"], 1) == Decimal("1779.4")
    assert outcome.result == "fail"  # 94.1 of 95
    assert "waxed-lump" in {step.id for step in outcome.steps}
    assert {"spot-spot-not-representative", "spot-vibration"} <= {one.code for one in outcome.findings}
    named = {line.input.name for one in uncertainty.report(inputs).budgets for line in one.lines}
    assert {"soil_wet_mass_kg", "lump_volume_m3"} <= named


@pytest.mark.usefixtures("with_the_new_method")
def test_its_readings_are_read_strictly_and_described_to_machines() -> None:
    with pytest.raises(observation.ContentError) as raised:
        observation.read(BODY | {"readings": {"soil_wet_mass": "2000", "colour": "red"}})
    assert {pointer for pointer, _, _ in raised.value.errors} == {
        "/readings/soil_wet_mass", "/readings/lump_volume", "/readings/colour",
    }  # fmt: skip
    described = [
        one["then"] for one in json_schema()["allOf"] if one["if"]["properties"]["method"].get("const") == CODE
    ]
    assert set(described[0]["properties"]["readings"]["properties"]) == {"soil_wet_mass", "lump_volume"}


@pytest.mark.usefixtures("with_the_new_method")
def test_its_form_follows_from_the_entry(db: None) -> None:
    fields = reading_fields(make_project().project, CODE, BODY)
    assert [(field.pointer, field.value, field.unit) for field in fields.values()] == [
        ("/readings/soil_wet_mass", "2000", "g"),
        ("/readings/lump_volume", "1", "L"),
    ]


def test_no_room_knows_the_readings_of_a_later_method() -> None:
    """A code that is not named may still be known by its type; only the module and the table may hold that."""
    files = [file for folder in ("compaction", "api", "projects") for file in (PROJECT / folder).rglob("*.py")]
    for code in sorted(set(METHODS) - FIRST_THREE):
        kind = METHODS[code].readings_type
        holding = {file.stem for file in files if re.search(rf"\b{kind.__name__}\b", file.read_text(encoding="utf-8"))}
        assert holding == {kind.__module__.rpartition(".")[2], "methods"}
