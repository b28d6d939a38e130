"""How much soil a determination of water content needs, by largest particle: tables as data by standard and edition."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.editions import NEWEST, Editions, cited, in_force
from compaction.calculations.errors import OutsideValidity
from compaction.facts import Finding, WaterContentReading


@dataclass(frozen=True)
class SpecimenTable:
    """Smallest specimen (kg) by largest particle (mm), in order of particle size.

    The mass is of the moist specimen as taken. `edition`: the year from which the standard has had these rows, as far
    as is known.
    """

    edition: str
    rows: tuple[tuple[Decimal, Decimal], ...]
    source: str
    from_memory: bool = False


def _table(
    edition: str, rows_mm_g: Iterable[tuple[str, int]], source: str, from_memory: bool = False
) -> tuple[SpecimenTable, ...]:
    rows = tuple((Decimal(particle), Decimal(mass) / 1000) for particle, mass in rows_mm_g)
    return (SpecimenTable(edition, rows, source, from_memory),)


_AGGREGATE = (
    ("4.75", 500), ("9.5", 1500), ("12.5", 2000), ("19.0", 3000), ("25.0", 4000), ("37.5", 6000), ("50", 8000),
    ("63", 10000), ("75", 13000), ("90", 16000), ("100", 25000), ("150", 50000),
)  # fmt: skip
#: standard -> tables, from the oldest edition on file to the newest (one so far, each). Soil and aggregate have tables
#: of their own; choose by material, not by what passes.
SPECIMEN_TABLES: Final[dict[str, tuple[SpecimenTable, ...]]] = {
    "AASHTO T 265": _table(
        "2011",
        (("0.425", 10), ("4.75", 100), ("12.5", 300), ("25", 500), ("50", 1000)),
        "AASHTO T 265 as in the North Dakota DOT manual",
    ),
    "AASHTO T 255": _table(
        "2000", _AGGREGATE, "WAQTC procedure for AASHTO T 255 and T 265, table 1 (nominal maximum size)"
    ),
    "ASTM D2216 method A": _table(
        "2010",
        (("2.0", 20), ("4.75", 20), ("9.5", 50), ("19.0", 250), ("37.5", 1000), ("75", 5000)),
        "ASTM D2216 table 1, method A (to 1 %)",
        from_memory=True,
    ),
    "ASTM D2216 method B": _table(
        "2010",
        (("2.0", 20), ("4.75", 100), ("9.5", 500), ("19.0", 2500), ("37.5", 10000), ("75", 50000)),
        "ASTM D2216 table 1, method B (to 0.1 %)",
        from_memory=True,
    ),
    "BS 1377-2": _table(
        "1990", (("2.0", 30), ("20", 300), ("37.5", 3000)), "BS 1377-2:1990 clause 3.2", from_memory=True
    ),
    "ASTM D4643": _table("2008", (("2.0", 100), ("4.75", 300), ("19.0", 500)), "ASTM D4643 table 1", from_memory=True),
    "ASTM D4959": _table("2007", (("2.0", 200), ("4.75", 300), ("19.0", 500)), "ASTM D4959 table 1", from_memory=True),
    "ASTM D1556": _table(
        "1990", (("4.75", 100), ("12.5", 250), ("25", 500), ("37.5", 1000)), "ASTM D1556 table 1", from_memory=True
    ),
}


def smallest_specimen_kg(
    *, maximum_particle_mm: Decimal, standard: str = "ASTM D2216 method A", editions: Editions = NEWEST
) -> Decimal:
    """Smallest specimen (kg, moist) for a largest particle (mm). Raises `OutsideValidity` beyond the table.

    `standard` is a key of `SPECIMEN_TABLES`, of which `editions` choose the table. Source: the table of that standard,
    see `SpecimenTable.source`.

    >>> smallest_specimen_kg(maximum_particle_mm=Decimal("19"))
    Decimal('0.25')
    """
    rows = in_force(SPECIMEN_TABLES[standard], standard=standard, editions=editions).rows
    for particle_mm, mass_kg in rows:
        if maximum_particle_mm <= particle_mm:
            return mass_kg
    raise OutsideValidity(
        "particle-beyond-table",
        f"Particles of {maximum_particle_mm:f} mm are larger than the {rows[-1][0]:f} mm at which the table of "
        f"{standard} ends.",
        value=maximum_particle_mm,
        limit=rows[-1][0],
        unit="mm",
    )


def table_cited(standard: str, editions: Editions = NEWEST) -> str:
    """The table that counts, with its edition, as a sentence names it. Source: the table, `SpecimenTable.source`.

    >>> table_cited("ASTM D1556")
    'ASTM D1556 table 1, edition of 1990, from memory'
    """
    table = in_force(SPECIMEN_TABLES[standard], standard=standard, editions=editions)
    return cited(table.source, table.edition, from_memory=table.from_memory)


def specimen_findings(
    reading: WaterContentReading,
    *,
    maximum_particle_mm: Decimal,
    standard: str = "ASTM D2216 method A",
    editions: Editions = NEWEST,
) -> tuple[Finding, ...]:
    """A finding "moisture-specimen-too-small" for every can, or the one specimen, with less than the table asks for.

    A determination that states no mass is not looked at, and beyond the table nothing is said. Source: the table of
    the standard, see `SpecimenTable.source`.

    >>> can = {"wet_and_can_kg": Decimal("0.0452"), "dry_and_can_kg": Decimal("0.0443"), "can_kg": Decimal("0.033")}
    >>> reading = WaterContentReading(method="oven", fraction="total", cans=(can,))
    >>> [finding.code for finding in specimen_findings(reading, maximum_particle_mm=Decimal("4.75"))]
    ['moisture-specimen-too-small']
    """
    try:
        smallest_kg = smallest_specimen_kg(
            maximum_particle_mm=maximum_particle_mm, standard=standard, editions=editions
        )
    except OutsideValidity:
        return ()
    weighed = [
        (f"Can {number} held", can["wet_and_can_kg"] - can["can_kg"]) for number, can in enumerate(reading.cans, 1)
    ]
    if not weighed and reading.specimen_mass_kg is not None:
        weighed = [("The moisture specimen had", reading.specimen_mass_kg)]
    return tuple(
        Finding(
            code="moisture-specimen-too-small",
            severity="validity",
            sentence=f"{what} {moist_kg * 1000:.1f} g of moist soil; {standard} asks for at least "
            f"{smallest_kg * 1000:.0f} g with particles of {maximum_particle_mm:f} mm "
            f"({table_cited(standard, editions)}). Take a larger specimen.",
            numbers={"moist_g": f"{moist_kg * 1000:.1f}", "smallest_g": f"{smallest_kg * 1000:.0f}"},
        )
        for what, moist_kg in weighed
        if moist_kg < smallest_kg
    )
