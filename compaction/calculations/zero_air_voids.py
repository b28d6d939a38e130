"""Zero air voids, saturation, air voids and void ratio, from dry density, water content and specific gravity."""

from decimal import Decimal

from compaction.calculations.errors import ImpossibleReading, OutsideValidity
from compaction.calculations.worksheet import NO_SHEET, Worksheet

_HUNDRED = Decimal(100)
_ONE = Decimal(1)
_ZERO = Decimal(0)


def _check(*, specific_gravity: Decimal, water_density_kgm3: Decimal, water_content_pct: Decimal = _ZERO) -> None:
    if specific_gravity <= _ZERO:
        raise OutsideValidity(
            "specific-gravity-not-positive",
            f"Specific gravity is {specific_gravity}; it must be greater than zero.",
            value=specific_gravity,
            limit=Decimal(0),
        )
    if water_density_kgm3 <= _ZERO:
        raise OutsideValidity(
            "water-density-not-positive",
            f"Density of water is {water_density_kgm3:.1f} kg/m3; it must be greater than zero.",
            value=water_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    if water_content_pct < _ZERO:
        raise ImpossibleReading(
            "water-content-negative",
            f"Water content is {water_content_pct:.2f} %; it cannot be below zero. Check the readings.",
            value=water_content_pct,
            limit=Decimal(0),
            unit="%",
        )


def _solids_kgm3(
    *,
    dry_density_kgm3: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    water_content_pct: Decimal = _ZERO,
) -> Decimal:
    """Density of the solids; raises where the dry density does not lie between zero and it."""
    solids_kgm3 = specific_gravity * water_density_kgm3
    if _ZERO < dry_density_kgm3 < solids_kgm3 and specific_gravity > _ZERO and water_content_pct >= _ZERO:
        return solids_kgm3
    _check(
        specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3, water_content_pct=water_content_pct
    )
    raise ImpossibleReading(
        "denser-than-solids",
        f"Dry density of {dry_density_kgm3:.1f} kg/m3 does not lie between zero and that of the solids, "
        f"{solids_kgm3:.1f} kg/m3. Check masses, volume and specific gravity.",
        value=dry_density_kgm3,
        limit=solids_kgm3,
        unit="kg/m3",
    )


def zero_air_voids_dry_density_kgm3(
    *,
    water_content_pct: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    saturation_pct: Decimal = _HUNDRED,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Dry density at a water content on the line of given saturation; 100 % is the zero-air-voids line.

    Gs gw / (1 + w Gs / S), with w and S as fractions. Validity: Gs > 0, water content >= 0 %, 0 < S <= 100 %,
    density of water in kg/m3. Raises `OutsideValidity`. Source: ASTM D698 section on the zero-air-voids curve
    (from memory).

    >>> round(zero_air_voids_dry_density_kgm3(water_content_pct=Decimal("10"), specific_gravity=Decimal("2.75"),
    ...     water_density_kgm3=Decimal("1000")), 2)
    Decimal('2156.86')
    """
    _check(
        specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3, water_content_pct=water_content_pct
    )
    if not 0 < saturation_pct <= _HUNDRED:
        raise OutsideValidity(
            "saturation-out-of-range",
            f"Saturation is {saturation_pct:.2f} %; it must be above 0 and at most 100 %.",
            value=saturation_pct,
            limit=_HUNDRED,
            unit="%",
        )
    result = specific_gravity * water_density_kgm3 / (1 + water_content_pct * specific_gravity / saturation_pct)
    sheet.add(
        "zero-air-voids",
        result_name="zero_air_voids_dry_density_kgm3",
        result=result,
        specific_gravity=specific_gravity,
        water_density_kgm3=water_density_kgm3,
        water_content_pct=water_content_pct,
        saturation_pct=saturation_pct,
    )
    return result


def void_ratio(
    *,
    dry_density_kgm3: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Void ratio: Gs gw / dry - 1. Validity: dry density (kg/m3) above zero and below that of the solids.

    Raises `ImpossibleReading`. Source: phase relations, ASTM D7263 section on calculation (from memory).

    >>> void_ratio(dry_density_kgm3=Decimal("1600"), specific_gravity=Decimal("2.64"),
    ...     water_density_kgm3=Decimal("1000"))
    Decimal('0.65')
    """
    solids_kgm3 = _solids_kgm3(
        dry_density_kgm3=dry_density_kgm3, specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3
    )
    result = solids_kgm3 / dry_density_kgm3 - _ONE
    if sheet.keeps:
        sheet.add(
            "void-ratio",
            result_name="void_ratio",
            result=result,
            specific_gravity=specific_gravity,
            water_density_kgm3=water_density_kgm3,
            dry_density_kgm3=dry_density_kgm3,
        )
    return result


def saturation_pct(
    *,
    dry_density_kgm3: Decimal,
    water_content_pct: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Degree of saturation in percent: w / (gw / dry - 1 / Gs). Above 100 % the point lies above zero air voids.

    Validity: dry density (kg/m3) above zero and below that of the solids, water content >= 0 %. Raises
    `ImpossibleReading`. Source: phase relations, ASTM D7263 section on calculation (from memory).

    >>> round(saturation_pct(dry_density_kgm3=Decimal("1821"), water_content_pct=Decimal("12.4"),
    ...     specific_gravity=Decimal("2.70"), water_density_kgm3=Decimal("1000")))
    69
    """
    solids_kgm3 = _solids_kgm3(
        dry_density_kgm3=dry_density_kgm3,
        specific_gravity=specific_gravity,
        water_density_kgm3=water_density_kgm3,
        water_content_pct=water_content_pct,
    )
    # One division only: the difference of two rounded quotients loses its digits close to the solids.
    result = water_content_pct * dry_density_kgm3 * specific_gravity / (solids_kgm3 - dry_density_kgm3)
    if sheet.keeps:
        sheet.add(
            "saturation",
            result_name="saturation_pct",
            result=result,
            water_content_pct=water_content_pct,
            dry_density_kgm3=dry_density_kgm3,
            specific_gravity=specific_gravity,
            water_density_kgm3=water_density_kgm3,
        )
    return result


def air_voids_pct(
    *,
    dry_density_kgm3: Decimal,
    water_content_pct: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Air voids as a percentage of the total volume: 100 (1 - dry/gw (1/Gs + w)). Negative above zero air voids.

    Validity: dry density (kg/m3) above zero and below that of the solids, water content >= 0 %. Raises
    `ImpossibleReading`. Source: phase relations, BS 1377-4 clause on air voids lines (from memory).

    >>> round(air_voids_pct(dry_density_kgm3=Decimal("1821"), water_content_pct=Decimal("12.4"),
    ...     specific_gravity=Decimal("2.70"), water_density_kgm3=Decimal("1000")), 1)
    Decimal('10.0')
    """
    _solids_kgm3(
        dry_density_kgm3=dry_density_kgm3,
        specific_gravity=specific_gravity,
        water_density_kgm3=water_density_kgm3,
        water_content_pct=water_content_pct,
    )
    solids_and_water = _ONE / specific_gravity + water_content_pct / _HUNDRED
    result = _HUNDRED * (_ONE - dry_density_kgm3 / water_density_kgm3 * solids_and_water)
    if sheet.keeps:
        sheet.add(
            "air-voids",
            result_name="air_voids_pct",
            result=result,
            dry_density_kgm3=dry_density_kgm3,
            water_density_kgm3=water_density_kgm3,
            specific_gravity=specific_gravity,
            water_content_pct=water_content_pct,
        )
    return result
