"""The frozen rows that maps, lists, exports and the API show. Free of Django; every number in SI.

Whoever shows a row asks `mark` how: nobody else decides what a result looks like.
"""

from collections.abc import Sized
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple, Protocol
from uuid import UUID

PASS, FAIL, PROVISIONAL, ON_HOLD = "pass", "fail", "provisional", "on_hold"
PASSED_ON_RETEST, ACCEPTED, BURIED_FAILURE, VOIDED = "passed_on_retest", "accepted", "buried_failure", "voided"
NO_RESULT = "no_result"

#: What each mark says, in the order of a legend.
MARK_WORDS = {
    FAIL: "fails",
    BURIED_FAILURE: "fails and is buried",
    ON_HOLD: "on hold",
    PASSED_ON_RETEST: "failed, passed on retest",
    ACCEPTED: "failed; accepted, replaced or withdrawn",
    PROVISIONAL: "provisional",
    PASS: "passes",
    NO_RESULT: "no result",
    VOIDED: "voided",
}


@dataclass(frozen=True)
class Look:
    """How a mark is drawn: shape first, colour second."""

    shape: str
    colour: str


_GREEN, _VERMILLION, _ORANGE, _PURPLE, _GREY = "#009E73", "#D55E00", "#E69F00", "#CC79A7", "#595959"
#: Palette: Okabe and Ito, "Color universal design" (2008), told apart with any colour vision; grey is ours.
LOOKS = {
    PASS: Look("disc", _GREEN),
    FAIL: Look("saltire", _VERMILLION),
    PROVISIONAL: Look("half_disc", _ORANGE),
    ON_HOLD: Look("barred_disc", _PURPLE),
    PASSED_ON_RETEST: Look("ringed_disc", _GREEN),
    ACCEPTED: Look("open_square", _GREY),
    BURIED_FAILURE: Look("boxed_saltire", _VERMILLION),
    VOIDED: Look("struck_circle", _GREY),
    NO_RESULT: Look("open_circle", _GREY),
}
_ENDED_OTHERWISE = frozenset({"accepted_as_is", "removed_and_replaced", "withdrawn"})
_MENDED = frozenset({"passed_on_retest", "passed_on_reassessment", "closed"})


@dataclass(frozen=True)
class TestRow:
    __test__ = False

    uuid: str
    position: tuple[str, int]  # (time in ISO form, number): where the row stands in the list
    label: str
    performed_at: datetime
    received_at: datetime
    technician: str
    method: str
    purpose: str
    alignment: str
    station_text: str
    offset_text: str
    station_m: Decimal | None
    offset_m: Decimal | None
    easting_m: Decimal | None
    northing_m: Decimal | None
    longitude: Decimal | None
    latitude: Decimal | None
    elevation_m: Decimal | None
    depth_below_grade_m: Decimal | None
    zone: str
    exempt: bool
    lift: int | None
    reference_code: str
    percent_compaction: Decimal | None
    percent_compaction_judged: Decimal | None
    percent_compaction_minimum: Decimal | None
    dry_density_kgm3: Decimal | None
    water_content_pct: Decimal | None
    water_content_deviation: Decimal | None
    result: str
    density_result: str
    moisture_result: str
    basis: str
    margin: str
    open_holds: tuple[str, ...]
    finding_codes: tuple[str, ...]
    voided: bool
    version: int
    retest_of: str
    check_of: str
    attempt: int  # 0: not a retest
    failure_uuid: str  # of the failure it belongs to, empty if none
    failure_state: str
    buried: bool
    relative_density_pct: Decimal | None = None
    relative_density_judged: Decimal | None = None
    relative_density_minimum: Decimal | None = None

    @property
    def amended(self) -> bool:
        return self.version > 1

    @property
    def name(self) -> str:
        """What people call it: its label, else the beginning of its id."""
        return self.label or self.uuid[:8]


@dataclass(frozen=True)
class FailureRow:
    uuid: str
    kind: str
    state: str
    root: TestRow | None  # None while the failing test itself has not arrived
    root_test: str
    attempts: int
    age_days: int
    opened_at: datetime
    last_action_at: datetime
    last_action: str
    next_action: str
    closed_at: datetime | None
    buried: bool
    buried_by: str
    reopened: bool
    basis_changed: bool
    chain_digest: str

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


@dataclass(frozen=True)
class PlacementRow:
    uuid: str
    version: int
    area: str
    lift: int
    placed_at: datetime
    alignment: str
    station_from: str
    station_to: str
    offset_from: str
    offset_to: str
    elevation_top_m: Decimal | None
    thickness_m: Decimal | None
    quantity_m3: Decimal | None
    limits: str  # canonical JSON, see `projects.geometry.areas`
    author: str
    material: str = ""
    side: str = ""
    lot: str = ""
    not_tested: str = ""  # why, in words


class MapTest(NamedTuple):
    """One test as the map draws it, floats for figures that are only looked at.

    `x` and `y` are easting and northing, or longitude and latitude; None without a place.
    """

    uuid: UUID
    label: str
    performed_at: datetime
    lift: int | None
    result: str
    basis: str
    open_holds: str
    voided: bool
    retest_of: UUID | None
    station: str
    offset: str
    x: float | None
    y: float | None
    percent: float | None
    percent_minimum: float | None
    relative_density: float | None
    relative_density_minimum: float | None
    failure: UUID | None = None
    failure_state: str = ""
    buried: bool = False
    attempt: int = 0


class Marked(Protocol):
    """What of a test decides how it is drawn."""

    @property
    def voided(self) -> bool: ...
    @property
    def buried(self) -> bool: ...
    @property
    def result(self) -> str: ...
    @property
    def basis(self) -> str: ...
    @property
    def open_holds(self) -> Sized: ...
    @property
    def failure_state(self) -> str: ...


def mark(row: Marked) -> str:
    """How a test is drawn. The first that applies decides: voided, buried, held, failed, provisional, passed."""
    if row.voided:
        return VOIDED
    if row.buried and row.result == "fail":
        return BURIED_FAILURE
    if row.open_holds:
        return ON_HOLD
    if row.result == "fail":
        if row.failure_state in _ENDED_OTHERWISE:
            return ACCEPTED
        return PASSED_ON_RETEST if row.failure_state in _MENDED else FAIL
    if row.result == "pass":
        return PROVISIONAL if row.basis == "provisional" else PASS
    return PROVISIONAL if row.result == "pending" else NO_RESULT
