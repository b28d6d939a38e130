"""One repeat of a calibration as it was weighed; the calibrated value is worked from it and stored nowhere."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import calibration
from compaction.calculations.errors import CalculationError, ReadingError
from compaction.calculations.readings import Field, Values, read_fields
from compaction.calculations.water_density import water_density_at_kgm3
from compaction.calculations.worksheet import Worksheet
from compaction.facts import Step

_EMPTY: Final = Field("empty", "mass", True, "Empty, with its plate or lid")
_TEMPERATURE: Final = Field("temperature", "temperature", True, "Temperature of the water")
_VOLUME: Final = Field("volume", "volume", True, "Volume of the container")
_BY_WATER: Final = (_EMPTY, Field("full", "mass", True, "Full of water, with its plate or lid"), _TEMPERATURE)
_OF_SAND: Final = (_EMPTY, Field("full", "mass", True, "Full of sand, struck off"), _VOLUME)
_OF_CONE: Final = (
    Field("before", "mass", True, "Apparatus with sand before filling the cone"),
    Field("after", "mass", True, "The same after"),
)
#: calibrated quantity -> what a repeat of it is weighed as. Other quantities are given as finished repeats.
WEIGHED: Final[Mapping[str, tuple[Field, ...]]] = {
    "mould_volume": _BY_WATER,
    "cylinder_volume": _BY_WATER,
    "sand_bulk_density": _OF_SAND,
    "cone_and_plate_mass": _OF_CONE,
    "cone_mass": _OF_CONE,
}


@dataclass(frozen=True)
class Weighing:
    """One repeat: as written, the value that follows from it (kg, m3 or kg/m3), and how."""

    written: Mapping[str, str]
    value: Decimal
    steps: tuple[Step, ...]


def read(written: Any, quantity: str, pointer: str) -> Weighing:
    """One repeat. Raises `ReadingError` or `ReadingsError`: members missing or unknown, masses that cannot be."""
    if quantity not in WEIGHED:
        raise ReadingError(pointer, "not-weighed", f"Weighings are taken of {', '.join(WEIGHED)}; give repeats.")
    values, sheet = read_fields(WEIGHED[quantity], written, pointer), Worksheet()
    try:
        value = _WORK[WEIGHED[quantity]](values, sheet)
    except CalculationError as error:
        raise ReadingError(pointer, error.code, error.sentence) from error
    return Weighing(dict(written), value, sheet.steps)


def _by_water(values: Values, sheet: Worksheet) -> Decimal:
    return calibration.mould_volume_m3(
        mass_full_kg=values.decimal("full"),
        mass_empty_kg=values.decimal("empty"),
        temperature_degc=values.decimal("temperature"),
        water=water_density_at_kgm3,
        sheet=sheet,
    )


def _of_sand(values: Values, sheet: Worksheet) -> Decimal:
    return calibration.sand_bulk_density_kgm3(
        sand_mass_kg=values.decimal("full") - values.decimal("empty"),
        container_volume_m3=values.decimal("volume"),
        sheet=sheet,
    )


def _of_cone(values: Values, sheet: Worksheet) -> Decimal:
    return calibration.cone_mass_kg(
        mass_before_kg=values.decimal("before"), mass_after_kg=values.decimal("after"), sheet=sheet
    )


_WORK: Final[Mapping[tuple[Field, ...], Callable[[Values, Worksheet], Decimal]]] = {
    _BY_WATER: _by_water,
    _OF_SAND: _of_sand,
    _OF_CONE: _of_cone,
}
