"""What each standard asks of a determination of water content, as data: replace a row for another edition.

Only a standard that the record names is held against a determination: the tables differ from each other, so that none
is taken for granted. Cautions are short reminders; the rules of the site and of the laboratory come first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True)
class MoistureStandard:
    """`methods`: those that the standard is for. `specimens`: a key of `moisture_specimens.SPECIMEN_TABLES`.

    `read_to_kg`: how finely masses are read, by largest particle (mm), the first row that takes it in. A specimen is
    dry when a further drying changes it by at most `change_pct` of `change_of` ("wet": the moist specimen, "previous":
    the mass before). `weighings_required`: the method itself is a series of weighings. `specimen_masses_kg`: the only
    masses that the instrument takes.
    """

    title: str
    methods: tuple[str, ...]
    source: str
    specimens: str = ""
    read_to_kg: tuple[tuple[Decimal, Decimal], ...] = ()
    change_pct: Decimal | None = None
    change_of: str = "wet"
    weighings_required: bool = False
    largest_particle_mm: Decimal | None = None
    specimen_masses_kg: tuple[Decimal, ...] = ()
    from_memory: bool = True


def _read_to(*rows_mm_g: tuple[str, str]) -> tuple[tuple[Decimal, Decimal], ...]:
    return tuple((Decimal(particle), Decimal(grams) / 1000) for particle, grams in rows_mm_g)


_ANY: Final = "1000"
MOISTURE_STANDARDS: Final[Mapping[str, MoistureStandard]] = MappingProxyType(
    {
        "d2216_a": MoistureStandard(
            "ASTM D2216 method A (to 1 %)",
            ("oven",),
            "ASTM D2216 (2010 to 2019), table 1 and definition of constant dry mass",
            specimens="ASTM D2216 method A",
            read_to_kg=_read_to(("9.5", "0.1"), ("19.0", "1"), ("75", "10")),
            change_pct=Decimal(1),
        ),
        "d2216_b": MoistureStandard(
            "ASTM D2216 method B (to 0.1 %)",
            ("oven",),
            "ASTM D2216 (2010 to 2019), table 1 and definition of constant dry mass",
            specimens="ASTM D2216 method B",
            read_to_kg=_read_to(("2.0", "0.01"), ("9.5", "0.1"), ("19.0", "1"), ("75", "10")),
            change_pct=Decimal("0.1"),
        ),
        "t265": MoistureStandard(
            "AASHTO T 265",
            ("oven",),
            "AASHTO T 265; specimens and 0.1 g as in the North Dakota DOT manual (read), constant mass from memory",
            specimens="AASHTO T 265",
            read_to_kg=_read_to((_ANY, "0.1")),
            change_pct=Decimal("0.1"),
            change_of="previous",
        ),
        "t255": MoistureStandard(
            "AASHTO T 255 (aggregate)",
            ("oven", "microwave", "direct_heat"),
            "WAQTC procedure for AASHTO T 255 and T 265, table 1 and balance (read), constant mass from memory",
            specimens="AASHTO T 255",
            read_to_kg=_read_to((_ANY, "0.1")),
            change_pct=Decimal("0.1"),
            change_of="previous",
        ),
        "bs1377_2": MoistureStandard(
            "BS 1377-2 clause 3",
            ("oven",),
            "BS 1377-2:1990, clause 3",
            specimens="BS 1377-2",
            read_to_kg=_read_to(("2.0", "0.01"), ("20", "0.1"), ("37.5", "1")),
            change_pct=Decimal("0.1"),
        ),
        "d4643": MoistureStandard(
            "ASTM D4643 (microwave)",
            ("microwave",),
            "ASTM D4643, table 1 and procedure",
            specimens="ASTM D4643",
            read_to_kg=_read_to((_ANY, "0.1")),
            change_pct=Decimal("0.1"),
            weighings_required=True,
        ),
        "d4959": MoistureStandard(
            "ASTM D4959 (direct heat)",
            ("direct_heat",),
            "ASTM D4959, table 1 and procedure",
            specimens="ASTM D4959",
            read_to_kg=_read_to((_ANY, "0.1")),
            change_pct=Decimal("0.1"),
            weighings_required=True,
        ),
        "d4944": MoistureStandard(
            "ASTM D4944 (carbide)",
            ("carbide",),
            "ASTM D4944, scope and procedure",
            read_to_kg=_read_to((_ANY, "0.1")),
            largest_particle_mm=Decimal("4.75"),
            specimen_masses_kg=(Decimal("0.020"),),
        ),
        "t217": MoistureStandard(
            "AASHTO T 217 (carbide)",
            ("carbide",),
            "AASHTO T 217-14 and WAQTC procedure for T 217",
            read_to_kg=_read_to((_ANY, "0.1")),
            largest_particle_mm=Decimal("4.75"),
            specimen_masses_kg=(Decimal("0.020"), Decimal("0.026")),
            from_memory=False,
        ),
    }
)

#: method -> reminders beside the form. Microwave: ASTM D4643, section on hazards; carbide: ASTM D4944 and T 217,
#: hazards; direct heat: ASTM D4959, hazards (all from memory).
CAUTIONS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "microwave": "Wet stones and lumps can burst and metal arcs: cover the dish, keep a heat sink in the oven, use "
        "no metal, let it cool before opening. Not for soil with fuel or other organic vapour in it.",
        "direct_heat": "Open flame and hot pans: gloves and eye protection, stones spit, keep fuel and dry grass away, "
        "never leave it alone, work in the open or under a hood.",
        "carbide": "Carbide and water make acetylene, which burns and explodes: no flame or spark, vent in the open "
        "and away from faces, keep the reagent dry, let the spent powder gas out before it is thrown away.",
    }
)


def standards_for(method: str) -> dict[str, str]:
    """Code and title of the standards for a method of drying. Source: see `MoistureStandard.source`.

    >>> list(standards_for("carbide"))
    ['d4944', 't217']
    """
    return {code: one.title for code, one in MOISTURE_STANDARDS.items() if method in one.methods}
