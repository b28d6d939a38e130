"""Water contents and oversize as reported with a test."""

from decimal import Decimal

from compaction.facts import OversizeReading, WaterContentReading
from compaction.observation.choices import FRACTIONS, LENGTHS, MOST_CANS, OVERSIZE_BASES, SIEVES, WATER_CONTENT_METHODS
from compaction.observation.members import Members
from compaction.observation.moisture import read_specimen


def read_water_content(members: Members) -> WaterContentReading:
    """One determination: exactly one of "value" (percent of dry mass), "cans", "weighings" or, with carbide, "dial".

    Weighings may also stand beside one can, whose drying they show; the dial is percent of the wet mass.
    """
    method = members.choice("method", WATER_CONTENT_METHODS, required=True)
    fraction = members.choice("fraction", FRACTIONS, required=True)
    value = members.quantity("value", "percent")
    cans = tuple(_can(item) for item in members.items("cans", most=MOST_CANS))
    dial = members.quantity("dial", "percent")
    half = members.flag("half_specimen")
    specimen = read_specimen(members, method=method, cans=cans)
    members.finish()
    given = [name for name in ("value", "cans", "dial") if members.has(name)]
    if members.has("weighings") and "cans" not in given:
        given.append("weighings")
    if not given:
        members.problem("value", "missing", "State the water content as 'value', 'cans' or, with carbide, 'dial'.")
    for name in given[1:]:
        members.problem(name, "stated-twice", f"'{given[0]}' and '{name}' are both stated; send what was measured.")
    if members.has("dial") and method and method != "carbide":
        members.problem("dial", "not-with-this-method", "Only the carbide pressure tester has a dial reading.")
    if members.has("half_specimen") and not members.has("dial"):
        members.problem("half_specimen", "not-with-this-method", "A half specimen only changes a dial reading.")
    return WaterContentReading(
        method=method,
        fraction=fraction,
        water_content_pct=value,
        cans=cans,
        carbide_dial_pct=dial,
        half_specimen=half,
        specimen_mass_kg=specimen.specimen_mass_kg,
        weighings_kg=specimen.weighings_kg,
        standard=specimen.standard,
        read_to_kg=specimen.read_to_kg,
    )


def _can(members: Members) -> dict[str, Decimal]:
    members.text("can", longest=LENGTHS["label"])
    masses = {
        "wet_and_can_kg": members.quantity("wet_and_can", "mass", required=True),
        "dry_and_can_kg": members.quantity("dry_and_can", "mass", required=True),
        "can_kg": members.quantity("can_mass", "mass", required=True),
    }
    members.finish()
    return {name: mass for name, mass in masses.items() if mass is not None}


def read_oversize(members: Members | None) -> OversizeReading | None:
    """Oversize of the hole, a standing value, or the statement that there is none."""
    if members is None:
        return None
    sieve = members.choice("sieve", SIEVES, required=True)
    basis = members.choice("basis", OVERSIZE_BASES, required=True)
    percent = members.quantity("percent", "percent")
    wet_mass_kg = members.quantity("wet_mass", "mass")
    gravity = members.number("bulk_specific_gravity")
    water_content_pct = members.quantity("water_content", "percent")
    members.finish()
    if members.has("percent") and members.has("wet_mass"):
        members.problem("wet_mass", "stated-twice", "'percent' and 'wet_mass' are both stated; send what was measured.")
    if basis in ("this_hole", "standing") and not members.has("percent") and not members.has("wet_mass"):
        members.problem("percent", "missing", "State the oversize as 'percent' of the dry mass or as 'wet_mass'.")
    if basis == "standing" and members.has("wet_mass"):
        members.problem(
            "wet_mass", "not-with-this-basis", "A mass belongs to this hole; a standing value is a percent."
        )
    if basis == "none" and (members.has("percent") or members.has("wet_mass")):
        members.problem("basis", "contradiction", "The basis says that there is no oversize, yet an amount is stated.")
    if percent is not None and not 0 <= percent <= 100:
        members.problem("percent", "out-of-range", "Oversize lies between 0 and 100 % of the dry mass.")
    return OversizeReading(
        sieve=sieve,
        basis=basis,
        oversize_pct=percent,
        oversize_wet_mass_kg=wet_mass_kg,
        bulk_specific_gravity=gravity,
        water_content_pct=water_content_pct,
    )
