"""The shapes that go into an evaluation and come out of it: frozen, free of Django, unit in the name.

`queries` fills them from rows, `evaluation` works on them, `actions` stores what comes out. Every
number is a `Decimal` in kg, m, kg/m3 or percent.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from compaction.frequency_rules import FrequencyRule
from compaction.instrument_facts import ApparatusFacts, CertificateFacts, GaugeCorrectionFacts, StandardCountFacts


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
    specimen_mass_kg: Decimal | None = None  # moist, without its can
    weighings_kg: tuple[Decimal, ...] = ()  # while it dries, in order: with its can beside `cans`, else without
    standard: str = ""  # a key of `calculations.moisture_standards`; empty: held against none
    read_to_kg: Decimal | None = None  # the coarsest last digit of its masses, where a standard is named


@dataclass(frozen=True)
class OversizeReading:
    """Oversize of this hole or a standing value. Percent by dry mass, or the two masses."""

    sieve: str  # a key of `calculations.oversize.SIEVE_NAMES`
    basis: str  # this_hole | standing | none
    oversize_pct: Decimal | None = None
    oversize_wet_mass_kg: Decimal | None = None
    bulk_specific_gravity: Decimal | None = None
    water_content_pct: Decimal | None = None


@dataclass(frozen=True)
class OnePointReading:
    """One specimen compacted beside the test, by which the reference was chosen (AASHTO T 272)."""

    wet_density_kgm3: Decimal
    water_content_pct: Decimal
    family: str = ""  # code of the family; empty where the reference is one


@dataclass(frozen=True)
class RapidSpecimen:
    """One specimen of the rapid method: water added (+) or dried off (-), percent of the wet mass of the fill."""

    added_water_pct: Decimal
    wet_density_kgm3: Decimal | None = None  # or what it follows from:
    converted_wet_density_kgm3: Decimal | None = None
    soil_wet_mass_kg: Decimal | None = None
    mould_volume_m3: Decimal | None = None


@dataclass(frozen=True)
class RapidReading:
    """The specimens of the rapid method, and how its sheet signs the difference from optimum."""

    specimens: tuple[RapidSpecimen, ...]
    convention: str = "dry_positive"  # see `calculations.rapid_method.CONVENTIONS`
    estimated_water_content_pct: Decimal | None = None  # of the fill, until one is determined


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
    rapid: RapidReading | None = None
    reference_choice: OnePointReading | None = None
    spot: tuple[str, ...] = ()  # codes of `calculations.spot_observations`
    structure: str = ""  # the wall, pipe or abutment that it was made beside
    structure_distance_m: Decimal | None = None


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
class SoilFacts:
    """What the laboratory found of the sample that a reference was made on; a specification may judge by it."""

    sample: str
    rev: int
    group_symbol: str = ""  # ASTM D2487; empty where the facts do not reach
    liquid_limit_pct: Decimal | None = None
    plasticity_index_pct: Decimal | None = None  # zero where the soil is non-plastic
    fines_pct: Decimal | None = None  # of what passes 75 mm, as gravel
    gravel_pct: Decimal | None = None
    maximum_particle_mm: Decimal | None = None
    aashto_group: str = ""  # AASHTO M 145, as reported
    specific_gravity: Decimal | None = None  # of solids; serves where the reference states none
    specific_gravity_measured: bool = False


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
    kind: str = "moisture_density"  # | index_density | control_strip | family; what a kind has not is zero
    minimum_index_density_kgm3: Decimal | None = None  # the maximum index density stands as the maximum
    family: tuple[str, ...] = ()  # codes of the curves of a family
    valid_until: date | None = None
    oversize_practice: str = "astm_d4718"  # see `calculations.oversize_practices`
    soil: SoilFacts | None = None


@dataclass(frozen=True)
class RoundingStep:
    """One step of a rounding rule; see `calculations.rounding`."""

    quantity: str  # water_content | dry_density | maximum | corrected_maximum | optimum | percent_compaction | ...
    increment: Decimal
    unit: str  # unit of the increment: "pcf", "kg/m3", "%" ...
    method: str = "round"  # round | truncate
    tie: str = "half_even"  # half_even | half_up


@dataclass(frozen=True)
class Bounds:
    """A range of one fact: including its end (`at_least`, `at_most`) or not (`above`, `below`)."""

    at_least: Decimal | None = None
    above: Decimal | None = None
    at_most: Decimal | None = None
    below: Decimal | None = None


@dataclass(frozen=True)
class Conditions:
    """What has to be so for a criterion to hold, beside zone and depth; all of it. Empty: nothing more."""

    ranges: tuple[tuple[str, Bounds], ...] = ()  # keys of `calculations.criterion_conditions.MEASURED`
    group_symbols: tuple[str, ...] = ()  # ASTM D2487
    aashto_groups: tuple[str, ...] = ()  # AASHTO M 145, as the laboratory reports them
    methods: tuple[str, ...] = ()  # of the test in place
    structure: str = ""


NO_CONDITIONS = Conditions()


@dataclass(frozen=True)
class CriterionFacts:
    number: int
    quantity: str  # a key of `calculations.criteria.QUANTITIES`
    minimum: Decimal | None
    maximum: Decimal | None
    contractual: bool = True
    zone: str = ""  # empty: every zone
    depth_from_m: Decimal | None = None
    depth_to_m: Decimal | None = None
    clause: str = ""
    unit: str = "%"  # in which its limits are written; the limits themselves are kg/m3, m or percent
    statistic: str = ""  # of several tests (then it only informs here, and a lot judges); empty: each test
    reference_methods: tuple[str, ...] = ()  # laboratory methods that its limit is bound to; empty: any
    conditions: Conditions = NO_CONDITIONS


@dataclass(frozen=True)
class RetestRule:
    """What closes a failure beside an engineer's word: how near, how many in a row, and who closes."""

    distance_m: Decimal | None = None  # a retest further away in plan does not answer the failure; None: not stated
    passing_retests: int = 1
    closed_by: str = "engineer"  # engineer | supervisor | tests


