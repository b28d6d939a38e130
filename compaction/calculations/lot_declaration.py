"""A lot as declared and the tests at its place: the shapes that records read, rules judge and evaluation sorts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from compaction.facts import RoundingStep


@dataclass(frozen=True)
class LotRule:
    """What a lot's tests must meet together. Limits in percent or kg/m3; `unit` is the one they were written in."""

    statistic: str  # each | average_with_minimum | moving_average | mean_minus_k_s | percent_within_limits
    quantity: str  # percent_compaction | water_content_deviation | relative_density | dry_density
    unit: str = "%"
    minimum: Decimal | None = None  # of the statistic; for percent within limits of the tests
    maximum: Decimal | None = None
    each_minimum: Decimal | None = None  # beside an average: of every single test
    each_maximum: Decimal | None = None
    of: int = 0  # tests in a moving average
    k: Decimal | None = None
    k_by_tests: tuple[tuple[int, Decimal], ...] = ()
    k_source: str = ""
    percent_within_at_least_pct: Decimal | None = None
    within_by: str = "beta"  # beta | table
    minimum_tests: int = 1
    figures: str = "unrounded"  # unrounded | judged: each test's figure after the specification's rounding
    rounding: tuple[RoundingStep, ...] = ()  # of mean, standard_deviation, quality_index, statistic
    clause: str = ""


@dataclass(frozen=True)
class LotFacts:
    """A lot as declared: whose tests belong to it, and by which rules they are judged together."""

    code: str
    rev: int
    declared_at: datetime  # of the first of the revisions that say the same
    rules: tuple[LotRule, ...]
    zone: str = ""
    lift_from: int | None = None
    lift_to: int | None = None
    first_day: date | None = None
    last_day: date | None = None
    next_tests: int | None = None
    purposes: tuple[str, ...] = ("acceptance",)
    retests: str = "replace"  # replace | count | leave_out
    individual_failures: str = "stand"  # stand | governed
    comparison_risk_pct: Decimal = Decimal(5)
    closed_at: datetime | None = None
    digest: str = ""


@dataclass(frozen=True)
class LotTest:
    """A test made at a place of the lot, as the lot looks at it. `day` is the project's."""

    uuid: str
    label: str
    performed_at: datetime
    day: date
    purpose: str
    technician: str
    result: str
    basis: str
    outcome_digest: str
    retest_of: str = ""
    check_of: str = ""
    voided: bool = False
    held: bool = False
    exempt: bool = False
    values: Mapping[str, Decimal] = field(default_factory=dict)  # quantity -> figure, unrounded
    judged: Mapping[str, Decimal] = field(default_factory=dict)  # quantity -> figure after the rounding rule

    @property
    def name(self) -> str:
        """What people call it: its label, else the beginning of its id."""
        return self.label or self.uuid[:8]
