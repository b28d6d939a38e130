"""Calibration of the sand cone's sand and cone, and of a mould by the water it holds."""

from collections.abc import Callable
from decimal import Decimal
from itertools import pairwise
from typing import Final

from compaction.calculations.errors import ImpossibleReading, OutsideValidity
from compaction.calculations.quantities import from_si, to_si
from compaction.calculations.worksheet import NO_SHEET, Worksheet

#: Unit weight of water, lb/ft3, by temperature in deg F. ARIZ 225b (4 December 2015), appendix A.
WATER_UNIT_WEIGHTS_PCF: Final = {
    68: "62.315", 69: "62.308", 70: "62.301", 71: "62.293", 72: "62.285", 73: "62.277", 74: "62.269",
    75: "62.261", 76: "62.252", 77: "62.243", 78: "62.234", 79: "62.225", 80: "62.216", 81: "62.206",
    82: "62.196", 83: "62.186", 84: "62.176", 85: "62.166", 86: "62.155",
}  # fmt: skip
_PI: Final = Decimal("3.141592653589793238462643383")


def _check_mass_and_volume(*, mass_kg: Decimal, volume_m3: Decimal) -> None:
    for value, what, unit in ((mass_kg, "net mass", "kg"), (volume_m3, "volume", "m3")):
        if value <= 0:
            raise ImpossibleReading(
                "impossible-mass",
                f"The {what} is {value:.4f} {unit}; it must be greater than zero. Check both masses and the volume.",
                value=value,
                limit=Decimal(0),
                unit=unit,
            )


def sand_bulk_density_kgm3(
    *, sand_mass_kg: Decimal, container_volume_m3: Decimal, sheet: Worksheet = NO_SHEET
) -> Decimal:
    """Bulk density of the sand from the mass that fills a container of known volume, kg/m3.

    Validity: both above zero. Raises `ImpossibleReading`. Source: ASTM D1556 annex on calibration of the sand;
    AASHTO T 191 (from memory).

    >>> round(sand_bulk_density_kgm3(sand_mass_kg=Decimal("6.7468"), container_volume_m3=Decimal("0.00427")), 4)
    Decimal('1580.0468')
    """
    _check_mass_and_volume(mass_kg=sand_mass_kg, volume_m3=container_volume_m3)
    result = sand_mass_kg / container_volume_m3
    sheet.add(
        "sand-bulk-density",
        result_name="sand_bulk_density_kgm3",
        result=result,
        sand_mass_kg=sand_mass_kg,
        container_volume_m3=container_volume_m3,
    )
    return result


