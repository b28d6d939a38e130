"""The shapes that coverage is worked out from and comes out as: frozen, free of Django, metres and Decimals.

`queries.coverage` fills them from rows; `frequency`, `cells` and `lifts` work on them; `actions.coverage` keeps what
comes out. A *group* is one area on one lift: what is placed, tested and released together.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from compaction.frequency_rules import BASES, WITHIN, Counter, FrequencyRule, Reduced

__all__ = [
    "BASES",
    "FAILED",
    "FAILING",
    "OPEN",
    "RELEASED",
    "SHORT",
    "TESTED",
    "UNTESTED",
    "WITHIN",
    "Cell",
    "Count",
    "Counter",
    "Covered",
    "FrequencyRule",
    "Placed",
    "Reduced",
    "Tested",
]


# ---- going in ------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Placed:
    """Fill as placed. Quantities are None where nobody stated them."""

    uuid: str
    area: str
    lift: int
    placed_at: datetime
    day: date  # by the clock of the project
    alignment: str = ""
    station_from_m: float = 0.0
    station_to_m: float = 0.0
    offset_from_m: float = 0.0
    offset_to_m: float = 0.0
    area_m2: float | None = None
    volume_m3: Decimal | None = None
    thickness_m: Decimal | None = None
    elevation_top_m: Decimal | None = None
    material: str = ""
    not_tested: str = ""  # why no test is made here, in words; empty where tests are wanted
    zone: str = ""  # code of the zone that the limits lie in
    exempt: bool = False  # lies in an area without a density requirement
    side: str = ""  # of a pipe or wall
    lot: str = ""
    outline: tuple[tuple[float, float], ...] = ()  # easting, northing; for limits that are no station range
    volume_stated: bool = False  # by survey or loads; else worked out from area and thickness
    shared_m2: float | None = None  # ground of earlier fill of the same group, not counted again; None: none
    shared_with: tuple[str, ...] = ()  # that fill


@dataclass(frozen=True)
class Tested:
    """A test as coverage looks at it. `original` is neither a retest nor a check test."""

    __test__ = False  # keeps the test runner from collecting it

    uuid: str
    label: str
    performed_at: datetime
    day: date
    area: str
    lift: int | None
    method: str
    purpose: str
    result: str  # pass | fail | pending | no_criterion
    original: bool = True
    held: bool = False
    provisional: bool = False
    voided: bool = False
    exempt: bool = False
    failure_state: str = ""  # of the failure it opened, empty if none
    buried: bool = False
    alignment: str = ""
    station_m: float | None = None
    offset_m: float | None = None
    elevation_m: float | None = None
    material: str = ""
    check: bool = False  # made beside another test to check it
    failure_ended_at: datetime | None = None  # passing retest, or whatever else ended the failure
    easting_m: float | None = None
    northing_m: float | None = None

    @property
    def failure_open(self) -> bool:
        """Whether it opened a failure that no passing retest and no person has ended."""
        return self.failure_state in ("open", "reworked")


# ---- coming out ----------------------------------------------------------------------------------
@dataclass(frozen=True)
class Count:
    """One counter worked out: quantity so far, how many tests that asks for, and the sentence that says so."""

    rule: str
    basis: str
    within: str
    quantity: Decimal | None  # None: not known
    interval: Decimal
    required: int | None
    sentence: str
    at_least: int = 0  # what the quantities that are known ask for


OPEN, SHORT, FAILED, RELEASED = "open", "short", "failed", "released"


@dataclass(frozen=True)
class Covered:
    """One area on one lift: placed, required, made, passing, and the state that follows."""

    area: str
    lift: int
    state: str  # open | short | failed | released
    sentence: str  # why it is in that state
    required: int | None = None  # None: no rule, or a quantity that it needs is not known
    made: int = 0
    passing: int = 0
    failing: int = 0
    short: int = 0
    pending: int = 0
    held: int = 0
    buried: int = 0
    retests: int = 0
    not_tested: str = ""
    placements: int = 0
    volume_m3: Decimal | None = None
    area_m2: float | None = None
    first_placed_at: datetime | None = None
    last_placed_at: datetime | None = None
    station_from_m: float | None = None
    station_to_m: float | None = None
    alignment: str = ""
    elevation_top_m: Decimal | None = None
    below: tuple[int, ...] = ()  # lifts placed beneath it in plan, next one first
    above: tuple[int, ...] = ()
    over_unreleased: bool = False  # placed on a lift that was not released by then
    counts: tuple[Count, ...] = ()
    digest: str = ""  # names the figures (not the state): what a release was signed on
    zone: str = ""
    material: str = ""
    signed_by: str = ""  # who released it, where a signature is in force
    signature_wanted: bool = False  # complete but for a signature
    withdrawn: bool = False  # a signature no longer stands, because figures moved
    tests: tuple[str, ...] = ()  # uuids of the tests that count, in order of time
    overlaps: tuple[str, ...] = ()  # placements that share ground, in sentences


UNTESTED, TESTED, FAILING = "untested", "tested", "failing"


@dataclass(frozen=True)
class Cell:
    """One of the equal parts into which a group is divided, as many as tests are required."""

    area: str
    lift: int
    number: int  # from 1, along the line, then across
    alignment: str
    station_from_m: float
    station_to_m: float
    offset_from_m: float
    offset_to_m: float
    state: str  # untested | tested | failing
    tests: tuple[str, ...] = field(default_factory=tuple)  # uuids of those that count in it
