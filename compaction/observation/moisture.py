"""How a water content was determined: the mass of the specimen, its weighings, the standard it is held against."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.moisture_standards import MOISTURE_STANDARDS, standards_for
from compaction.calculations.quantities import UNITS, parse_quantity
from compaction.observation.choices import MOST_WEIGHINGS
from compaction.observation.members import Members

_DRIED_BY_STEPS: Final = ("oven", "microwave", "direct_heat")
_MASSES_OF_A_CAN: Final = ("wet_and_can", "dry_and_can", "can_mass")


@dataclass(frozen=True)
class Specimen:
    """Beside the determination itself; `read_to_kg` only where a standard is named."""

    specimen_mass_kg: Decimal | None = None
    weighings_kg: tuple[Decimal, ...] = ()
    standard: str = ""
    read_to_kg: Decimal | None = None


def read_specimen(members: Members, *, method: str, cans: tuple[Mapping[str, Decimal], ...]) -> Specimen:
    """The members "specimen_mass", "weighings" and "standard" of a determination, with every problem."""
    mass_kg = members.quantity("specimen_mass", "mass")
    weighings = members.array("weighings", lambda item, at: parse_quantity(item, "mass", at), most=MOST_WEIGHINGS)
    standard = members.choice("standard", MOISTURE_STANDARDS)
    if members.has("specimen_mass") and members.has("cans"):
        members.problem("specimen_mass", "stated-twice", "The masses of a can already say what the specimen weighed.")
    if standard and method and method not in MOISTURE_STANDARDS[standard].methods:
        known = ", ".join(standards_for(method)) or "none"
        members.problem("standard", "not-with-this-method", f"This standard is not for '{method}'; known: {known}.")
    if members.has("weighings"):
        _check_weighings(members, weighings, method=method, cans=cans)
    return Specimen(mass_kg, tuple(weighings), standard, _read_to(members.content) if standard else None)


def _check_weighings(
    members: Members, weighings: list[Decimal], *, method: str, cans: tuple[Mapping[str, Decimal], ...]
) -> None:
    if method and method not in _DRIED_BY_STEPS:
        members.problem("weighings", "not-with-this-method", "Only drying has several weighings.")
    if len(weighings) == 1:
        members.problem("weighings", "out-of-range", "One weighing shows no change; send at least two.")
    if members.has("cans"):
        if len(cans) != 1:
            members.problem("weighings", "contradiction", "Weighings belong to one can; send each can by itself.")
        elif weighings and cans[0].get("dry_and_can_kg", weighings[-1]) != weighings[-1]:
            members.problem("weighings", "contradiction", "The last weighing is not the 'dry_and_can' of the can.")
    elif not members.has("specimen_mass"):
        members.problem("weighings", "missing", "State 'specimen_mass' (moist, without its can) or one can with them.")


def _read_to(written: Mapping[str, Any]) -> Decimal | None:
    """The coarsest last digit of the masses as written, kg: "235.0 g" is read to a tenth of a gram."""
    texts = [written.get("specimen_mass"), *_list(written.get("weighings"))]
    for can in _list(written.get("cans")):
        texts += [can.get(name) for name in _MASSES_OF_A_CAN] if isinstance(can, Mapping) else []
    steps = [step for text in texts if (step := _step_kg(text)) is not None]
    return max(steps, default=None)


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list | tuple) else []


def _step_kg(text: Any) -> Decimal | None:
    if not isinstance(text, str):
        return None
    number, _, unit = text.partition(" ")
    factor = UNITS["mass"].get(unit)
    if factor is None or not number.lstrip("-").replace(".", "", 1).isascii():
        return None
    return factor.scaleb(-len(number.partition(".")[2]))
