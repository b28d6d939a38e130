"""A gauge test and a direct test at one spot, as figures to be set side by side: like with like, one key at a time.

Wet density with wet density; the gauge's water with the oven's, in points and, where the gauge displays a mass per
volume, per volume too. The gauge's figures are those of its counts: an offset that stood in the display is taken out
again, one that was only written down is not yet in it. So a correction found from the pairs is the whole correction.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from compaction.calculations import gauge_offsets, methods, moisture
from compaction.calculations.density import dry_from_water_mass_kgm3, water_content_from_water_mass_pct
from compaction.calculations.errors import CalculationError
from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.calculations.paired_comparison import Pair
from compaction.evaluation.gauge import key_of
from compaction.facts import Observation
from compaction.instrument_facts import GaugeKey

#: What is compared: name -> unit. Water per volume only where the gauge displays it so.
QUANTITIES: Final = {"wet_density": "kg/m3", "water_content": "%", "water_per_volume": "kg/m3"}
#: A spot does not stay as it was: rain, traffic, sun (common practice, no source).
LONGEST_BETWEEN: Final = timedelta(hours=24)


@dataclass(frozen=True)
class SpotTest:
    """One test as recorded: who it is, and what the crew wrote."""

    uuid: str
    label: str
    observation: Observation


@dataclass(frozen=True)
class SpotPair:
    """Both sides of a pair in kg/m3 and percent; what is missing on one side is None. `direct` is empty where only an
    oven specimen of the gauge test itself stands against the gauge's water."""

    key: GaugeKey
    gauge: str
    direct: str
    label: str
    direct_label: str
    direct_method: str
    performed_at: datetime
    origin: str  # check | record | own_specimen
    gauge_wet_kgm3: Decimal | None = None
    direct_wet_kgm3: Decimal | None = None
    gauge_water_pct: Decimal | None = None
    oven_water_pct: Decimal | None = None
    gauge_water_kgm3: Decimal | None = None
    oven_water_kgm3: Decimal | None = None
    remarks: tuple[str, ...] = ()
    offset_in_display: bool = False
    counts: bool = True
    reason: str = ""  # why a person took it out, or put it together

    def sides(self, quantity: str) -> tuple[Decimal | None, Decimal | None]:
        """Gauge and reference of one of `QUANTITIES`."""
        return {
            "wet_density": (self.gauge_wet_kgm3, self.direct_wet_kgm3),
            "water_content": (self.gauge_water_pct, self.oven_water_pct),
            "water_per_volume": (self.gauge_water_kgm3, self.oven_water_kgm3),
        }[quantity]

    def difference(self, quantity: str) -> Decimal | None:
        """Gauge less reference; None where a side is missing."""
        gauge, reference = self.sides(quantity)
        return None if gauge is None or reference is None else gauge - reference


def as_pairs(pairs: Sequence[SpotPair], quantity: str) -> list[Pair]:
    """The pairs that count and have both sides, for the statistics; conditions keep keys apart."""
    found = []
    for pair in pairs:
        gauge, reference = pair.sides(quantity)
        if pair.counts and gauge is not None and reference is not None:
            key = pair.key
            conditions = (key.gauge, key.reference, key.mode, str(key.notch or ""))
            found.append(Pair(pair.label or pair.gauge[:8], gauge, reference, conditions))
    return found


