"""Bring the failures of chains up to date with their tests, reworks, decisions and what lies above.

Set-based: settling many chains costs a fixed number of statements, plus what changed.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction import chain
from compaction.actions import coverage_marks
from compaction.models import Failure, FailureTest, Test
from compaction.queries import cover
from compaction.queries.chains import Family, failure_uuid, families, retest_rules
from projects import stale
from projects.models import Project

COLUMNS = (
    "state",
    "attempts",
    "buried",
    "buried_by",
    "reopened",
    "basis_changed",
    "opened_at",
    "last_action_at",
    "last_action",
    "closed_at",
    "next_action",
    "chain_digest",
)
Links = list[tuple[str, int, str, bool, str]]


def settle(project: Project, uuids: Iterable[str]) -> int:
    """Recompute the chains of the given tests; returns how many failures changed. Safe to run twice."""
    with transaction.atomic():
        return _settle(project, families(project, uuids))


def _settle(project: Project, found: list[Family]) -> int:
    rules = retest_rules(project, found)
    states = {
        family.root: chain.failures_of(
            root=family.root,
            tests=family.tests,
            reworks=family.reworks,
            decisions=family.decisions,
            rule=rules.get(family.root, chain.PRACTICE),
        )
        for family in found
    }
    existing = _existing(project, {member for family in found for member in family.members})
    stored_links = _stored_links(existing.values())
    failing = [family for family in found if states[family.root]]
    above = cover.read(project, [spot for family in failing if (spot := _spot(family))])
    changed: list[Failure] = []
    links: dict[Any, Links] = {}
    for family in failing:
        for state in states[family.root]:
            key = failure_uuid(project.uuid, family.root, state.kind)
            row = existing.pop(key, None) or Failure(
                project=project,
                uuid=key,
                root_test=family.root,
                kind=state.kind,
                extent_radius_m=project.failure_radius_m,
            )
            wanted = sorted(
                (link.test_uuid, link.attempt, link.result, link.counts, link.remark) for link in state.links
            )
            if _write(row, state, _buried_by(family, state, above)) or stored_links.get(row.pk) != wanted:
                changed.append(row)
                links[key] = wanted
    # A failure opened before it was known that its test answers an earlier one: its id is not the root's.
    orphans = [row.pk for row in existing.values()]
    if orphans:
        Failure.objects.filter(pk__in=orphans).delete()
    if changed:
        _store(project, changed, links)
    if changed or orphans:
        spots = [row for family in found for row in family.rows.values()]
        stale.mark(project=project, marks=coverage_marks.marks(spots, "failure settled"))
    return len(changed) + len(orphans)


def _existing(project: Project, members: set[str]) -> dict[Any, Failure]:
    found: dict[Any, Failure] = {}
    ordered = sorted(members)
    for start in range(0, len(ordered), 500):
        rows = Failure.objects.select_for_update().filter(project=project, root_test__in=ordered[start : start + 500])
        found.update({row.uuid: row for row in rows.order_by("uuid")})
    return found


def _stored_links(rows: Iterable[Failure]) -> dict[int, Links]:
    stored: dict[int, Links] = {row.pk: [] for row in rows}
    for link in FailureTest.objects.filter(failure__in=list(stored)):
        stored[link.failure_id].append((str(link.test_uuid), link.attempt, link.result, link.counts, link.remark))
    return {pk: sorted(links) for pk, links in stored.items()}


def _write(row: Failure, state: chain.FailureState, buried_by: str) -> bool:
    """Put the state into the row; True if anything is new."""
    values = {
        "state": state.state,
        "attempts": state.attempts,
        "buried": bool(buried_by) and state.state != chain.WITHDRAWN,
        "buried_by": buried_by[:120],
        "reopened": state.reopened,
        "basis_changed": state.basis_changed,
        "opened_at": state.opened_at,
        "last_action_at": state.last_action_at,
        "last_action": state.last_action[:200],
        "closed_at": state.closed_at,
        "next_action": state.next_action[:200],
        "chain_digest": state.digest,
    }
    if row.pk and all(getattr(row, name) == value for name, value in values.items()):
        return False
    for name, value in values.items():
        setattr(row, name, value)
    return True


def _store(project: Project, changed: list[Failure], links: dict[Any, Links]) -> None:
    Failure.objects.bulk_create(
        changed, update_conflicts=True, unique_fields=["project", "uuid"], update_fields=list(COLUMNS), batch_size=100
    )
    rows = {row.uuid: row for row in Failure.objects.filter(project=project, uuid__in=[row.uuid for row in changed])}
    FailureTest.objects.filter(failure__in=list(rows.values())).delete()
    FailureTest.objects.bulk_create(
        [
            FailureTest(
                failure=rows[key], test_uuid=test_uuid, attempt=attempt, result=result, counts=counts, remark=remark
            )
            for key, wanted in links.items()
            for test_uuid, attempt, result, counts, remark in wanted
        ]
    )


def _spot(family: Family) -> Test | None:
    """Where the failure is: its root if that has arrived, else any test of the chain that says where."""
    rows = sorted(family.rows.values(), key=lambda row: (str(row.client_uuid) != family.root, row.performed_at))
    return next((row for row in rows if row.easting_m is not None and row.lift is not None), None)


def _buried_by(family: Family, state: chain.FailureState, above: cover.Cover) -> str:
    """What was put over the failed spot while the failure stood; empty if nothing."""
    spot = _spot(family)
    return above.over(spot, since=state.opened_at, until=_stood_until(family, state)) if spot else ""


def _stood_until(family: Family, state: chain.FailureState) -> datetime | None:
    """The passing retest, or the reassessment, released the lift; the closing may follow in a daily batch."""
    passed = [link.test_uuid for link in state.links if link.counts and link.attempt and link.result == "pass"]
    if state.state in (chain.PASSED, chain.CLOSED) and passed:
        return family.rows[passed[-1]].performed_at
    return state.opened_at if state.state in (chain.REASSESSED, chain.CLOSED) else state.closed_at
