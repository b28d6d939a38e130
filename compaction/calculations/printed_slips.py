"""Which slip a printed figure comes out of, for the methods and determinations that have no sheet of their own.

Sand-cone sheets are worked line by line in `density_sheet`; here the slips of the other methods are tried on one
printed figure. The first that gives the printed digits is told; an explanation is no accusation.
"""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.can_sheet import CanLine
from compaction.calculations.sheet_check import PrintedFigure, agrees
from compaction.facts import WaterContentReading

_HUNDRED: Final = Decimal(100)
_Work = Callable[[Mapping[str, Decimal]], Decimal]
#: what the readings hold, how the wet density comes out with the slip, and the slip in words
WET_DENSITY_SLIPS: Final[tuple[tuple[tuple[str, ...], _Work, str], ...]] = (
    (
        ("soil_wet_mass_kg", "final_volume_m3"),
        lambda x: x["soil_wet_mass_kg"] / x["final_volume_m3"],
        "the reading of the balloon on the plate is not subtracted",
    ),
    (
        ("soil_wet_mass_kg", "mass_before_kg", "mass_after_kg", "sand_bulk_density_kgm3"),
        lambda x: x["soil_wet_mass_kg"] * x["sand_bulk_density_kgm3"] / (x["mass_before_kg"] - x["mass_after_kg"]),
        "the sand in the cone is not subtracted",
    ),
    (
        ("soil_wet_mass_kg", "sand_poured_kg", "sand_bulk_density_kgm3"),
        lambda x: x["soil_wet_mass_kg"] * x["sand_bulk_density_kgm3"] / x["sand_poured_kg"],
        "the sand in the frame is not subtracted",
    ),
    (
        ("cylinder_and_soil_mass_kg", "cylinder_mass_kg", "wet_density_kgm3"),
        lambda x: (
            x["wet_density_kgm3"]
            * x["cylinder_and_soil_mass_kg"]
            / (x["cylinder_and_soil_mass_kg"] - x["cylinder_mass_kg"])
        ),
        "the empty cylinder is not subtracted",
    ),
    (
        ("soil_wet_mass_kg", "hole_volume_m3", "ring_water_volume_m3"),
        lambda x: x["soil_wet_mass_kg"] / (x["hole_volume_m3"] + x["ring_water_volume_m3"]),
        "the water in the ring is not subtracted",
    ),
    (
        ("soil_wet_mass_kg", "hole_volume_m3", "ring_water_mass_kg"),
        lambda x: x["soil_wet_mass_kg"] / (x["hole_volume_m3"] + x["ring_water_mass_kg"] / 1000),
        "the water in the ring is not subtracted",
    ),
    (
        ("soil_wet_mass_kg", "hole_volume_m3", "liner_volume_m3"),
        lambda x: x["soil_wet_mass_kg"] / (x["hole_volume_m3"] - x["liner_volume_m3"]),
        "the volume of the liner is not added",
    ),
    (
        ("soil_wet_mass_kg", "hole_volume_m3", "liner_volume_m3"),
        lambda x: x["soil_wet_mass_kg"] / (x["hole_volume_m3"] - 2 * x["liner_volume_m3"]),
        "the volume of the liner is subtracted instead of added",
    ),
)


def wet_density_slip(printed: PrintedFigure, known: Mapping[str, Decimal]) -> str:
    """The slip that gives a printed wet density; empty if none does. `known`: readings and figures by name (SI).

    Source: common practice (no source).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> wet_density_slip(printed_figure("wet_density", "1137 kg/m3"),
    ...     {"soil_wet_mass_kg": Decimal("1.465"), "final_volume_m3": Decimal("0.001288")})
    'the reading of the balloon on the plate is not subtracted'
    """
    return _first(
        printed,
        (
            (work(known), words)
            for needs, work, words in WET_DENSITY_SLIPS
            if all(known.get(name) for name in needs) and _works(work, known)
        ),
    )


