"""What of a project is stale: how much work waits for the sweep, and whether one record is among it."""

from dataclasses import dataclass
from typing import Final

from django.db.models import Count, F, Q

from compaction.models import Failure
from projects.access import Open
from projects.models import StaleWork
from projects.stale import MAX_ATTEMPTS

#: the kind of work that covers of lifts are; its keys are lift numbers, or one of these
LIFT: Final = "lift"
#: every lift of a project: rules changed, or fill was moved
EVERY_LIFT: Final = "*"
#: what a key begins with where fill was placed on the lift
PLACED: Final = "+"


@dataclass(frozen=True)
class WorkLeft:
    """Rows waiting by kind, failures whose chain nobody has settled yet, and rows given up after five attempts."""

    waiting: dict[str, int]
    failures_unsettled: int
    parked: int

    @property
    def up_to_date(self) -> bool:
        """Whether everything derived follows from everything observed."""
        return not (any(self.waiting.values()) or self.failures_unsettled or self.parked)


def work_left(opened: Open) -> WorkLeft:
    """Two statements."""
    due = (
        StaleWork.objects.filter(project=opened.project, computed_rev__lt=F("dirty_rev"))
        .values("kind")
        .annotate(
            waiting=Count("id", filter=Q(attempts__lt=MAX_ATTEMPTS)),
            parked=Count("id", filter=Q(attempts__gte=MAX_ATTEMPTS)),
        )
    )
    rows = list(due)
    return WorkLeft(
        waiting={row["kind"]: row["waiting"] for row in sorted(rows, key=lambda row: row["kind"])},
        failures_unsettled=Failure.objects.filter(project=opened.project, chain_digest="").count(),
        parked=sum(row["parked"] for row in rows),
    )


def kinds_waiting(opened: Open, keys: list[str]) -> frozenset[str]:
    """Which kinds of work wait for these keys. One statement."""
    return frozenset(
        StaleWork.objects.filter(project=opened.project, key__in=keys, computed_rev__lt=F("dirty_rev")).values_list(
            "kind", flat=True
        )
    )


def lift_waits(opened: Open, lift: int) -> bool:
    """Whether the cover of a lift may be behind: work on it waits, or on all, or fill was placed. One statement."""
    waiting = StaleWork.objects.filter(project=opened.project, kind=LIFT, computed_rev__lt=F("dirty_rev"))
    return waiting.filter(Q(key__in=[str(lift), EVERY_LIFT]) | Q(key__startswith=PLACED)).exists()
