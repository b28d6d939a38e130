"""Facts of instruments and their operators, as evaluations get them: apparatus, counts, certificates, corrections."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True)
class ApparatusFacts:
    """A gauge, cone or other instrument as registered: serial, kind and until when it is in date."""

    serial: str
    kind: str
    valid_from: date
    valid_until: date | None
    values: Mapping[str, Decimal] = field(default_factory=dict)
    rev: int = 0  # 0: registered before calibrations were kept; then only its period counts
    belongs_to: str = ""  # of a batch of sand: the cone and plate that it is used with
    faults: tuple[str, ...] = ()  # codes of what its own calibration shows against itself
    count_interval_days: int | None = None  # of a gauge: how long a standard count serves; None: not stated


@dataclass(frozen=True)
class StandardCountFacts:
    """A standard count of a gauge with its verdict. `serves_days`: 1 is that day only."""

    serial: str
    taken_at: datetime
    density_counts: tuple[int, ...]
    moisture_counts: tuple[int, ...]
    accepted: bool
    serves_days: int = 1


@dataclass(frozen=True)
class CertificateFacts:
    """An operator's certificate for a method, for "all" of them or for "radiation_safety"."""

    person: str
    subject: str
    valid_from: date
    valid_until: date | None


@dataclass(frozen=True)
class GaugeKey:
    """What a comparison or correction belongs to and never leaves. `notch` in inches, None at the surface."""

    gauge: str
    reference: str
    mode: str
    notch: int | None = None


@dataclass(frozen=True)
class GaugeCorrectionFacts:
    """An adopted correction of one gauge, mode and depth, for one reference or (empty) for any. Each offset is added to
    the display, or multiplies it, in the unit in which it was found."""

    ident: str
    gauge: str
    mode: str
    effective_from: date
    reference: str = ""
    notch: int | None = None  # inches; see `calculations.gauge_checks.notch`
    density_offset_kgm3: Decimal | None = None
    density_factor: Decimal | None = None
    water_offset_kgm3: Decimal | None = None
    water_offset_pct: Decimal | None = None
    water_factor: Decimal | None = None
    water_factor_of: str = ""  # water | water_content
    adopted_at: datetime | None = None

    @property
    def corrects_density(self) -> bool:
        return self.density_offset_kgm3 is not None or self.density_factor is not None

    @property
    def corrects_water(self) -> bool:
        return any(one is not None for one in (self.water_offset_kgm3, self.water_offset_pct, self.water_factor))
