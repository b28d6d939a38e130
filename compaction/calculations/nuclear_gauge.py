"""The nuclear gauge: wet density and water as displayed, with an offset applied only where the display has none.

Moisture is always read near the surface, whatever the depth of the density (ASTM D6938-17, 1.1, read). Readings
stand in `gauge_readings`, offsets and means in `gauge_offsets`, remarks in `gauge_checks`.
Sources: ASTM D6938, AASHTO T 310 (clauses from memory where not said otherwise).
"""

from dataclasses import replace

from compaction.calculations import gauge_checks, gauge_offsets
from compaction.calculations.gauge_offsets import DRY_DENSITY_STEP, FORMULAS
from compaction.calculations.gauge_readings import FIELDS, MODES, NuclearGaugeReadings, TurnedReading, read
from compaction.calculations.in_place import InPlace
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import WaterContentReading

__all__ = [
    "DRY_DENSITY_STEP",
    "FIELDS",
    "FORMULAS",
    "MODES",
    "NuclearGaugeReadings",
    "TurnedReading",
    "each_turned",
    "read",
    "work",
]


def work(readings: NuclearGaugeReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Wet density, dry density and water content by the gauge itself; an oven value may replace the water later.

    Turned readings are averaged here; where they are judged apart, `each_turned` has taken them apart before.
    Validity: wet density > 0, water below it. Raises `ImpossibleReading`, `NotEnoughReadings`.
    Source: ASTM D6938 section on calculation and annex on moisture adjustment; AASHTO T 310 (from memory).

    >>> from decimal import Decimal
    >>> result = work(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2200),
    ...     water_content_pct=Decimal(10)))
    >>> result.dry_density_kgm3, result.water_contents[0].method
    (Decimal('2000'), 'gauge')
    """
    one = gauge_offsets.averaged(readings, sheet)
    wet_kgm3 = gauge_offsets.wet_density_kgm3(one, sheet)
    water_pct, dry_kgm3 = gauge_offsets.water_and_dry(one, wet_density_kgm3=wet_kgm3, sheet=sheet)
    return InPlace(
        wet_density_kgm3=wet_kgm3,
        dry_density_kgm3=dry_kgm3,
        water_density_in_soil_kgm3=wet_kgm3 - dry_kgm3,
        water_contents=(WaterContentReading(method="gauge", fraction="total", water_content_pct=water_pct),),
        findings=gauge_checks.findings(readings),
    )


def each_turned(readings: NuclearGaugeReadings) -> tuple[NuclearGaugeReadings, ...]:
    """Turned readings as readings of their own, the first one included; one where the gauge was not turned.

    Source: AASHTO T 310, section on procedure (from memory).

    >>> from decimal import Decimal
    >>> turned = TurnedReading(Decimal(2020), water_content_pct=Decimal(11), turned_deg=90)
    >>> [one.wet_density_kgm3 for one in each_turned(NuclearGaugeReadings(mode="backscatter",
    ...     wet_density_kgm3=Decimal(2000), water_content_pct=Decimal(12), rotated=(turned,), rotation="apart"))]
    [Decimal('2000'), Decimal('2020')]
    """
    first = replace(readings, rotated=(), rotation="")
    return (
        first,
        *(
            replace(
                first,
                wet_density_kgm3=one.wet_density_kgm3,
                water_density_in_soil_kgm3=one.water_density_in_soil_kgm3,
                water_content_pct=one.water_content_pct,
                density_count=one.density_count,
                moisture_count=one.moisture_count,
            )
            for one in readings.rotated
        ),
    )
