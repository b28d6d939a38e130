"""The story of a failure from its tests, reworks and decisions: pure, and the same in any order of arrival.

A chain is every test linked by "retest of". Its root is the first failing test; an attempt counts when
it was made after the failure, lies on the same lift and was neither voided nor held.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from math import hypot

from compaction.facts import RetestRule
from projects import canonical

KINDS = ("density", "moisture", "other")
OPEN, REWORKED, PASSED = "open", "reworked", "passed_on_retest"
REASSESSED = "passed_on_reassessment"
CLOSED, ACCEPTED, REPLACED, WITHDRAWN = "closed", "accepted_as_is", "removed_and_replaced", "withdrawn"
FINISHED = (CLOSED, ACCEPTED, REPLACED, WITHDRAWN)
CLOSURES = (CLOSED, ACCEPTED, REPLACED)
PRACTICE = RetestRule()  # where the specification has none: one passing retest, an engineer closes


@dataclass(frozen=True)
class ChainTest:
    """One test as the chain sees it. `results` maps a failure kind to pass, fail, pending...

    `ever_failed` are the kinds that any outcome on record failed, so that a later revision which
    turns a fail into a pass leaves a failure for a person to close.
    """

    uuid: str
    performed_at: datetime
    retest_of: str
    results: Mapping[str, str]
    ever_failed: frozenset[str]
    voided: bool
    held: bool
    basis: str
    lift: int | None
    outcome_digest: str
    label: str = ""
    person: str = ""
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None

    @property
    def name(self) -> str:
        """What people call it, and who made it."""
        return (self.label or self.uuid[:8]) + (f" ({self.person})" if self.person else "")


@dataclass(frozen=True)
class ChainRework:
    uuid: str
    performed_at: datetime
    method: str
    person: str


@dataclass(frozen=True)
class ChainDecision:
    uuid: str
    decided_at: datetime
    meaning: str
    person: str
    reason: str
    kind: str
    basis_digest: str


@dataclass(frozen=True)
class Link:
    test_uuid: str
    attempt: int
    result: str
    counts: bool
    remark: str = ""


@dataclass(frozen=True)
class FailureState:
    kind: str
    root_test: str
    state: str
    attempts: int
    opened_at: datetime
    last_action_at: datetime
    last_action: str
    next_action: str
    closed_at: datetime | None
    reopened: bool
    basis_changed: bool
    provisional: bool
    digest: str
    links: tuple[Link, ...]


def root_of(uuid: str, retest_of: Mapping[str, str]) -> str:
    """Follow "retest of" to the first test, known or only named. A circle ends at its smallest uuid."""
    seen: list[str] = []
    while retest_of.get(uuid):
        if uuid in seen:
            return min(seen[seen.index(uuid) :])
        seen.append(uuid)
        uuid = retest_of[uuid]
    return uuid


def failures_of(
    *,
    root: str,
    tests: Iterable[ChainTest],
    reworks: Iterable[ChainRework] = (),
    decisions: Iterable[ChainDecision] = (),
    rule: RetestRule = PRACTICE,
) -> list[FailureState]:
    """Every failure of one chain, one for each kind of criterion that any of its tests failed.

    The rule of retests is that of the specification which judged the root; the digest does not name it, so that a
    rule that comes later does not undo what was decided before.
    """
    ordered = sorted(tests, key=lambda test: (test.uuid != root, test.performed_at, test.uuid))
    kinds = sorted({kind for test in ordered for kind in test.ever_failed})
    works = sorted(reworks, key=lambda work: (work.performed_at, work.uuid))
    ruled = sorted(decisions, key=lambda ruling: (ruling.decided_at, ruling.uuid))
    return [_failure(root, kind, ordered, works, [d for d in ruled if d.kind == kind], rule) for kind in kinds]


def _failure(
    root: str,
    kind: str,
    tests: list[ChainTest],
    reworks: list[ChainRework],
    decisions: list[ChainDecision],
    rule: RetestRule,
) -> FailureState:
    links, state, opened, action, passes = _walk(root, kind, tests, reworks, rule)
    failing = [test for test in tests if test.results.get(kind) == "fail" and not test.voided]
    if state == OPEN and not failing:
        ever = [test for test in tests if kind in test.ever_failed]
        if ever and all(test.voided for test in ever):
            state, action = WITHDRAWN, (ever[-1].performed_at, "the failing test was voided")
        else:
            state, action = REASSESSED, (opened, "the test passes after a reassessment")
    counted = [link for link in links if link.counts and link.attempt]
    last = next((test for test in reversed(tests) if test.uuid in {link.test_uuid for link in counted}), None)
    provisional = state == PASSED and last is not None and last.basis != "final"
    digest = canonical.digest(
        {
            "kind": kind,
            "tests": [[test.uuid, test.outcome_digest, test.voided, test.held] for test in tests],
        }
    )
    closed_at, reopened, changed = None, False, False
    if state == PASSED and not provisional and rule.closed_by == "tests":
        state, closed_at = CLOSED, action[0]
    for ruling in decisions:
        stands = ruling.basis_digest == digest
        if ruling.meaning == CLOSED and not stands and state not in (PASSED, REASSESSED, CLOSED):
            reopened, changed, closed_at = True, True, None
            continue
        if ruling.meaning in (ACCEPTED, REPLACED) and not stands and state == OPEN:
            reopened, changed, closed_at = True, True, None
            continue
        state = ruling.meaning if state != WITHDRAWN else state
        closed_at, changed, reopened = ruling.decided_at, not stands, False
        action = (ruling.decided_at, f"{ruling.meaning.replace('_', ' ')} by {ruling.person}")
    if state == WITHDRAWN:
        closed_at = closed_at or action[0]
    return FailureState(
        kind=kind,
        root_test=root,
        state=state,
        attempts=sum(1 for link in links if link.attempt),
        opened_at=opened,
        last_action_at=action[0],
        last_action=action[1],
        next_action=_next(state, provisional, rule, passes),
        closed_at=closed_at,
        reopened=reopened,
        basis_changed=changed,
        provisional=provisional,
        digest=digest,
        links=tuple(links),
    )


def _walk(
    root: str, kind: str, tests: list[ChainTest], reworks: list[ChainRework], rule: RetestRule
) -> tuple[list[Link], str, datetime, tuple[datetime, str], int]:
    """The tests and reworks in time; the state that follows before anybody decides, and passing retests in a row."""
    first = next((test for test in tests if kind in test.ever_failed and not test.voided), tests[0])
    state, action = OPEN, (first.performed_at, f"failed at test {first.name}")
    links: list[Link] = []
    attempt, after, passes = 0, first.performed_at, 0
    pending = list(reworks)
    for test in tests:
        while pending and first.performed_at <= pending[0].performed_at <= test.performed_at and test is not first:
            work = pending.pop(0)
            if state == OPEN:
                state, action = REWORKED, (work.performed_at, f"{work.method}, reported by {work.person}")
        result = test.results.get(kind, "no_criterion")
        if test is first or test.uuid == root:
            links.append(Link(test.uuid, 0, result, not test.voided))
            continue
        attempt += 1
        remark = _why_not(test, first, rule)
        links.append(Link(test.uuid, attempt, result, not remark, remark))
        if remark:
            continue
        if result == "pass":
            passes += 1
            of = "" if rule.passing_retests == 1 else f", {min(passes, rule.passing_retests)} of {rule.passing_retests}"
            state = PASSED if passes >= rule.passing_retests else state
            action = (test.performed_at, f"passed at retest {test.name}{of}")
        elif result == "fail":
            passes = 0
            state, action = OPEN, (test.performed_at, f"failed again at retest {test.name}")
            after = test.performed_at
    for work in pending:
        if work.performed_at >= after and state == OPEN:
            state, action = REWORKED, (work.performed_at, f"{work.method}, reported by {work.person}")
    return links, state, first.performed_at, action, passes


def _why_not(test: ChainTest, first: ChainTest, rule: RetestRule) -> str:
    if test.voided:
        return "voided"
    if test.performed_at < first.performed_at:
        return "dated before the failure it answers"
    if test.held:
        return "on hold"
    if None not in (test.lift, first.lift) and test.lift != first.lift:
        return "on another lift"
    apart_m = _apart_m(test, first)
    if rule.distance_m is not None and apart_m is not None and apart_m > float(rule.distance_m):
        return f"{apart_m:.1f} m from the failing spot"
    return ""


def _apart_m(test: ChainTest, first: ChainTest) -> float | None:
    """Distance in plan; None where a place is not known, which speaks against no retest."""
    if test.easting_m is None or test.northing_m is None or first.easting_m is None or first.northing_m is None:
        return None
    return hypot(float(test.easting_m - first.easting_m), float(test.northing_m - first.northing_m))


def _next(state: str, provisional: bool, rule: RetestRule, passes: int) -> str:
    if state in (OPEN, REWORKED) and 0 < passes < rule.passing_retests:
        return f"technician: {rule.passing_retests - passes} more passing"
    if state == OPEN:
        return "contractor: rework, then technician: retest"
    if state == REWORKED:
        return "technician: retest"
    if state == PASSED:
        closer = "supervisor or engineer" if rule.closed_by == "supervisor" else "engineer"
        return "laboratory: oven water content" if provisional else f"{closer}: close"
    if state == REASSESSED:
        return "engineer: close"
    return ""
