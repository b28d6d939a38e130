"""Which readings of a sheet vary by themselves, how much at least, and to which step they were read.

Two densities of one fill are rarely the same to the last digit, and two masses hardly ever. The least spreads are
common practice (no source), set low on purpose: the smaller the spread, the likelier a repetition by chance.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from compaction.calculations.quantities import UNITS
from compaction.evaluation.supervision.facts import Can, Figure

#: A reading in a row is taken as read to a coarser step where all of them allow it: a balance that reads to 5 g.
COARSER: Final = (100, 50, 10, 5, 2)


@dataclass(frozen=True)
class Spread:
    """Least standard deviation of honest readings of one crew-day: a share of the value, or absolute in SI units."""

    share: float = 0.0
    absolute: float = 0.0

    def of(self, value: float) -> float:
        """For readings about a value."""
        return max(self.share * abs(value), self.absolute)


#: name of a reading -> least spread on one fill, by one crew, on one day. 1 pcf is 16 kg/m3.
SPREADS: Final[Mapping[str, Spread]] = {
    "density_count": Spread(share=0.01),
    "moisture_count": Spread(share=0.04),
    "wet_density": Spread(absolute=16.0),
    "water": Spread(absolute=8.0),
    "water_content": Spread(absolute=0.5),
    "soil_wet_mass": Spread(share=0.03),
    "mass_after": Spread(share=0.03),
    "final_volume": Spread(share=0.02),
    "cylinder_and_soil_mass": Spread(share=0.01),
    "pit_water_mass": Spread(share=0.02),
    "sand_poured": Spread(share=0.02),
    "wet_and_can": Spread(share=0.04),
}
#: Where a gauge's counts are written, its display follows from them and says nothing more.
FOLLOWS: Final = {"density_count": ("wet_density",), "moisture_count": ("water", "water_content")}
CAN_SPREAD_KG: Final = 0.0005  # of empty cans of one make


def figures_of(content: Mapping[str, Any]) -> tuple[Figure, ...]:
    """The figures of a test as stored. What is not written, or not as a plain quantity, is left out."""
    readings = content.get("readings")
    written = dict(readings) if isinstance(readings, Mapping) else {}
    for ruling, followers in FOLLOWS.items():
        if ruling in written:
            for name in followers:
                written.pop(name, None)
    cans = _cans(content)
    if cans and isinstance(cans[0].get("wet_and_can"), str):
        written["wet_and_can"] = cans[0]["wet_and_can"]
    found = []
    for name, spread in SPREADS.items():
        read = quantity(written.get(name))
        if read is not None:
            value, step = read
            found.append(Figure(name, value, step, spread.of(value), str(written[name])))
    return tuple(found)


def cans_of(content: Mapping[str, Any]) -> tuple[Can, ...]:
    """The empty cans of a test."""
    found = []
    for can in _cans(content):
        read = quantity(can.get("can_mass"))
        if read is not None and isinstance(can.get("can"), str) and can["can"]:
            found.append(Can(can["can"], *read))
    return tuple(found)


def _cans(content: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    determinations = content.get("water_contents")
    listed = determinations if isinstance(determinations, list) else []
    cans = [one.get("cans") for one in listed if isinstance(one, Mapping)]
    return [can for several in cans if isinstance(several, list) for can in several if isinstance(can, Mapping)]


def quantity(written: object) -> tuple[float, float] | None:
    """Value and step in SI units of "3290 g" or of a count; None for anything else.

    >>> quantity("121.9 pcf") == (121.9 * 16.018463373960142, 0.1 * 16.018463373960142), quantity(1200)
    (True, (1200.0, 1.0))
    """
    if isinstance(written, int) and not isinstance(written, bool):
        return float(written), 1.0
    if not isinstance(written, str):
        return None
    number, _, unit = written.partition(" ")
    factor = next((float(units[unit]) for units in UNITS.values() if unit in units), None)
    try:
        value = float(number)
    except ValueError:
        return None
    return None if factor is None else (value * factor, 10.0 ** -len(number.partition(".")[2]) * factor)


def common_step(figures: Sequence[Figure]) -> float:
    """The step of a row of readings: the finest written, or a multiple of it that all of them keep to."""
    step = min(figure.step for figure in figures)
    for times in COARSER:
        if all(abs(figure.value / step / times - round(figure.value / step / times)) < 1e-6 for figure in figures):
            return step * times
    return step