@dataclass(frozen=True)
class Looks:
    """From when something is pointed out to a reader. No result follows from it; without a word common practice holds
    (no source), minutes of a gauge's count and of its tests after ASTM D6938 (from memory)."""

    chosen_places_below_pct: Decimal = Decimal("1")  # chance of the places of a lift's tests
    edge_strip_pct: Decimal = Decimal("10")  # of the width of the fill, on each side
    crew_days_per_finding: int = 200  # honest days of a crew to one statistical finding
    count_minutes: Decimal = Decimal("1")  # of a gauge whose sheet states none
    way_m_per_minute: Decimal = Decimal("900")  # 54 km/h on haul roads
    one_spot_m: Decimal = Decimal("30")  # a gauge is turned and moved over one spot
    fix_minutes: Decimal = Decimal("2")  # between a satellite fix and its test
    far_fix_m: Decimal = Decimal("200")  # beyond any error of a fix in the open
    yard_m: Decimal = Decimal("50")  # fixes of one far place lie within it
    elevations_read_to_m: Decimal = Decimal("0.03")  # in the field, 0.1 ft or 1 to 3 cm: less than that is no gap
    least_minutes: tuple[tuple[str, Decimal], ...] = ()  # method -> of a test; else what the method says


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
    held_findings: tuple[str, ...] = ()  # codes of findings that hold a test here
    purposes: tuple[str, ...] = ()  # purposes of tests that decide; others only inform. Empty: all
    retest: RetestRule | None = None
    frequency: tuple[FrequencyRule, ...] = ()  # how often to test; no result depends on it
    editions: tuple[tuple[str, str], ...] = ()  # standard -> year of its edition, for tables kept by edition
    looks: Looks = Looks()  # from when a page points something out; no result depends on it


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
    standard_counts: Mapping[str, tuple[StandardCountFacts, ...]] = field(default_factory=dict)  # by serial, in time
    certificates: tuple[CertificateFacts, ...] = ()
    family: tuple[ReferenceFacts, ...] = ()  # the curves of the family that the test or its reference names
    gauge_corrections: tuple[GaugeCorrectionFacts, ...] = ()  # the one in force for this test, if any


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


class CriterionResult(NamedTuple):  # a tuple is made in a third of the time of a frozen dataclass with its 13 members
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
    unit: str = "%"  # in which its limits are written


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
