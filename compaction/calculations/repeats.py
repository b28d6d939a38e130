"""Repeats of a calibration: their mean and spread, against what the standard allows; check masses of a balance.

Every function takes values of one kind in one unit and says so in its answer; units never change a verdict.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.quantities import quantise
from compaction.facts import Finding


@dataclass(frozen=True)
class AllowedSpread:
    """How far one repeat may lie from the mean, in percent of the mean, how many there must be, and who says so."""

    percent: Decimal
    fewest: int
    source: str


#: quantity -> what is allowed where a record states nothing else. Replaceable data: a record overrides it.
ALLOWED: Final = {
    "cone_and_plate_mass": AllowedSpread(Decimal(1), 3, "ASTM D1556, annex on calibration of the cone (from memory)"),
    "cone_and_plate_volume": AllowedSpread(Decimal(1), 3, "ASTM D1556, annex on calibration of the cone (from memory)"),
    "cone_mass": AllowedSpread(Decimal(1), 3, "BS 1377-9, clause 2, calibration of the cylinder (from memory)"),
    "cone_volume": AllowedSpread(Decimal(1), 3, "BS 1377-9, clause 2, calibration of the cylinder (from memory)"),
    "sand_bulk_density": AllowedSpread(Decimal(1), 3, "ASTM D1556, annex on bulk density of the sand (from memory)"),
    "balloon_volume": AllowedSpread(Decimal(1), 3, "ASTM D2167, section on calibration (from memory)"),
    "mould_volume": AllowedSpread(Decimal("0.5"), 2, "ASTM D698, annex on volume of the mould (from memory)"),
    "cylinder_volume": AllowedSpread(Decimal("0.5"), 2, "common practice (no source)"),
}
#: A balance may show a check mass this much off, percent. ASTM D4753, section on balances (from memory).
ALLOWED_CHECK_MASS_PCT: Final = Decimal("0.1")
_OTHER: Final = AllowedSpread(Decimal(1), 2, "common practice (no source)")


@dataclass(frozen=True)
class Spread:
    """Mean of the repeats, and how far the farthest of them lies from it."""

    count: int
    mean: Decimal
    lowest: Decimal
    highest: Decimal
    farthest_pct: Decimal
    allowed: AllowedSpread

    @property
    def within(self) -> bool:
        """Whether every repeat is near enough to the mean; both ends of the limit are allowed."""
        return self.farthest_pct <= self.allowed.percent

    @property
    def enough(self) -> bool:
        """Whether there are as many repeats as asked for."""
        return self.count >= self.allowed.fewest


def allowed_for(quantity: str, *, percent: Decimal | None = None, source: str = "") -> AllowedSpread:
    """What is allowed of a quantity: the percent that a record states, else the default. Source: as `ALLOWED`.

    >>> allowed_for("sand_bulk_density").percent, allowed_for("sand_bulk_density", percent=Decimal("0.7")).percent
    (Decimal('1'), Decimal('0.7'))
    """
    default = ALLOWED.get(quantity, _OTHER)
    if percent is None:
        return default
    return AllowedSpread(percent, default.fewest, source or "as stated with the calibration")


def spread(values: Sequence[Decimal], *, allowed: AllowedSpread) -> Spread:
    """Mean and spread of repeats, any one kind and unit. Validity: at least one, all above zero.

    Raises `NotEnoughReadings`, `ImpossibleReading`. Source: ASTM D1556, annexes: the farthest determination
    against the average (from memory).

    >>> found = spread([Decimal(1612), Decimal(1618), Decimal(1606)], allowed=ALLOWED["cone_and_plate_mass"])
    >>> found.mean, round(found.farthest_pct, 3), found.within
    (Decimal('1612.000000000'), Decimal('0.372'), True)
    """
    if not values:
        raise NotEnoughReadings("no-repeats", "A calibration needs at least one determination.", missing=("repeats",))
    if min(values) <= 0:
        raise ImpossibleReading(
            "repeat-not-positive",
            f"A determination is {min(values)}; it must be greater than zero.",
            value=min(values),
            limit=Decimal(0),
        )
    mean = sum(values, Decimal(0)) / len(values)
    farthest = max(abs(value - mean) for value in values)
    return Spread(
        count=len(values),
        mean=quantise(mean),
        lowest=min(values),
        highest=max(values),
        farthest_pct=quantise(100 * farthest / mean),
        allowed=allowed,
    )


def spread_findings(quantity: str, found: Spread) -> tuple[Finding, ...]:
    """ "calibration-out-of-spread", "calibration-too-few-repeats" or none. Source: as `ALLOWED`.

    >>> wide = spread([Decimal(1412), Decimal(1440), Decimal(1410)], allowed=ALLOWED["sand_bulk_density"])
    >>> [finding.code for finding in spread_findings("sand_bulk_density", wide)]
    ['calibration-out-of-spread']
    """
    words, findings = quantity.replace("_", " "), []
    if not found.within:
        findings.append(
            Finding(
                "calibration-out-of-spread",
                "validity",
                f"Of {found.count} determinations of the {words} the farthest lies {found.farthest_pct:.2f} % from "
                f"their mean; {found.allowed.percent} % is allowed: {found.allowed.source}. Find the cause, repeat.",
                {"quantity": quantity, "farthest_pct": f"{found.farthest_pct:.3f}"},
            )
        )
    if not found.enough:
        findings.append(
            Finding(
                "calibration-too-few-repeats",
                "validity",
                f"The {words} stands on {found.count} determination{'s' if found.count > 1 else ''}; "
                f"{found.allowed.fewest} are wanted: {found.allowed.source}.",
                {"quantity": quantity, "count": str(found.count)},
            )
        )
    return tuple(findings)


def check_mass_findings(*, nominal_kg: Decimal, shown_kg: Decimal, allowed_kg: Decimal | None) -> tuple[Finding, ...]:
    """ "check-mass-off" or none: what a balance shows of a known mass, kg; without a limit 0.1 % of the mass counts.

    Validity: nominal above zero. Raises `ImpossibleReading`. Source: ASTM D4753, section on balances (from memory).

    >>> [one.code for one in check_mass_findings(nominal_kg=Decimal(5), shown_kg=Decimal("5.006"), allowed_kg=None)]
    ['check-mass-off']
    """
    if nominal_kg <= 0:
        raise ImpossibleReading(
            "check-mass-not-positive",
            f"A check mass is {nominal_kg} kg; it must be greater than zero.",
            value=nominal_kg,
            limit=Decimal(0),
            unit="kg",
        )
    limit_kg = nominal_kg * ALLOWED_CHECK_MASS_PCT / 100 if allowed_kg is None else allowed_kg
    off_kg = shown_kg - nominal_kg
    if abs(off_kg) <= limit_kg:
        return ()
    source = "0.1 %, ASTM D4753, from memory" if allowed_kg is None else "as stated with the check"
    return (
        Finding(
            "check-mass-off",
            "validity",
            f"A mass of {nominal_kg * 1000:f} g shows as {shown_kg * 1000:f} g, {off_kg * 1000:+f} g; "
            f"{limit_kg * 1000:f} g is allowed ({source}). Clean, level and adjust the balance, then check it again.",
            {"nominal_kg": format(quantise(nominal_kg), "f"), "shown_kg": format(quantise(shown_kg), "f")},
        ),
    )
