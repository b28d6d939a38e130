"""Bring the cover of lifts up to date. Safe to run twice; what changes nothing writes nothing.

Marks name a lift, a lift on which fill was placed, or everything (`coverage_marks`); `coverage.touched` says which
groups that reaches. All placements are read each time, they are few; of tests only those of the lifts looked at.
"""

import json
from collections.abc import Iterable, Sequence, Set
from datetime import datetime

from django.db import transaction
from django.db.models import F

from compaction.actions import coverage_marks
from compaction.coverage import lifts, stored
from compaction.coverage.belonging import Group
from compaction.coverage.facts import Covered
from compaction.coverage.touched import laid_out, touched
from compaction.models import Failure, LiftCover, Test
from compaction.queries import coverage_rows
from compaction.queries.coverage import current_set_up
from projects import canonical
from projects.models import Project, StaleWork

COLUMNS = (
    "state",
    "required",
    "made",
    "passing",
    "short",
    "buried",
    "over_unreleased",
    "content",
    "digest",
    "computed_at",
)


def settle(project: Project, keys: Iterable[str], *, now: datetime) -> int:
    """Work out the marked lifts again and store what differs; returns how many groups changed."""
    with transaction.atomic():
        # One at a time for a project: two sweeps must not write what they read before the other.
        Project.objects.select_for_update(no_key=True).get(pk=project.pk)
        return settle_in_turn(project, set(keys), now=now)


def settle_in_turn(project: Project, keys: Set[str], *, now: datetime) -> int:
    """The same where the caller holds the project's lock."""
    under = current_set_up(project)
    if coverage_marks.EVERYTHING in keys:
        found = lifts.covered(coverage_rows.book(project, under))
        kept = _stored(project, None)
        return _store(project, found, kept, set(kept) - {(one.area, one.lift) for one in found}, now)
    numbers = {coverage_marks.lift_of(key) for key in keys}
    filled = any(key.startswith(coverage_marks.PLACED) for key in keys)
    placed = coverage_rows.placements(project, under)
    layout = laid_out(placed, coverage_rows.rules_of(under))
    kept = _stored(project, None if filled else numbers)
    on_record = {group: stored.from_plain(json.loads(row.content)) for group, row in kept.items()} if filled else None
    areas = {area for area, lift in kept if lift in numbers}
    if layout.reduced:
        areas |= set(Test.objects.filter(project=project, lift__in=numbers).values_list("zone", flat=True))
    reach = touched(layout, numbers, areas=areas, kept=on_record)
    if not filled:
        kept |= _stored(project, reach.lifts - numbers)
    book = coverage_rows.book(project, under, lifts=reach.lifts, zones=reach.zones, placed=placed)
    groups = lifts.grouped(book)
    only = reach.groups | {group for group in groups if group[1] in numbers}
    found = [*lifts.worked_out(book, groups, layout, only=only), *reach.restacked]
    gone = {group for group in kept if group[1] in numbers} - {(one.area, one.lift) for one in found}
    return _store(project, found, kept, gone, now)


def _stored(project: Project, numbers: Set[int] | None) -> dict[Group, LiftCover]:
    rows = LiftCover.objects.filter(project=project)
    if numbers is not None:
        rows = rows.filter(lift__in=numbers)
    return {(row.area, row.lift): row for row in rows}


def _store(
    project: Project, found: Sequence[Covered], kept: dict[Group, LiftCover], gone: set[Group], now: datetime
) -> int:
    changed = []
    for one in found:
        content = canonical.text(stored.to_plain(one))
        row = kept.get((one.area, one.lift))
        if row is None or row.content != content:
            changed.append(_row(project, one, content, now))
    if changed:
        LiftCover.objects.bulk_create(
            changed,
            update_conflicts=True,
            unique_fields=["project", "area", "lift"],
            update_fields=list(COLUMNS),
            batch_size=100,
        )
    if gone:
        LiftCover.objects.filter(pk__in=[kept[group].pk for group in gone]).delete()
    return len(changed) + len(gone)


def _row(project: Project, one: Covered, content: str, now: datetime) -> LiftCover:
    return LiftCover(
        project=project,
        area=one.area,
        lift=one.lift,
        state=one.state,
        required=one.required,
        made=one.made,
        passing=one.passing,
        short=one.short,
        buried=one.buried,
        over_unreleased=one.over_unreleased,
        content=content,
        digest=one.digest,
        computed_at=now,
    )


def rebuild(project: Project) -> list[tuple[str, str, str]]:
    """Work out every group again from nothing; (area:lift, stored digest, digest found) where they differ.

    While the sweep has work left, cover may be behind what it follows from, and nothing is compared.
    """
    behind = StaleWork.objects.filter(project=project, computed_rev__lt=F("dirty_rev")).exists()
    if behind or Failure.objects.filter(project=project, chain_digest="").exists():
        return []
    found = {(one.area, one.lift): one for one in lifts.covered(coverage_rows.book(project, current_set_up(project)))}
    kept = _stored(project, None)
    differences = []
    for group in sorted({*found, *kept}):
        one, row = found.get(group), kept.get(group)
        if one is None or row is None or row.content != canonical.text(stored.to_plain(one)):
            differences.append((coverage_rows.subject_of(*group), row.digest if row else "", one.digest if one else ""))
    return differences
