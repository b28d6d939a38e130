"""Everything uncertain that goes into one evaluation: its estimate, its standard uncertainty, and where it is put."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import gauge_offsets, moisture
from compaction.calculations.errors import CalculationError
from compaction.calculations.input_uncertainties import OF_GAUGE, OF_MATERIAL, OF_WATER_CONTENTS, uncertainty_of_reading
from compaction.calculations.nuclear_gauge import NuclearGaugeReadings
from compaction.calculations.uncertainty import Input
from compaction.facts import EvaluationInputs, WaterContentReading

Place = Callable[[EvaluationInputs, Decimal], EvaluationInputs]
STATED: Final = "stated by whoever asks"
#: members of a reference that enter, and the row for each
_OF_REFERENCE: Final = {
    "maximum_dry_density_kgm3": "reference_maximum_dry_density_kgm3",
    "optimum_water_content_pct": "reference_optimum_water_content_pct",
    "minimum_index_density_kgm3": "reference_minimum_index_density_kgm3",
    "standing_oversize_pct": "oversize_pct",
    "oversize_bulk_specific_gravity": "oversize_bulk_specific_gravity",
    "oversize_water_content_pct": "oversize_water_content_pct",
}
_OF_OVERSIZE: Final = {
    "oversize_pct": "oversize_pct",
    "oversize_wet_mass_kg": "oversize_wet_mass_kg",
    "bulk_specific_gravity": "oversize_bulk_specific_gravity",
    "water_content_pct": "oversize_water_content_pct",
}


@dataclass(frozen=True)
class UncertainInput:
    """One input and how another value for it is put into the inputs of an evaluation."""

    input: Input
    put: Place


def one_reading(inputs: EvaluationInputs) -> EvaluationInputs:
    """Turned readings of a gauge as their average: their calibration is shared, so they are no repeats."""
    readings = inputs.observation.readings
    if not isinstance(readings, NuclearGaugeReadings) or not readings.rotated:
        return inputs
    one = replace(gauge_offsets.averaged(readings), rotated=(), rotation="")
    return replace(inputs, observation=replace(inputs.observation, readings=one))


def uncertain_inputs(inputs: EvaluationInputs, *, stated: Mapping[str, Decimal]) -> tuple[UncertainInput, ...]:
    """The inputs of an evaluation by name with unit; `stated` replaces standard uncertainties (SI) by that name."""
    found = (*_readings(inputs), *_water_contents(inputs), *_oversize(inputs), *_reference(inputs))
    return tuple(
        replace(one, input=replace(one.input, standard_uncertainty=stated[one.input.name], basis=STATED))
        if one.input.name in stated
        else one
        for one in found
    )


def _readings(inputs: EvaluationInputs) -> Iterator[UncertainInput]:
    readings: Any = inputs.observation.readings
    own = getattr(readings, "standard_uncertainty_kgm3", None)
    for field in fields(readings):
        value = getattr(readings, field.name)
        if not isinstance(value, Decimal) or field.name == "standard_uncertainty_kgm3":
            continue
        if own is not None and field.name == "wet_density_kgm3":
            known = (own, "as stated with the density")
        else:
            try:
                known = _of_reading(readings, field.name, value)
            except KeyError:  # a time, a factor: no reading that scatters
                continue
        yield UncertainInput(Input(field.name, value, *known), _into_readings(field.name))


def _of_reading(readings: object, name: str, value: Decimal) -> tuple[Decimal, str]:
    displayed = ("wet_density_kgm3", "water_density_in_soil_kgm3", "water_content_pct")
    if isinstance(readings, NuclearGaugeReadings) and name in displayed:
        row = OF_GAUGE[readings.mode][displayed.index(name)]
    elif name == "water_content_pct":
        row = OF_WATER_CONTENTS["stated"]
    else:
        return uncertainty_of_reading(name, value)
    return row.of(value), row.basis


def _into_readings(name: str) -> Place:
    def put(inputs: EvaluationInputs, value: Decimal) -> EvaluationInputs:
        readings: Any = inputs.observation.readings
        return replace(inputs, observation=replace(inputs.observation, readings=replace(readings, **{name: value})))

    return put


def _water_contents(inputs: EvaluationInputs) -> Iterator[UncertainInput]:
    """Each determination as one value: the precision of its method takes in the weighing of its cans."""
    names: dict[str, int] = {}
    for place, one in enumerate(inputs.observation.water_contents):
        try:
            value = moisture.water_content_pct(one)
        except CalculationError:
            continue
        name = f"{one.fraction}_{one.method}_water_content"
        names[name] = names.get(name, 0) + 1
        number = "" if names[name] == 1 else f"_{names[name]}"
        row = OF_WATER_CONTENTS[one.method]
        yield UncertainInput(Input(f"{name}{number}_pct", value, row.of(value), row.basis), _into_water(place, one))


def _into_water(place: int, one: WaterContentReading) -> Place:
    def put(inputs: EvaluationInputs, value: Decimal) -> EvaluationInputs:
        others = list(inputs.observation.water_contents)
        others[place] = WaterContentReading(one.method, one.fraction, water_content_pct=value)
        return replace(inputs, observation=replace(inputs.observation, water_contents=tuple(others)))

    return put


def _oversize(inputs: EvaluationInputs) -> Iterator[UncertainInput]:
    stated = inputs.observation.oversize
    for name, row in _OF_OVERSIZE.items():
        value = None if stated is None else getattr(stated, name)
        if value is not None:
            known = OF_MATERIAL[row]
            own = name if name.startswith("oversize_") else f"oversize_{name}"
            yield UncertainInput(Input(own, value, known.of(value), known.basis), _into_oversize(name))


def _into_oversize(name: str) -> Place:
    def put(inputs: EvaluationInputs, value: Decimal) -> EvaluationInputs:
        assert inputs.observation.oversize is not None
        changed: Any = {name: value}
        oversize = replace(inputs.observation.oversize, **changed)
        return replace(inputs, observation=replace(inputs.observation, oversize=oversize))

    return put


def _reference(inputs: EvaluationInputs) -> Iterator[UncertainInput]:
    reference = inputs.reference
    if reference is None:
        return
    gravity = "specific_gravity_measured" if reference.specific_gravity_measured else "specific_gravity_assumed"
    for name, row in (*_OF_REFERENCE.items(), ("specific_gravity", gravity)):
        value = getattr(reference, name)
        if value is not None:
            known = OF_MATERIAL[row]
            yield UncertainInput(Input(f"reference_{name}", value, known.of(value), known.basis), _into_reference(name))


def _into_reference(name: str) -> Place:
    def put(inputs: EvaluationInputs, value: Decimal) -> EvaluationInputs:
        assert inputs.reference is not None
        changed: Any = {name: value}
        return replace(inputs, reference=replace(inputs.reference, **changed))

    return put
