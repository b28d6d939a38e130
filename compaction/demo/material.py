"""The soil's arithmetic as far as the demo needs it: which dry density and water content give which percentages.

Only to plan what the crews will read. What counts is what the service makes of the readings; a test compares the two.
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cache

from compaction.calculations import oversize, zero_air_voids
from compaction.calculations.quantities import UNITS, parse_number, parse_quantity
from compaction.demo import site

PCF_KGM3 = UNITS["density"]["pcf"]
WATER_KGM3 = Decimal(1000)
TENTH = Decimal("0.1")
HUNDRED = Decimal(100)


@dataclass(frozen=True)
class Soil:
    """A reference revision in numbers: pcf and percent."""

    code: str
    rev: int
    maximum_pcf: Decimal
    optimum_pct: Decimal
    specific_gravity: Decimal
    oversize_gravity: Decimal | None
    oversize_water_pct: Decimal

    def maximum_of(self, oversize_pct: Decimal) -> Decimal:
        """Maximum dry density of material with that much oversize, pcf."""
        if not self._corrected(oversize_pct):
            return self.maximum_pcf
        assert self.oversize_gravity is not None
        corrected = oversize.corrected_maximum_dry_density_kgm3(
            maximum_dry_density_kgm3=self.maximum_pcf * PCF_KGM3,
            oversize_pct=oversize_pct,
            bulk_specific_gravity=self.oversize_gravity,
            water_density_kgm3=WATER_KGM3,
        )
        return corrected / PCF_KGM3

    def optimum_of(self, oversize_pct: Decimal) -> Decimal:
        """Optimum water content of material with that much oversize, percent."""
        if not self._corrected(oversize_pct):
            return self.optimum_pct
        return oversize.corrected_optimum_pct(
            optimum_water_content_pct=self.optimum_pct,
            oversize_pct=oversize_pct,
            oversize_water_content_pct=self.oversize_water_pct,
        )

    def _corrected(self, oversize_pct: Decimal) -> bool:
        return self.oversize_gravity is not None and oversize.correction_applies(
            oversize_pct=oversize_pct, sieve="three_quarters"
        )


@cache
def soil(code: str, rev: int) -> Soil:
    """A reference of the demo in numbers."""
    body = site.references(date.min)[code, rev]
    gravity = body.get("oversize_bulk_specific_gravity")
    return Soil(
        code=code,
        rev=rev,
        maximum_pcf=parse_quantity(body["maximum_dry_density"], "density") / PCF_KGM3,
        optimum_pct=parse_quantity(body["optimum_water_content"], "percent"),
        specific_gravity=parse_number(body["specific_gravity"]),
        oversize_gravity=None if gravity is None else parse_number(gravity),
        oversize_water_pct=parse_quantity(body.get("oversize_water_content", "0 %"), "percent"),
    )


def tenths(value: Decimal) -> Decimal:
    """Rounded to one tenth, half to even, as the specification of the demo rounds."""
    return value.quantize(TENTH, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True)
class Judged:
    """What a reading is judged by, rounded, and the kinds of criterion it fails."""

    percent: Decimal
    deviation: Decimal
    fails: frozenset[str]


def judge(*, dry_pcf: Decimal, water_pct: Decimal, of: Soil, oversize_pct: Decimal, zone: str) -> Judged:
    """The verdict that a dry density and a water content will get in a zone."""
    least, driest, wettest = (Decimal(text) for text in site.LIMITS[zone])
    percent = tenths(HUNDRED * tenths(dry_pcf) / of.maximum_of(oversize_pct))
    deviation = tenths(water_pct - of.optimum_of(oversize_pct))
    failed = []
    if percent < least:
        failed.append("density")
    if not driest <= deviation <= wettest:
        failed.append("moisture")
    return Judged(percent, deviation, frozenset(failed))


def saturation_pct(*, dry_pcf: Decimal, water_pct: Decimal, of: Soil) -> Decimal:
    """Degree of saturation, percent."""
    return zero_air_voids.saturation_pct(
        dry_density_kgm3=dry_pcf * PCF_KGM3,
        water_content_pct=water_pct,
        specific_gravity=of.specific_gravity,
        water_density_kgm3=WATER_KGM3,
    )
