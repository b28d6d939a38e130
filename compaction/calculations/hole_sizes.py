"""The smallest hole or pit for a particle size, as data by standard and edition: add a row for another edition."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.editions import NEWEST, Editions, cited, in_force
from compaction.calculations.formula import Formula
from compaction.calculations.quantities import FOOT_M
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

_TEST_PIT: Final = "Use a test pit."
_DIG: Final = "Dig a larger hole before leaving the spot."


@dataclass(frozen=True)
class HoleTable:
    """Rows of (largest particle mm, smallest hole m3) in order; `beyond` is the remedy for larger particles.

    `edition`: the year from which the standard has had these rows, as far as is known.
    """

    edition: str
    rows: tuple[tuple[Decimal, Decimal], ...]
    source: str
    beyond: str = _TEST_PIT
    from_memory: bool = True


def _cm3(*rows: tuple[str, int]) -> tuple[tuple[Decimal, Decimal], ...]:
    return tuple((Decimal(particle_mm), Decimal(volume_cm3) / 1_000_000) for particle_mm, volume_cm3 in rows)


def _ft3(*rows: tuple[str, int]) -> tuple[tuple[Decimal, Decimal], ...]:
    return tuple((Decimal(particle_mm), volume_ft3 * FOOT_M**3) for particle_mm, volume_ft3 in rows)


SMALLEST_HOLE: Final = Formula(
    "smallest-hole", "Smallest hole for the largest particle", "from the table of the standard", "table of the standard"
)
#: standard -> smallest holes, from the oldest edition on file to the newest. Editions of D1556 and T 191 print 1415 or
#: 1420, 2120 or 2125, 2830 or 2840 cm3. That D1556 had the rows of T 191 before 2000 is from memory too.
SMALLEST_HOLES: Final[dict[str, tuple[HoleTable, ...]]] = {
    "ASTM D1556": (
        HoleTable("1990", _cm3(("4.75", 700), ("12.5", 1420), ("25", 2120), ("50", 2830)), "ASTM D1556, table 1"),
        HoleTable("2000", _cm3(("12.5", 1420), ("25", 2120), ("37.5", 2830)), "ASTM D1556, table 1"),
    ),
    "AASHTO T 191": (
        HoleTable("2002", _cm3(("4.75", 700), ("12.5", 1420), ("25", 2120), ("50", 2830)), "AASHTO T 191, table 1"),
    ),
    "ASTM D2167": (HoleTable("1994", _cm3(("12.5", 1420), ("25", 2120), ("37.5", 2840)), "ASTM D2167, table 1"),),
    "ASTM D4914": (
        HoleTable(
            "1999",
            _ft3(("75", 1), ("125", 2)),
            "ASTM D4914, table of excavations",
            "Use the water replacement method (ASTM D5030).",
        ),
    ),
    "ASTM D5030": (
        HoleTable(
            "2004",
            _ft3(("75", 1), ("125", 2), ("200", 8), ("300", 27), ("450", 90)),
            "ASTM D5030, table of excavations",
            "Excavate a pit many times as large as the largest particle, and say so in the report.",
        ),
    ),
}


@dataclass(frozen=True)
class SizeRange:
    """Between which volumes (m3) a method is meant, with the edition it stands in. 0: no lower end."""

    edition: str
    smallest_m3: Decimal
    largest_m3: Decimal


#: standard -> volumes for which the method is meant. Read: ASTM D4914 (2016), D5030 (2004 to 2021), section 1.2.
PIT_VOLUMES: Final[dict[str, SizeRange]] = {
    "ASTM D4914": SizeRange("2016", FOOT_M**3, 6 * FOOT_M**3),
    "ASTM D5030": SizeRange("2004 to 2021", 3 * FOOT_M**3, 100 * FOOT_M**3),
}
#: standard -> the largest hole it is for, and what comes after. Read: ASTM D1556 (2015), section 1.5.
LARGEST_HOLES: Final[dict[str, SizeRange]] = {"ASTM D1556": SizeRange("2015", Decimal(0), Decimal("0.00283"))}


def large_hole_findings(*, hole_volume_m3: Decimal, standard: str) -> tuple[Finding, ...]:
    """Whether a hole (m3) is larger than its standard is for: "hole-beyond-method" or none.

    Source: ASTM D1556 (2015), section 1.5.

    >>> [one.code for one in large_hole_findings(hole_volume_m3=Decimal("0.004"), standard="ASTM D1556")]
    ['hole-beyond-method']
    """
    size = LARGEST_HOLES.get(standard)
    if size is None or hole_volume_m3 <= size.largest_m3:
        return ()
    return (
        Finding(
            code="hole-beyond-method",
            severity="information",
            sentence=f"The hole of {hole_volume_m3 * 1_000_000:.0f} cm3 is larger than the "
            f"{size.largest_m3 * 1_000_000:.0f} cm3 up to which {standard} ({size.edition}) is written; where "
            "soil needs such holes, the test pit methods (ASTM D4914, D5030) are meant for it.",
            numbers={"hole_volume_cm3": f"{hole_volume_m3 * 1_000_000:.0f}"},
        ),
    )


def hole_findings(
    *,
    hole_volume_m3: Decimal,
    maximum_particle_mm: Decimal,
    standard: str = "ASTM D1556",
    editions: Editions = NEWEST,
    sheet: Worksheet = NO_SHEET,
) -> tuple[Finding, ...]:
    """Whether the hole is large enough for the largest particle: "hole-too-small", "particle-beyond-method" or none.

    `standard` is a key of `SMALLEST_HOLES`, of which `editions` choose the table (`editions.in_force`); worksheet and
    sentence name it. Volume in m3, particle in mm. Source: `HoleTable.source` (from memory).

    >>> [finding.code for finding in hole_findings(
    ...     hole_volume_m3=Decimal("0.0016707"), maximum_particle_mm=Decimal(25))]
    ['hole-too-small']
    """
    table = in_force(SMALLEST_HOLES[standard], standard=standard, editions=editions)
    smallest_m3 = next((volume for particle, volume in table.rows if maximum_particle_mm <= particle), None)
    if smallest_m3 is None:
        return (particle_beyond(maximum_particle_mm, table.rows[-1][0], standard=standard, remedy=table.beyond),)
    if hole_volume_m3 >= smallest_m3 and not sheet.keeps:
        return ()
    where = cited(table.source, table.edition, from_memory=table.from_memory)
    sheet.add(
        "smallest-hole",
        result_name="smallest_hole_volume_m3",
        result=smallest_m3,
        note=where,
        maximum_particle_mm=maximum_particle_mm,
    )
    if hole_volume_m3 >= smallest_m3:
        return ()
    return (
        Finding(
            code="hole-too-small",
            severity="validity",
            sentence=f"The hole of {hole_volume_m3 * 1_000_000:.0f} cm3 is smaller than the "
            f"{smallest_m3 * 1_000_000:.0f} cm3 that {standard} wants for particles of {maximum_particle_mm:f} mm "
            f"({where}). {_DIG}",
            numbers={
                "hole_volume_cm3": f"{hole_volume_m3 * 1_000_000:.0f}",
                "smallest_cm3": f"{smallest_m3 * 1_000_000:.0f}",
                "maximum_particle_mm": f"{maximum_particle_mm:f}",
            },
        ),
    )


def particle_beyond(maximum_particle_mm: Decimal, limit_mm: Decimal, *, standard: str, remedy: str) -> Finding:
    """The finding "particle-beyond-method": particles larger than a standard provides for, both in mm.

    Source: common practice (no source); the limit is the standard's own.

    >>> particle_beyond(Decimal(25), Decimal("4.75"), standard="ASTM D2937", remedy="Use the sand cone.").severity
    'validity'
    """
    return Finding(
        code="particle-beyond-method",
        severity="validity",
        sentence=f"Particles of {maximum_particle_mm:f} mm are larger than the {limit_mm:f} mm up to which "
        f"{standard} is meant. {remedy}",
        numbers={"maximum_particle_mm": f"{maximum_particle_mm:f}", "limit_mm": f"{limit_mm:f}"},
    )


def pit_volume_findings(*, pit_volume_m3: Decimal, standard: str) -> tuple[Finding, ...]:
    """Whether a pit (m3) has a size for which its method is meant: "pit-outside-method" or none.

    `standard` is a key of `PIT_VOLUMES`; both ends belong to the range. Source: ASTM D4914 and D5030, section 1.2.

    >>> [finding.code for finding in pit_volume_findings(pit_volume_m3=Decimal("0.02"), standard="ASTM D4914")]
    ['pit-outside-method']
    """
    size = PIT_VOLUMES[standard]
    if size.smallest_m3 <= pit_volume_m3 <= size.largest_m3:
        return ()
    return (
        Finding(
            code="pit-outside-method",
            severity="validity",
            sentence=f"The pit of {pit_volume_m3:.3f} m3 lies outside the {size.smallest_m3:.3f} to "
            f"{size.largest_m3:.3f} m3 for which {standard} (edition of {size.edition}) is meant. Use the method for "
            "this size, or check the volume.",
            numbers={"pit_volume_m3": f"{pit_volume_m3:.4f}"},
        ),
    )