def pair_up(
    gauge: SpotTest, direct: SpotTest | None, *, origin: str, counts: bool = True, reason: str = ""
) -> SpotPair | None:
    """The figures of a pair; None where the gauge test has no key (no serial number, no notch) or can't be read."""
    key, readings = key_of(gauge.observation), gauge.observation.readings
    if key is None or not isinstance(readings, NuclearGaugeReadings):
        return None
    try:
        shown = uncorrected(readings)
    except CalculationError:
        return None
    remarks: list[str] = []
    wet = _direct_wet(direct.observation, remarks) if direct is not None else None
    oven = _oven(direct.observation) if direct is not None else None
    if oven is None:
        oven = _oven(gauge.observation)
    if oven is None:
        remarks.append("no oven value of the whole material: the water is not compared")
    if direct is not None and abs(direct.observation.performed_at - gauge.observation.performed_at) > LONGEST_BETWEEN:
        remarks.append("made more than a day apart")
    in_display = (readings.has_water_offset and readings.offset_in_display) or (
        readings.has_density_offset and readings.density_offset_in_display
    )
    if in_display:
        remarks.append("an offset stood in the display, it is taken out here")
    per_volume = readings.water_density_in_soil_kgm3 is not None
    return SpotPair(
        key=key,
        gauge=gauge.uuid,
        direct="" if direct is None else direct.uuid,
        label=gauge.label,
        direct_label="" if direct is None else direct.label,
        direct_method="" if direct is None else direct.observation.method,
        performed_at=gauge.observation.performed_at,
        origin=origin,
        gauge_wet_kgm3=shown.wet_density_kgm3,
        direct_wet_kgm3=wet,
        gauge_water_pct=shown.water_content_pct,
        oven_water_pct=oven,
        gauge_water_kgm3=shown.water_density_in_soil_kgm3 if per_volume else None,
        # what the gauge would have to show, beside its own wet density, for the oven's water content
        oven_water_kgm3=shown.wet_density_kgm3 * oven / (100 + oven) if per_volume and oven is not None else None,
        remarks=tuple(remarks),
        offset_in_display=in_display,
        counts=counts,
        reason=reason,
    )


@dataclass(frozen=True)
class Counted:
    """What the gauge's counts alone gave: no offset in it."""

    wet_density_kgm3: Decimal
    water_density_in_soil_kgm3: Decimal
    water_content_pct: Decimal


def uncorrected(readings: NuclearGaugeReadings) -> Counted:
    """Turned readings averaged, offsets in the display taken out, others left out. Raises `CalculationError`."""
    one = gauge_offsets.averaged(readings)
    wet = one.wet_density_kgm3
    if one.density_offset_in_display:
        wet = wet - one.density_offset_kgm3 if one.density_offset_kgm3 is not None else wet / (one.density_factor or 1)
    in_display = one.offset_in_display
    offset_kgm3, offset_pct = (one.offset_kgm3, one.offset_pct) if in_display else (None, None)
    factor, factor_of = (one.offset_factor, one.offset_factor_of) if in_display else (None, "")
    # the display's dry density went with the display's wet density
    points, mass = one.water_content_pct, one.water_density_in_soil_kgm3
    if mass is None:
        assert points is not None
        mass = one.wet_density_kgm3 * points / (100 + points)
    if offset_kgm3 is not None:
        mass, points = mass - offset_kgm3, None
    elif factor is not None and factor_of == "water":
        mass, points = mass / factor, None
    if points is None:
        dry = dry_from_water_mass_kgm3(wet_density_kgm3=wet, water_density_in_soil_kgm3=mass)
        points = water_content_from_water_mass_pct(dry_density_kgm3=dry, water_density_in_soil_kgm3=mass)
    if offset_pct is not None:
        points = points - offset_pct
    elif factor is not None and factor_of == "water_content":
        points = points / factor
    if offset_pct is not None or factor_of == "water_content":
        mass = wet * points / (100 + points)
    return Counted(wet, mass, points)


def _direct_wet(observation: Observation, remarks: list[str]) -> Decimal | None:
    try:
        return methods.work(observation.readings).wet_density_kgm3
    except CalculationError as error:
        remarks.append(f"the direct test gives no wet density: {error.sentence}")
        return None


def _oven(observation: Observation) -> Decimal | None:
    """The last oven value of the whole material, percent: the gauge sees the whole, and D2216 is what it stands for."""
    for reading in reversed(observation.water_contents):
        if reading.method == "oven" and reading.fraction == "total":
            try:
                return moisture.water_content_pct(reading)
            except CalculationError:
                continue
    return None
