"""The shapes that go into an evaluation and come out of it: frozen, free of Django, unit in the name.

`queries` fills them from rows, `evaluation` works on them, `actions` stores what comes out. Every
number is a `Decimal` in kg, m, kg/m3 or percent.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal


# ---- going in ------------------------------------------------------------------------------------
@dataclass(frozen=True)
class WaterContentReading:
    """One determination of water content, as reported. `fraction` is what the specimen consisted of."""

    method: str  # oven | microwave | direct_heat | carbide | gauge | stated
    fraction: str  # total | control | oversize
    water_content_pct: Decimal | None = None  # given outright (dry basis)
    cans: tuple[Mapping[str, Decimal], ...] = ()  # wet_and_can_kg, dry_and_can_kg, can_kg
    carbide_dial_pct: Decimal | None = None  # wet basis, as read
    half_specimen: bool = False


@dataclass(frozen=True)
class OversizeReading:
    """Oversize of this hole or a standing value. Percent by dry mass, or the two masses."""

    sieve: str  # no4 | three_eighths | three_quarters
    basis: str  # this_hole | standing | none
    oversize_pct: Decimal | None = None
    oversize_wet_mass_kg: Decimal | None = None
    bulk_specific_gravity: Decimal | None = None
    water_content_pct: Decimal | None = None


@dataclass(frozen=True)
class Observation:
    """What the crew wrote about one test, parsed once; positions are handled by `projects.geometry`."""

    performed_at: datetime
    method: str
    readings: object  # the method's own frozen dataclass (see calculations.methods)
    purpose: str
    label: str = ""
    technician: str = ""
    reference_code: str = ""
    reference_basis: str = ""
    water_contents: tuple[WaterContentReading, ...] = ()
    oversize: OversizeReading | None = None
    maximum_particle_mm: Decimal | None = None
    lift: int | None = None
    lift_thickness_m: Decimal | None = None
    printed: Mapping[str, Decimal] = field(default_factory=dict)  # figures as printed on the sheet, SI
    printed_text: Mapping[str, str] = field(default_factory=dict)  # the same as written ("95.8 %")
    retest_of: str = ""  # uuid of the failing test
    check_of: str = ""  # uuid of the test repeated beside
    apparatus: Mapping[str, str] = field(default_factory=dict)  # kind -> serial as named by the crew


@dataclass(frozen=True)
class PositionFacts:
    """Where the test is, as derived from what was stated (quantised to 0.1 mm before it gets here)."""

    alignment: str = ""
    station_m: Decimal | None = None  # internal distance along the alignment
    offset_m: Decimal | None = None  # right positive
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    elevation_m: Decimal | None = None
    depth_below_grade_m: Decimal | None = None
    zone: str = ""
    exempt: bool = False
    findings: tuple["Finding", ...] = ()


@dataclass(frozen=True)
class CurvePoint:
    water_content_pct: Decimal
    dry_density_kgm3: Decimal
    rejected: bool = False


@dataclass(frozen=True)
class ReferenceFacts:
    """One revision of a moisture-density reference. The reported maximum and optimum govern."""

    code: str
    rev: int
    approved: bool
    method: str  # "D698-A", "D1557-C", "T99-D" ...
    maximum_dry_density_kgm3: Decimal
    optimum_water_content_pct: Decimal
    control_sieve: str = "no4"  # the sieve that limited the laboratory specimen
    oversize_rule: str = "none"  # none | correct_maximum | correct_field
    oversize_bulk_specific_gravity: Decimal | None = None
    oversize_water_content_pct: Decimal | None = None
    standing_oversize_pct: Decimal | None = None
    specific_gravity: Decimal | None = None
    specific_gravity_measured: bool = False
    points: tuple[CurvePoint, ...] = ()
    digest: str = ""


@dataclass(frozen=True)
class RoundingStep:
    """One step of a rounding rule; see `calculations.rounding`."""

    quantity: str  # water_content | dry_density | maximum | corrected_maximum | optimum | percent_compaction | ...
    increment: Decimal
    unit: str  # unit of the increment: "pcf", "kg/m3", "%" ...
    method: str = "round"  # round | truncate
    tie: str = "half_even"  # half_even | half_up


@dataclass(frozen=True)
class CriterionFacts:
    number: int
    quantity: str  # percent_compaction | water_content_deviation | water_content | air_voids | saturation
    minimum: Decimal | None
    maximum: Decimal | None
    contractual: bool = True
    zone: str = ""  # empty: every zone
    depth_from_m: Decimal | None = None
    depth_to_m: Decimal | None = None
    clause: str = ""


@dataclass(frozen=True)
class SpecificationFacts:
    code: str
    rev: int
    approved: bool
    criteria: tuple[CriterionFacts, ...]
    rounding: tuple[RoundingStep, ...] = ()
    absolute: bool = False  # ASTM E29 absolute method: compare unrounded
    oven_required: bool = False  # field moisture leaves the result provisional until the oven value
    hold_above_percent_compaction: Decimal = Decimal("110")
    review_above_percent_compaction: Decimal = Decimal("105")
    saturation_tolerance_pct: Decimal = Decimal("2")
    water_density_kgm3: Decimal = Decimal("1000")
    digest: str = ""


@dataclass(frozen=True)
class ApparatusFacts:
    """A gauge, cone or other instrument as registered: serial, kind and until when it is in date."""

    serial: str
    kind: str
    valid_from: date
    valid_until: date | None
    values: Mapping[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True)
class EvaluationInputs:
    """Everything one evaluation looks at. The digest of this, and nothing else, names its inputs."""

    observation: Observation
    position: PositionFacts
    reference: ReferenceFacts | None
    specification: SpecificationFacts | None
    sibling_references: tuple[ReferenceFacts, ...] = ()  # other curves of the project, for "which curve fits?"
    apparatus: tuple[ApparatusFacts, ...] = ()
    technician_on_roster: bool | None = None


# ---- coming out ----------------------------------------------------------------------------------
@dataclass(frozen=True)
class Step:
    """One line of the worksheet. Wording and formula come from `calculations.catalogue` by `id`."""

    id: str
    numbers: Mapping[str, Decimal]  # name with unit -> value, in the order of the formula
    result_name: str
    result: Decimal
    note: str = ""


@dataclass(frozen=True)
class Finding:
    """A remark beside the result. `validity` and `information` never change it; `hold` asks a person."""

    code: str  # kebab-case, stable
    severity: str  # information | validity | hold
    sentence: str  # what, where, limit, remedy
    numbers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class CriterionResult:
    number: int
    quantity: str
    kind: str  # density | moisture | other: names the failure
    result: str  # pass | fail | no_criterion | pending_oven | pending_oversize
    found: Decimal | None  # unrounded
    judged: Decimal | None  # after the rounding rule
    minimum: Decimal | None
    maximum: Decimal | None
    margin: Decimal | None  # signed: negative is short of the limit
    contractual: bool
    clause: str = ""
    sentence: str = ""  # "94.6 rounds to 95 (ASTM E29, half to even); limit 95: pass"


@dataclass(frozen=True)
class Outcome:
    result: str  # pass | fail | pending | no_criterion
    basis: str  # final | provisional
    basis_reasons: tuple[str, ...]
    criteria: tuple[CriterionResult, ...]
    figures: Mapping[str, Decimal]  # name with unit -> value quantised to nine decimals
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]
    inputs_digest: str = ""

    @property
    def holds(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.severity == "hold")