def _works(work: _Work, known: Mapping[str, Decimal]) -> bool:
    try:
        return work(known) > 0
    except ArithmeticError:  # a misread pair divides by nothing
        return False


def dry_density_slip(printed: PrintedFigure, *, wet_density_kgm3: Decimal, water_content_pct: Decimal) -> str:
    """The slip that gives a printed dry density from wet density (kg/m3) and water content (%); empty if none does.

    Source: common practice (no source).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> dry_density_slip(printed_figure("dry_density", "1.560 g/cm3"), wet_density_kgm3=Decimal("1724.1"),
    ...     water_content_pct=Decimal("9.5"))
    'the water content is taken as percent of the wet mass'
    """
    wet, water = wet_density_kgm3, water_content_pct
    return _first(
        printed,
        (
            (wet * (_HUNDRED - water) / _HUNDRED, "the water content is taken as percent of the wet mass"),
            (wet, "the water is not taken off"),
            (wet * (_HUNDRED + water) / _HUNDRED, "the wet density is multiplied by 1 + w instead of divided"),
            (wet - water, "the percentage is subtracted from the density"),
        ),
    )


def water_content_slip(printed: PrintedFigure, reading: WaterContentReading) -> str:
    """The slip that gives a printed water content from one determination; empty if none does.

    Source: common practice (no source); the order of doubling and change of basis: AASHTO T 217-14.

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> half = WaterContentReading("carbide", "total", carbide_dial_pct=Decimal("11.0"), half_specimen=True)
    >>> water_content_slip(printed_figure("water_content", "24.7 %"), half)
    'the basis is changed before the dial of half a specimen is doubled'
    """
    return _first(printed, (*_dial_slips(reading), *_mass_slips(reading)))


def _dial_slips(reading: WaterContentReading) -> Iterable[tuple[Decimal, str]]:
    dial = reading.carbide_dial_pct
    if dial is None or not 0 <= dial < 50:
        return
    if reading.half_specimen:
        yield 2 * dial, "the dial is left in percent of the wet mass"
        yield dial * _HUNDRED / (_HUNDRED - dial), "the dial of half a specimen is not doubled"
        yield (
            2 * dial * _HUNDRED / (_HUNDRED - dial),
            "the basis is changed before the dial of half a specimen is doubled",
        )
    yield dial, "the dial is left in percent of the wet mass"


def _mass_slips(reading: WaterContentReading) -> Iterable[tuple[Decimal, str]]:
    lines = _lines(reading)
    for number, line in enumerate(lines):
        if line.dry_soil_kg <= 0 or line.water_kg < 0:
            continue
        which = f" of can {number + 1}" if len(lines) > 1 else ""
        yield (
            _HUNDRED * line.water_kg / (line.water_kg + line.dry_soil_kg),
            f"the water{which} is divided by the wet soil",
        )
        yield _HUNDRED * line.water_kg / line.dry_and_can_kg, f"the can{which} is not subtracted from the dry soil"
        for neighbour in (number - 1, number + 1):
            if 0 <= neighbour < len(lines) and lines[neighbour].dry_soil_kg > 0:
                yield (
                    _HUNDRED * line.water_kg / lines[neighbour].dry_soil_kg,
                    f"the water{which} is divided by the dry soil of can {neighbour + 1}",
                )
        if len(lines) > 1:
            yield _HUNDRED * line.water_kg / line.dry_soil_kg, f"only can {number + 1} is used"


def _lines(reading: WaterContentReading) -> list[CanLine]:
    cans: list[Any] = list(reading.cans)
    if not cans and reading.weighings_kg and reading.specimen_mass_kg is not None:
        return [CanLine(reading.specimen_mass_kg, reading.weighings_kg[-1], Decimal(0))]
    return [CanLine(can["wet_and_can_kg"], can["dry_and_can_kg"], can["can_kg"]) for can in cans]


def _first(printed: PrintedFigure, candidates: Iterable[tuple[Decimal, str]]) -> str:
    return next((words for value, words in candidates if agrees(printed, value)), "")
