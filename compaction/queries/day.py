"""One day of a project by its own clock: what was placed and tested, and how the lifts stand that it touched."""

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from compaction.coverage.facts import RELEASED, Covered
from compaction.models import NotTested, TestVersion
from compaction.queries import coverage, locations, set_up
from compaction.queries.rows import day_range, placement_rows
from compaction.queries.set_up import SetUp
from compaction.register import PlacementRow, TestRow
from projects.access import Open
from projects.geometry.area_measure import AreaNotMeasured, area_m2
from projects.geometry.areas import area_from_plain

Group = tuple[str, int | None]
#: how many lifts the next location is looked for: each costs some statements
LOOKED_AT = 3


@dataclass(frozen=True)
class Fill:
    """A placement with its quantity: as stated, else plan area times thickness; None where that is not known."""

    row: PlacementRow
    volume_m3: Decimal | None
    worked_out: bool = False


@dataclass(frozen=True)
class GroupDay:
    """An area on a lift on one day. `stands` is how it stands now, None where nothing is known of it."""

    area: str
    lift: int | None
    placed: tuple[Fill, ...]
    tests: tuple[TestRow, ...]
    stands: Covered | None = None

    @property
    def quantity_m3(self) -> Decimal | None:
        """Placed that day; None where it is not known of one placement."""
        return total(self.placed)

    @property
    def valid(self) -> list[TestRow]:
        return [row for row in self.tests if not row.voided]

    @property
    def made(self) -> int:
        return len(self.valid)

    @property
    def passed(self) -> int:
        return sum(row.result == "pass" for row in self.valid)

    @property
    def failed(self) -> int:
        return sum(row.result == "fail" for row in self.valid)

    @property
    def awaited(self) -> int:
        return self.made - self.passed - self.failed

    @property
    def lowest(self) -> Decimal | None:
        """The lowest percentage as judged."""
        found = [row.percent_compaction_judged for row in self.valid if row.percent_compaction_judged is not None]
        return min(found, default=None)


@dataclass(frozen=True)
class NextLocation:
    """The first planned location of a lift that is still to do."""

    group: Covered
    line: locations.LocationLine
    left: int
    under: SetUp  # what its place is written by


@dataclass(frozen=True)
class Day:
    """What the manager asks about a day."""

    day: date
    groups: list[GroupDay]
    placed: list[Fill]
    tests: list[TestRow]
    not_tested: list[NotTested] = field(default_factory=list)

    @property
    def quantity_m3(self) -> Decimal | None:
        """Everything placed of which it is known; None where there is none."""
        return total([one for one in self.placed if one.volume_m3 is not None])

    @property
    def without_quantity(self) -> int:
        """Placements of which it is not known."""
        return sum(one.volume_m3 is None for one in self.placed)

    @property
    def worked_out(self) -> int:
        """Placements whose quantity is plan area times thickness."""
        return sum(one.worked_out for one in self.placed)

    @property
    def lifts(self) -> int:
        """Areas on lifts in which fill was placed."""
        return len({(one.row.area, one.row.lift) for one in self.placed})

    @property
    def required(self) -> int | None:
        """Asked for in all on the lifts of this day of which it is known; None where it is known of none."""
        found = [one.stands.required for one in self.groups if one.stands and one.stands.required is not None]
        return sum(found) if found or not self.groups else None

    @property
    def required_not_known(self) -> int:
        """Lifts of this day of which nobody knows what is asked for."""
        return sum(one.stands is None or one.stands.required is None for one in self.groups)

    @property
    def short(self) -> int:
        """Still missing on the lifts of this day."""
        return sum(one.stands.short for one in self.groups if one.stands)

    @property
    def figures(self) -> dict[str, int]:
        """Made, passed, failed and awaited over all."""
        return {
            name: sum(getattr(one, name) for one in self.groups) for name in ("made", "passed", "failed", "awaited")
        }


