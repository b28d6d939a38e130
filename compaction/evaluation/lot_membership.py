"""Which tests belong to a lot: by place, time, purpose and what repeats what, each with its reason. Nobody picks.

The tests given are those made at the lot's place. Order of arrival does not matter: everything follows from times
and links.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from compaction.calculations.lot_declaration import LotFacts, LotTest

PURPOSE_WORDS: Final = {
    "acceptance": "acceptance",
    "quality_control": "quality control",
    "verification": "verification",
    "assurance": "independent assurance",
    "resolution": "resolution of a dispute",
    "information": "information only",
}
#: why a test is none of the lot's business at all: neither it nor what repeats it counts
BARRED: Final = frozenset({"made-before", "made-after-closing", "outside-days", "purpose", "exempt", "repeats-beside"})


@dataclass(frozen=True)
class Member:
    """A test at the lot's place: whether it counts, and why, in words."""

    test: LotTest
    counts: bool
    code: str
    reason: str
    place_of: str = ""  # name of the first test in whose place a retest stands
    at: datetime | None = None  # where it stands in the order of time

    @property
    def barred(self) -> bool:
        """Whether place, time or purpose keep it out, whatever it says."""
        return self.code in BARRED


def members(facts: LotFacts, tests: Sequence[LotTest]) -> list[Member]:
    """Every test at the lot's place in the order of time, with its reason; those that count in the order judged."""
    ordered = sorted(tests, key=lambda test: (test.performed_at, test.uuid))
    found = {test.uuid: _alone(facts, test) for test in ordered}
    by_uuid = {test.uuid: test for test in ordered}
    _retests(facts, by_uuid, found)
    _first_ones(facts, found)
    return sorted(found.values(), key=lambda one: (one.at or one.test.performed_at, one.test.uuid))


def _alone(facts: LotFacts, test: LotTest) -> Member:
    code, reason = _why_not(facts, test)
    if code:
        return Member(test, False, code, reason)
    return Member(test, True, "in", f"declared {_span(test.performed_at - facts.declared_at)} before")


def _why_not(facts: LotFacts, test: LotTest) -> tuple[str, str]:
    if test.voided:
        return "voided", "voided"
    if test.performed_at < facts.declared_at:
        return "made-before", f"made {_span(facts.declared_at - test.performed_at)} before the declaration"
    if facts.closed_at is not None and test.performed_at > facts.closed_at:
        return "made-after-closing", "made after the lot was closed"
    if (facts.first_day and test.day < facts.first_day) or (facts.last_day and test.day > facts.last_day):
        return "outside-days", f"made on {test.day}, outside the days declared"
    if test.purpose not in facts.purposes:
        return "purpose", f"made for {PURPOSE_WORDS.get(test.purpose, test.purpose)}"
    if test.exempt:
        return "exempt", "in an exempt area"
    if test.check_of:
        return "repeats-beside", "a check beside another test"
    if test.held:
        return "held", "on hold: counts once it is released"
    return "", ""


def _span(length: timedelta) -> str:
    if length >= timedelta(days=1):
        return f"{length.days} day{'s' if length.days > 1 else ''}"
    hours, rest = divmod(int(length.total_seconds()), 3600)
    return f"{hours} h {rest // 60} min" if hours else f"{rest // 60} min"


def _root(uuid: str, tests: Mapping[str, LotTest]) -> str:
    """The first test of a chain as far as it is known; a circle ends where it began."""
    seen = {uuid}
    while (test := tests.get(uuid)) is not None and test.retest_of and test.retest_of not in seen:
        uuid = test.retest_of
        seen.add(uuid)
    return uuid


def _retests(facts: LotFacts, tests: Mapping[str, LotTest], found: dict[str, Member]) -> None:
    if facts.retests == "count":
        return
    standing: dict[str, Member] = {}
    for test in sorted(tests.values(), key=lambda one: (one.performed_at, one.uuid)):
        if not test.retest_of or not found[test.uuid].counts:
            continue
        if facts.retests == "leave_out":
            found[test.uuid] = replace(
                found[test.uuid], counts=False, code="retest", reason="a retest; first tests count"
            )
            continue
        root = found.get(_root(test.uuid, tests))
        if root is None or root.test.uuid == test.uuid:
            found[test.uuid] = replace(
                found[test.uuid], counts=False, code="parent-missing", reason="repeats a test that is not at this place"
            )
        elif root.barred:
            found[test.uuid] = replace(
                found[test.uuid], counts=False, code="parent-out", reason=f"repeats {root.test.name}, {root.reason}"
            )
        else:
            key = root.test.uuid
            before = standing.get(key, root)
            if before.counts:
                found[before.test.uuid] = replace(
                    before, counts=False, code="replaced", reason=f"replaced by its retest {test.name}"
                )
            standing[key] = found[test.uuid] = replace(
                found[test.uuid],
                code="in-place-of",
                reason=f"{found[test.uuid].reason}; stands in the place of {root.test.name}",
                place_of=root.test.name,
                at=root.test.performed_at,
            )


def _first_ones(facts: LotFacts, found: dict[str, Member]) -> None:
    if facts.next_tests is None:
        return
    counting = sorted(
        (one for one in found.values() if one.counts), key=lambda one: (one.at or one.test.performed_at, one.test.uuid)
    )
    for late in counting[facts.next_tests :]:
        found[late.test.uuid] = replace(
            late, counts=False, code="lot-full", reason=f"made after the first {facts.next_tests} tests of the lot"
        )