def cone_mass_kg(*, mass_before_kg: Decimal, mass_after_kg: Decimal, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Sand that fills cone and plate on a flat surface, kg. Validity: 0 <= after < before.

    Raises `ImpossibleReading`. Source: ASTM D1556 annex on calibration of the cone; AASHTO T 191 (from memory).

    >>> cone_mass_kg(mass_before_kg=Decimal("8.53"), mass_after_kg=Decimal("7.1661"))
    Decimal('1.3639')
    """
    if not 0 <= mass_after_kg < mass_before_kg:
        raise ImpossibleReading(
            "impossible-mass",
            f"The apparatus weighs {mass_before_kg:.4f} kg before and {mass_after_kg:.4f} kg after filling the cone; "
            "after must be at least zero and less than before.",
            value=mass_after_kg,
            limit=mass_before_kg,
            unit="kg",
        )
    result = mass_before_kg - mass_after_kg
    sheet.add(
        "cone-mass",
        result_name="cone_and_plate_mass_kg",
        result=result,
        mass_before_kg=mass_before_kg,
        mass_after_kg=mass_after_kg,
    )
    return result


def cone_volume_m3(*, cone_mass_kg: Decimal, sand_bulk_density_kgm3: Decimal, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Volume of cone and plate from the sand that fills them, m3. Validity: both above zero.

    Raises `ImpossibleReading`. Source: BS 1377-9 clause 2 and common practice (no source), from memory.

    >>> cone_volume_m3(cone_mass_kg=Decimal("0.75"), sand_bulk_density_kgm3=Decimal(1500))
    Decimal('0.0005')
    """
    _check_mass_and_volume(mass_kg=cone_mass_kg, volume_m3=sand_bulk_density_kgm3)
    result = cone_mass_kg / sand_bulk_density_kgm3
    sheet.add(
        "cone-volume",
        result_name="cone_and_plate_volume_m3",
        result=result,
        cone_and_plate_mass_kg=cone_mass_kg,
        sand_bulk_density_kgm3=sand_bulk_density_kgm3,
    )
    return result


def water_density_kgm3(*, temperature_degc: Decimal) -> Decimal:
    """Density of water at a temperature, kg/m3, between the lines of the table by straight line.

    Validity: 68 to 86 deg F (20 to 30 deg C), the ends of the table. Raises `OutsideValidity`.
    Source: ARIZ 225b (4 December 2015), appendix A.

    >>> round(water_density_kgm3(temperature_degc=Decimal(20)), 1)
    Decimal('998.2')
    """
    temperature_degf = round(from_si(temperature_degc, "degF"), 9)
    rows = [(Decimal(degf), Decimal(pcf)) for degf, pcf in WATER_UNIT_WEIGHTS_PCF.items()]
    for (low_degf, low_pcf), (high_degf, high_pcf) in pairwise(rows):
        if low_degf <= temperature_degf <= high_degf:
            share = (temperature_degf - low_degf) / (high_degf - low_degf)
            return to_si(low_pcf + share * (high_pcf - low_pcf), "pcf")
    raise OutsideValidity(
        "water-temperature-out-of-table",
        f"Water at {temperature_degc:.1f} deg C is outside the table, 20 to 30 deg C (ARIZ 225b, appendix A). "
        "Bring the water to room temperature.",
        value=temperature_degc,
        limit=Decimal(30),
        unit="degC",
    )


def mould_volume_m3(
    *,
    mass_full_kg: Decimal,
    mass_empty_kg: Decimal,
    temperature_degc: Decimal,
    water: Callable[..., Decimal] | None = None,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Volume of a mould from the water that fills it to the plate of glass, m3.

    `water`: density of water by `temperature_degc` from elsewhere (`water_density.water_density_at_kgm3`). Validity:
    full > empty >= 0 kg, temperature as the density of water. Raises `ImpossibleReading`,
    `OutsideValidity`. Source: ARIZ 225b (4 December 2015), appendix A.

    >>> round(mould_volume_m3(mass_full_kg=Decimal("5.5147"), mass_empty_kg=Decimal("4.5743"),
    ...     temperature_degc=to_si(Decimal(82), "degF")) * 1_000_000, 1)
    Decimal('943.9')
    """
    if not 0 <= mass_empty_kg < mass_full_kg:
        raise ImpossibleReading(
            "impossible-mass",
            f"The mould weighs {mass_full_kg:.4f} kg full of water and {mass_empty_kg:.4f} kg empty; "
            "full must be the greater.",
            value=mass_full_kg,
            limit=mass_empty_kg,
            unit="kg",
        )
    density_kgm3 = (water or water_density_kgm3)(temperature_degc=temperature_degc)
    result = (mass_full_kg - mass_empty_kg) / density_kgm3
    sheet.add(
        "mould-volume-by-water",
        result_name="mould_volume_m3",
        result=result,
        mass_full_kg=mass_full_kg,
        mass_empty_kg=mass_empty_kg,
        water_density_kgm3=density_kgm3,
        note="" if water is None else f"water at {temperature_degc:.1f} deg C, Metrologia 38 (2001), from memory",
    )
    return result


def cylinder_volume_m3(*, diameter_m: Decimal, height_m: Decimal) -> Decimal:
    """Volume of a mould from its inside dimensions, m3: pi d^2 h / 4. Validity: both above zero.

    Raises `ImpossibleReading`. Source: ASTM D698 annex on volume of the mould, linear measurement (from memory).

    >>> round(cylinder_volume_m3(diameter_m=Decimal("0.102"), height_m=Decimal("0.116")) * 1_000_000, 1)
    Decimal('947.9')
    """
    _check_mass_and_volume(mass_kg=diameter_m, volume_m3=height_m)
    return _PI * diameter_m * diameter_m * height_m / 4
