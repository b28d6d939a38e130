"""Bring the cover of lifts up to date. Safe to run twice; what changes nothing writes nothing.

Marks name a lift number or everything (`coverage_marks`). After a test only the groups of its lift are worked out
again, and those placed right above it, because a lift placed over an unreleased one is told apart by what was known
of the lower. A rule with a reduced frequency looks along the whole area, so there the area's lifts come along.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F

from compaction.actions.coverage_marks import EVERYTHING
from compaction.coverage import lifts, stacking, stored
from compaction.coverage.belonging import Group
from compaction.coverage.facts import Covered, Placed
from compaction.models import Failure, LiftCover
from compaction.queries import coverage_rows
from compaction.queries.coverage import current_set_up
from compaction.queries.set_up import SetUp
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
        wanted = set(keys)
        return settle_in_turn(project, None if EVERYTHING in wanted else {int(key) for key in wanted}, now=now)


def settle_in_turn(project: Project, numbers: set[int] | None, *, now: datetime) -> int:
    """The same for lift numbers (None: all), where the caller holds the project's lock."""
    under = current_set_up(project)
    if numbers is None:
        found = lifts.covered(coverage_rows.book(project, under))
        kept = _stored(project, None)
        return _store(project, found, kept, set(kept) - {(one.area, one.lift) for one in found}, now)
    found, looked_at = _some(project, under, numbers)
    kept = _stored(project, looked_at)
    gone = {group for group in kept if group[1] in numbers} - {(one.area, one.lift) for one in found}
    return _store(project, found, kept, gone, now)


def _some(project: Project, under: SetUp, numbers: set[int]) -> tuple[list[Covered], set[int]]:
    """The groups of these lifts, and of those right above them."""
    placed = coverage_rows.placements(project, under)
    beside = stacking.neighbours(placed)
    numbers = numbers | _along(placed, under, numbers)
    above = {group for group, near in beside.items() if any(below[1] in numbers for below in near.next_below)}
    wanted_numbers = numbers | {lift for _, lift in above}
    next_below = {
        below[1] for group, near in beside.items() if group[1] in numbers or group in above for below in near.next_below
    }
    book = coverage_rows.book(project, under, lifts=wanted_numbers | next_below, placed=placed)
    here = frozenset(group for group in lifts.grouped(book) if group[1] in numbers or group in above)
    return lifts.covered(book, only=here), wanted_numbers


def _along(placed: Sequence[Placed], under: SetUp, numbers: set[int]) -> set[int]:
    """Every lift of the areas on these lifts, where a reduced frequency looks along an area."""
    rules_of = coverage_rows.rules_of(under)
    areas = {
        one.area
        for one in placed
        if one.lift in numbers and any(rule.reduced for rule in rules_of(one.zone, one.placed_at))
    }
    return {one.lift for one in placed if one.area in areas}


def _stored(project: Project, numbers: set[int] | None) -> dict[Group, LiftCover]:
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
