"""An adopted correction put to the readings of a gauge: only where the crew's reading carries no offset of its own."""

from dataclasses import replace

from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.instrument_facts import GaugeCorrectionFacts


def with_correction(readings: NuclearGaugeReadings, correction: GaugeCorrectionFacts) -> NuclearGaugeReadings:
    """The readings with an adopted correction where they carry no offset of their own; each part by itself.

    Source: Alberta ATT-48/95 (factors belong to one gauge and one material, read).

    >>> from datetime import date
    >>> from decimal import Decimal
    >>> adopted = GaugeCorrectionFacts(ident="c", gauge="G-1", mode="backscatter", effective_from=date(2026, 6, 1),
    ...     water_offset_pct=Decimal("-0.7"))
    >>> shown = NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000), water_content_pct=Decimal(12))
    >>> with_correction(shown, adopted).offset_pct
    Decimal('-0.7')
    """
    takes_density, takes_water = _takes(readings, correction)
    if takes_density:
        readings = replace(
            readings,
            density_offset_kgm3=correction.density_offset_kgm3,
            density_factor=correction.density_factor,
            correction=correction.ident,
        )
    if takes_water:
        readings = replace(
            readings,
            offset_kgm3=correction.water_offset_kgm3,
            offset_pct=correction.water_offset_pct,
            offset_factor=correction.water_factor,
            offset_factor_of=correction.water_factor_of,
            correction=correction.ident,
        )
    return readings


def applies(readings: NuclearGaugeReadings, correction: GaugeCorrectionFacts) -> bool:
    """Whether any part of the correction would change these readings. Source: as `with_correction`.

    >>> from datetime import date
    >>> from decimal import Decimal
    >>> applies(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000), offset_pct=Decimal("-0.7"),
    ...     offset_in_display=True), GaugeCorrectionFacts(ident="c", gauge="G-1", mode="backscatter",
    ...     effective_from=date(2026, 6, 1), water_offset_pct=Decimal("-0.7")))
    False
    """
    return any(_takes(readings, correction))


def _takes(readings: NuclearGaugeReadings, correction: GaugeCorrectionFacts) -> tuple[bool, bool]:
    return (
        correction.corrects_density and not readings.has_density_offset,
        correction.corrects_water and not readings.has_water_offset,
    )