def total(placed: Iterable[Fill]) -> Decimal | None:
    """The quantity of placements; None where it is not known of one, or there is none."""
    found = [one.volume_m3 for one in placed]
    if not found or None in found:
        return None
    return sum((value for value in found if value is not None), Decimal(0))


def of(opened: Open, day: date, tests: Sequence[TestRow], covers: Sequence[Covered]) -> Day:
    """The day with the tests dated it. Two statements."""
    start, end = day_range(opened.project, day)
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    placed = [_fill(row, under) for row in placement_rows(opened) if start <= row.placed_at < end]
    known = {(one.area, one.lift): one for one in covers}
    counting = {uuid: (one.area, one.lift) for one in covers for uuid in one.tests}
    fill: dict[Group, list[Fill]] = defaultdict(list)
    made: dict[Group, list[TestRow]] = defaultdict(list)
    for one in placed:
        fill[one.row.area, one.row.lift].append(one)
    for test in tests:
        made[counting.get(test.uuid, (test.zone, test.lift))].append(test)
    groups = [
        GroupDay(
            area,
            lift,
            tuple(fill.get((area, lift), ())),
            tuple(sorted(made.get((area, lift), ()), key=lambda row: row.performed_at)),
            known.get((area, lift)) if lift is not None else None,
        )
        for area, lift in sorted(set(fill) | set(made), key=lambda key: (key[0], key[1] or 0))
    ]
    notes = NotTested.objects.filter(project=opened.project, noted_at__gte=start, noted_at__lt=end)
    return Day(
        day,
        groups,
        placed,
        list(tests),
        not_tested=list(notes.order_by("noted_at")),
    )


def _fill(row: PlacementRow, under: SetUp) -> Fill:
    if row.quantity_m3 is not None or row.thickness_m is None:
        return Fill(row, row.quantity_m3)
    try:
        size_m2 = float(area_m2(area_from_plain(json.loads(row.limits)), under.alignments_at(row.placed_at)))
    except AreaNotMeasured:
        return Fill(row, None)
    return Fill(row, (Decimal(repr(size_m2)) * row.thickness_m).quantize(Decimal("0.001")), worked_out=True)


def short_lifts(covers: Iterable[Covered]) -> list[Covered]:
    """Lifts that lack tests, the one placed last first."""
    lacking = [one for one in covers if one.short and one.state != RELEASED]
    return sorted(lacking, key=lambda one: (one.last_placed_at is not None, one.last_placed_at, one.lift), reverse=True)


def next_locations(opened: Open, covers: Iterable[Covered]) -> list[NextLocation]:
    """Where to test next on the lifts that lack tests and have locations drawn, on a few of them."""
    drawn = {(one.area, one.lift) for one in locations.group_lines(opened) if one.drawn}
    found = []
    for cover in [one for one in covers if (one.area, one.lift) in drawn][:LOOKED_AT]:
        plan = locations.group_plan(opened, cover.area, cover.lift)
        under = set_up.load(opened.project, setup_seq=opened.setup_seq)
        if plan is not None and plan.next_open is not None:
            left = sum(line.state == "open" for line in plan.locations)
            found.append(NextLocation(cover, plan.next_open, left, under))
    return found


def told(opened: Open, rows: Sequence[TestRow]) -> dict[str, dict[str, str]]:
    """Test -> who was told of it (person, at, how), as its newest version says. One statement."""
    if not rows:
        return {}
    versions = TestVersion.objects.filter(
        test__project=opened.project, test__client_uuid__in=[row.uuid for row in rows]
    ).order_by("version")
    found = {}
    for uuid, content in versions.values_list("test__client_uuid", "content"):
        found[str(uuid)] = json.loads(content).get("notified") or {}
    return {uuid: notice for uuid, notice in found.items() if notice}


def all_lifts(opened: Open) -> list[Covered]:
    """Every lift as it stands. One statement."""
    return coverage.lift_rows(opened)
