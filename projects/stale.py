"""Mark work to be redone and claim it. The rows are the record; a lost message costs only delay."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection, transaction
from django.db.models import F, Q, QuerySet

from projects.models import Project, StaleWork

LEASE = timedelta(minutes=2)
MAX_ATTEMPTS = 5
CHUNK = 400


@dataclass(frozen=True, order=True)
class Mark:
    kind: str
    key: str
    cause: str = ""


def mark(*, project: Project, marks: Iterable[Mark]) -> None:
    """Raise the dirty number of each key, in key order (the one lock order), one statement per 400 keys."""
    ordered = sorted({(item.kind, item.key): item for item in marks}.values())
    table = StaleWork._meta.db_table
    for start in range(0, len(ordered), CHUNK):
        chunk = ordered[start : start + CHUNK]
        values = ", ".join(["(%s, %s, %s, %s, 1, 0, 0, '', '')"] * len(chunk))
        parameters = [part for item in chunk for part in (project.pk, item.kind, item.key, item.cause[:200])]
        with connection.cursor() as cursor:
            cursor.execute(
                f"INSERT INTO {table} (project_id, kind, key, cause, dirty_rev, computed_rev, attempts, error, lease) "
                f"VALUES {values} ON CONFLICT (project_id, kind, key) DO UPDATE SET "
                f"dirty_rev = {table}.dirty_rev + 1, cause = excluded.cause, attempts = 0, error = ''",
                parameters,
            )


def due(*, now: datetime, kinds: Iterable[str] | None = None) -> QuerySet[StaleWork]:
    """Rows with work left, whose lease has run out and whose attempts have not."""
    rows = StaleWork.objects.filter(computed_rev__lt=F("dirty_rev"), attempts__lt=MAX_ATTEMPTS).filter(
        Q(leased_until__isnull=True) | Q(leased_until__lt=now)
    )
    if kinds is not None:
        rows = rows.filter(kind__in=list(kinds))
    return rows.order_by("project_id", "kind", "key")


def claim(*, ids: list[int], now: datetime) -> list[StaleWork]:
    """Take a lease on those of the rows that nobody else holds or is just marking.

    Rows locked by others are skipped, so a claim never waits; the next sweep finds them.
    """
    token = uuid.uuid4().hex
    free = Q(leased_until__isnull=True) | Q(leased_until__lt=now)
    with transaction.atomic():
        open_rows = StaleWork.objects.select_for_update(skip_locked=True).filter(free, pk__in=ids)
        taken = list(open_rows.values_list("pk", flat=True))
        StaleWork.objects.filter(free, pk__in=taken).update(
            leased_until=now + LEASE, lease=token, attempts=F("attempts") + 1
        )
    return list(StaleWork.objects.filter(pk__in=taken, lease=token).select_related("project").order_by("kind", "key"))


def done(rows: list[StaleWork]) -> None:
    """Give the lease back and say up to which mark the work was done; a later mark stays due."""
    by_rev: dict[int, list[int]] = {}
    for row in rows:
        by_rev.setdefault(row.dirty_rev, []).append(row.pk)
    with transaction.atomic():
        _lock_in_key_order(rows)
        for rev, ids in sorted(by_rev.items()):
            StaleWork.objects.filter(pk__in=ids).update(
                computed_rev=rev, leased_until=None, lease="", attempts=0, error=""
            )


def failed(rows: list[StaleWork], *, error: str) -> None:
    """Give the lease back and keep the error; after five attempts the row waits for a person."""
    with transaction.atomic():
        _lock_in_key_order(rows)
        StaleWork.objects.filter(pk__in=[row.pk for row in rows]).update(
            leased_until=None, lease="", error=error[:2000]
        )


def _lock_in_key_order(rows: list[StaleWork]) -> None:
    """The order in which `mark` locks them: two transactions can't wait for each other."""
    ordered = StaleWork.objects.select_for_update().filter(pk__in=[row.pk for row in rows])
    list(ordered.order_by("project_id", "kind", "key").values_list("pk", flat=True))


def parked() -> QuerySet[StaleWork]:
    """Work given up after too many attempts: shown to the administrator."""
    return StaleWork.objects.filter(computed_rev__lt=F("dirty_rev"), attempts__gte=MAX_ATTEMPTS)
