"""What the map needs beside register rows: lifts with their counts, geometry in force, closings of failures."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max, Min

from compaction.models import Failure, PlacementVersion, Test
from compaction.queries.set_up import AreaEntry, load
from projects.access import Open
from projects.geometry.alignment import Alignment


@dataclass(frozen=True)
class LiftLine:
    """A lift, how many tests name it, and when work on it began (first test or placement)."""

    lift: int
    tests: int
    began_at: datetime


@dataclass(frozen=True)
class SiteGeometry:
    """Alignments (code -> name and line) and areas as they stand now."""

    alignments: dict[str, tuple[str, Alignment]]
    areas: list[AreaEntry]
    station_digits: int

    @property
    def lines(self) -> dict[str, Alignment]:
        return {code: line for code, (_, line) in self.alignments.items()}


def lifts(opened: Open) -> list[LiftLine]:
    """Every lift that was placed or tested, highest first. Two statements."""
    tests = Test.objects.filter(project=opened.project, lift__isnull=False)
    if opened.only_own:
        tests = tests.filter(device=opened.actor.ident)
    counts: dict[int, tuple[int, datetime]] = {
        lift: (number, began)
        for lift, number, began in tests.order_by()
        .values_list("lift")
        .annotate(number=Count("id"), began=Min("performed_at"))
    }
    placed = PlacementVersion.objects.filter(project=opened.project).order_by()
    for lift, began in placed.values_list("lift").annotate(began=Min("placed_at")):
        number, known = counts.get(lift, (0, began))
        counts[lift] = (number, min(known, began))
    return [LiftLine(lift, number, began) for lift, (number, began) in sorted(counts.items(), reverse=True)]


def newest_lift(found: list[LiftLine]) -> int | None:
    """The lift that was begun last; a late retest further down does not make its lift the newest."""
    return max(found, key=lambda line: (line.began_at, line.lift)).lift if found else None


def test_days(opened: Open) -> tuple[datetime, datetime] | None:
    """When the first and the last test of the project were made."""
    ends = Test.objects.filter(project=opened.project).aggregate(first=Min("performed_at"), last=Max("performed_at"))
    return (ends["first"], ends["last"]) if ends["first"] else None


test_days.__test__ = False  # type: ignore[attr-defined]  # keeps the test runner from collecting it


def geometry(opened: Open, *, now: datetime) -> SiteGeometry:
    """The place as it is drawn now; kept with the set-up, so it costs no statement after the first time."""
    under = load(opened.project, setup_seq=opened.setup_seq)
    return SiteGeometry(
        alignments={code: (under.alignments[code][-1].name, line) for code, line in under.alignments_at(now).items()},
        areas=under.areas_at(now),
        station_digits=under.station_digits,
    )


def closings(opened: Open) -> dict[str, datetime]:
    """Failure -> when a person ended it."""
    ended = Failure.objects.filter(project=opened.project, closed_at__isnull=False)
    return {str(uuid): at for uuid, at in ended.values_list("uuid", "closed_at") if at is not None}
