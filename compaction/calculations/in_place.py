"""What a test method gives: the same shape for every method, so that evaluation does not ask which one it was."""

from decimal import Decimal
from typing import NamedTuple

from compaction.facts import Finding, WaterContentReading


class InPlace(NamedTuple):
    """Figures of the material in place, as far as the readings of the method alone give them.

    `dry_density_kgm3` is None where a water content from elsewhere is needed (sand cone). `water_contents` are those
    that the instrument or sheet itself gives, with method "gauge" or "stated".
    """

    wet_density_kgm3: Decimal | None = None
    dry_density_kgm3: Decimal | None = None
    water_density_in_soil_kgm3: Decimal | None = None  # mass of water per volume of soil, not the density of water
    hole_volume_m3: Decimal | None = None
    soil_wet_mass_kg: Decimal | None = None
    water_contents: tuple[WaterContentReading, ...] = ()
    findings: tuple[Finding, ...] = ()
