"""Bring the failures of chains up to date with their tests, reworks, decisions and what lies above."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from compaction import chain
from compaction.models import Failure, FailureTest, Test
from compaction.queries.chains import Family, failure_uuid, families, placements_above, spot_of
from projects.models import Project


def settle(project: Project, uuids: Iterable[str]) -> int:
    """Recompute the chains of the given tests; returns how many failures changed. Safe to run twice."""
    with transaction.atomic():
        return sum(_settle_family(project, family) for family in families(project, uuids))


def _settle_family(project: Project, family: Family) -> int:
    states = chain.failures_of(root=family.root, tests=family.tests, reworks=family.reworks, decisions=family.decisions)
    existing = {
        row.uuid: row
        for row in Failure.objects.select_for_update()
        .filter(project=project, root_test__in=list(family.members))
        .order_by("uuid")
    }
    changed = 0
    for state in states:
        row = existing.pop(failure_uuid(project.uuid, family.root, state.kind), None) or Failure(
            project=project,
            uuid=failure_uuid(project.uuid, family.root, state.kind),
            root_test=family.root,
            kind=state.kind,
            extent_radius_m=project.failure_radius_m,
        )
        changed += _store(row, state, _buried_by(project, family, state))
    for orphan in existing.values():
        # A failure opened before it was known that its test answers an earlier one: its id is not the root's.
        orphan.delete()
        changed += 1
    return changed


def _store(row: Failure, state: chain.FailureState, buried_by: str) -> int:
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
    links = [(link.test_uuid, link.attempt, link.result, link.counts, link.remark) for link in state.links]
    if row.pk and all(getattr(row, name) == value for name, value in values.items()):
        stored = [
            (str(link.test_uuid), link.attempt, link.result, link.counts, link.remark)
            for link in row.test_links.order_by("attempt", "test_uuid")
        ]
        if stored == sorted(links, key=lambda link: (link[1], link[0])):
            return 0
    for name, value in values.items():
        setattr(row, name, value)
    row.save()
    row.test_links.all().delete()
    FailureTest.objects.bulk_create(
        [
            FailureTest(failure=row, test_uuid=uuid, attempt=attempt, result=result, counts=counts, remark=remark)
            for uuid, attempt, result, counts, remark in links
        ]
    )
    return 1


def _buried_by(project: Project, family: Family, state: chain.FailureState) -> str:
    """What lies over the failed spot and was put there while the failure stood; empty if nothing."""
    spot = next((row for row in family.rows.values() if row.easting_m is not None and row.lift is not None), None)
    if spot is None:
        return ""
    until = state.last_action_at if state.state in (chain.PASSED, chain.REASSESSED) else state.closed_at
    passed = [link.test_uuid for link in state.links if link.counts and link.attempt and link.result == "pass"]
    if state.state == chain.CLOSED and passed:
        # The passing retest released the lift; the closing may follow in a daily batch.
        until = family.rows[passed[-1]].performed_at
    return lies_under(project, spot, since=state.opened_at, until=until)


def lies_under(project: Project, spot: Test, *, since: datetime, until: datetime | None) -> str:
    """The placement, failing that the test, on a higher lift over a spot within a time; empty if none."""
    if spot.lift is None or spot.easting_m is None or spot.northing_m is None:
        return ""
    for placement, limits in placements_above(project, lift=spot.lift):
        if placement.placed_at < since or (until is not None and placement.placed_at > until):
            continue
        if limits.contains(spot_of(spot)):
            return f"lift {placement.lift} placed {_day(project, placement.placed_at)} in {placement.area}"
    radius = project.failure_radius_m
    above = Test.objects.filter(
        project=project,
        voided=False,
        lift__gt=spot.lift,
        performed_at__gte=since,
        easting_m__range=(spot.easting_m - radius, spot.easting_m + radius),
        northing_m__range=(spot.northing_m - radius, spot.northing_m + radius),
    ).order_by("performed_at", "id")
    if until is not None:
        above = above.filter(performed_at__lte=until)
    for test in above:
        if test.easting_m is not None and test.northing_m is not None:
            apart = ((test.easting_m - spot.easting_m) ** 2 + (test.northing_m - spot.northing_m) ** 2).sqrt()
            if apart <= radius:
                return f"test {test} on lift {test.lift}, {_day(project, test.performed_at)}"
    return ""


def _day(project: Project, moment: datetime) -> str:
    return moment.astimezone(project.zone_info).date().isoformat()
