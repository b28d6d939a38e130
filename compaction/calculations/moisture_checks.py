"""One determination of water content held against the standard that the record names for it. Changes no number."""

from decimal import Decimal
from typing import Final

from compaction.calculations.constant_mass import last_change_pct
from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.moisture_specimens import specimen_findings
from compaction.calculations.moisture_standards import MOISTURE_STANDARDS, MoistureStandard
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding, WaterContentReading

#: How far a specimen for a carbide tester may be off its mass, kg: one digit of its balance (common practice).
_OFF_BY_KG: Final = Decimal("0.0001")


def determination_findings(
    reading: WaterContentReading,
    *,
    maximum_particle_mm: Decimal | None,
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Specimen too small, masses read too coarsely, constant mass not shown or not reached, carbide limits.

    Nothing where the determination names no standard. Without a largest particle (mm) only what does not depend on it
    is looked at. Raises `ImpossibleReading` for weighings that cannot be. Source: `MoistureStandard.source`.

    >>> reading = WaterContentReading("microwave", "total", specimen_mass_kg=Decimal("0.25"), standard="d4643",
    ...     weighings_kg=(Decimal("0.2250"), Decimal("0.2220")))
    >>> [one.code for one in determination_findings(reading, maximum_particle_mm=None)]
    ['constant-mass-not-reached']
    """
    standard = MOISTURE_STANDARDS.get(reading.standard)
    if standard is None:
        return ()
    found: list[Finding] = []
    if maximum_particle_mm is not None and standard.specimens:
        found.extend(
            specimen_findings(
                reading, maximum_particle_mm=maximum_particle_mm, standard=standard.specimens, editions=editions
            )
        )
    found.extend(_readability(reading, standard, maximum_particle_mm))
    found.extend(_constant_mass(reading, standard, sheet))
    found.extend(_carbide(reading, standard, maximum_particle_mm))
    return tuple(found)


def _readability(
    reading: WaterContentReading, standard: MoistureStandard, particle_mm: Decimal | None
) -> tuple[Finding, ...]:
    read_to_kg = reading.read_to_kg
    rows = standard.read_to_kg
    if read_to_kg is None or (particle_mm is None and len(rows) > 1):
        return ()
    limit_kg = next((limit for particle, limit in rows if particle_mm is None or particle_mm <= particle), None)
    if limit_kg is None or read_to_kg <= limit_kg:
        return ()
    return (
        Finding(
            "moisture-masses-too-coarse",
            "validity",
            f"Masses of the moisture specimen are read to {_grams(read_to_kg)} g; {standard.title} asks for "
            f"{_grams(limit_kg)} g. Use a finer balance, or write down the digits that it shows.",
            {"read_to_g": _grams(read_to_kg), "limit_g": _grams(limit_kg)},
        ),
    )


def _constant_mass(reading: WaterContentReading, standard: MoistureStandard, sheet: Worksheet) -> tuple[Finding, ...]:
    limit_pct = standard.change_pct
    if limit_pct is None:
        return ()
    if len(reading.weighings_kg) < 2:
        if not standard.weighings_required and not reading.weighings_kg:
            return ()
        return (
            Finding(
                "constant-mass-not-shown",
                "validity",
                f"{standard.title} dries by steps until the mass no longer changes; fewer than two weighings are on "
                "record. Undried soil reads too dry and therefore too dense. Enter the weighings, or dry it again.",
            ),
        )
    can_kg = reading.cans[0]["can_kg"] if reading.cans else Decimal(0)
    wet_kg = reading.cans[0]["wet_and_can_kg"] - can_kg if reading.cans else reading.specimen_mass_kg or Decimal(0)
    change_pct = last_change_pct(
        reading.weighings_kg, of_kg=wet_kg if standard.change_of == "wet" else Decimal(0), can_kg=can_kg, sheet=sheet
    )
    if change_pct <= limit_pct:
        return ()
    of = "the moist specimen" if standard.change_of == "wet" else "the mass before"
    return (
        Finding(
            "constant-mass-not-reached",
            "validity",
            f"The last drying still changed the mass by {change_pct:.2f} % of {of}; {standard.title} allows "
            f"{limit_pct} %. The water content reads too low and the density too high. Dry it again.",
            {"change_pct": f"{change_pct:.3f}", "limit_pct": str(limit_pct)},
        ),
    )


def _carbide(
    reading: WaterContentReading, standard: MoistureStandard, particle_mm: Decimal | None
) -> tuple[Finding, ...]:
    found = []
    largest_mm = standard.largest_particle_mm
    if largest_mm is not None and particle_mm is not None and particle_mm > largest_mm and reading.fraction == "total":
        found.append(
            Finding(
                "carbide-of-the-whole",
                "validity",
                f"{standard.title} takes soil passing {largest_mm} mm; with particles of {particle_mm:f} mm the "
                "specimen is not the whole material. Enter it as control fraction, with the oversize.",
                {"maximum_particle_mm": f"{particle_mm:f}", "limit_mm": f"{largest_mm}"},
            )
        )
    masses, specimen_kg = standard.specimen_masses_kg, reading.specimen_mass_kg
    if masses and specimen_kg is not None:
        wanted = [mass / 2 if reading.half_specimen else mass for mass in masses]
        if all(abs(specimen_kg - mass) > _OFF_BY_KG for mass in wanted):
            words = " or ".join(_grams(mass) for mass in wanted)
            found.append(
                Finding(
                    "carbide-specimen-mass",
                    "validity",
                    f"The carbide specimen weighed {_grams(specimen_kg)} g; the dial of {standard.title} holds for "
                    f"{words} g{' (half a specimen)' if reading.half_specimen else ''}. Repeat it, or mark half a "
                    "specimen where it was one.",
                    {"specimen_g": _grams(specimen_kg), "wanted_g": words},
                )
            )
    return tuple(found)


def _grams(mass_kg: Decimal) -> str:
    return f"{(mass_kg * 1000).normalize():f}"
