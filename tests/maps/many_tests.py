"""Lifts by the hundred and tests by the thousand: copies of one that was posted, each at a place of its own.

Everything that makes the wire heavy differs from row to row (id, label, place, station, figures). Values are invented.
"""

import random
import uuid
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import connection, transaction

from compaction.actions import placements, specifications, sweep
from compaction.models import Failure, FailureTest, Test
from tests.builders import SPECIFICATION, Site, gauge_body
from tests.maps.covered_site import RULE

DAY_0 = datetime.fromisoformat("2020-05-01T08:00:00-06:00")
LENGTH_FT = 3900  # stations 10+00 to 49+00
FOOT = Decimal("0.3048")
#: columns in which the copies differ
VARYING = (
    "client_uuid", "label", "lift", "performed_at", "station_m", "offset_m", "easting_m", "northing_m", "station_text",
    "offset_text", "elevation_m", "percent_compaction_judged", "result",
)  # fmt: skip


def make_many(site: Site, *, lifts: int, tests: int) -> None:
    """Each lift placed along the line in one piece; tests spread over it at random, one in twenty failing."""
    body = {**SPECIFICATION, "frequency": [RULE], "reach": "all"}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "made"}, now=site.now
    )
    with transaction.atomic():
        for number in range(lifts):
            placements.record(
                opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body=_placement(number), now=site.now
            )
    template = site.post(gauge_body(lift=1)).test
    _copies(template, lifts, tests)
    sweep.run_until_idle()  # what was placed is still marked: every lift is worked out, once


def _placement(number: int) -> dict[str, Any]:
    return {
        "area": "core", "lift": number + 1, "placed_at": (DAY_0 + timedelta(days=number)).isoformat(),
        "alignment": "main", "station_from": "10+00", "station_to": "49+00", "offset_from": "40 L",
        "offset_to": "40 R", "thickness": "8 in", "elevation_top": f"{5000 + number * 2 / 3:.2f} ft",
    }  # fmt: skip


def _copies(template: Test, lifts: int, tests: int) -> None:
    """Rows made in the database out of the one that was posted: only what differs from row to row goes over."""
    fields = [Test._meta.get_field(name) for name in VARYING]
    kept = [field.column for field in Test._meta.concrete_fields if field not in fields and not field.primary_key]
    columns = ", ".join(connection.ops.quote_name(name) for name in [*(field.column for field in fields), *kept])
    same = ", ".join(["%s"] * len(fields) + [connection.ops.quote_name(name) for name in kept])
    table = connection.ops.quote_name(Test._meta.db_table)
    rows, failures = [], []
    for row, number in _rows(lifts, tests):
        rows.append([field.get_db_prep_save(row[field.name], connection) for field in fields] + [template.pk])
        if row["result"] == "fail":
            failures.append(_failure(template.project_id, row, mended=number % 60 != 0))
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {table} ({columns}) SELECT {same} FROM {table} WHERE id = %s", rows)
    Failure.objects.bulk_create(failures, batch_size=200)
    FailureTest.objects.bulk_create(
        [
            FailureTest(failure=failure, test_uuid=failure.root_test, attempt=0, result="fail")
            for failure in Failure.objects.filter(project=template.project)
        ],
        batch_size=200,
    )


def _rows(lifts: int, tests: int) -> Iterator[tuple[dict[str, Any], int]]:
    chance = random.Random(7)
    for number in range(tests):
        lift, along, aside = number % lifts, chance.random() * LENGTH_FT, chance.random() * 76 - 38
        fails = number % 20 == 0
        station_m, offset_m = Decimal(f"{1000 + along:.2f}") * FOOT, Decimal(f"{aside:.2f}") * FOOT
        row = {
            "client_uuid": uuid.UUID(int=chance.getrandbits(128), version=4),
            "label": str(1000 + number),
            "lift": lift + 1,
            "performed_at": DAY_0 + timedelta(days=lift, hours=4, minutes=number // lifts),
            "station_m": station_m,
            "offset_m": offset_m,
            "easting_m": station_m + (20000 - 1000) * FOOT,
            "northing_m": 10000 * FOOT - offset_m,
            "station_text": f"{int(1000 + along) // 100}+{(1000 + along) % 100:05.2f}",
            "offset_text": f"{abs(aside):.2f} ft {'R' if aside > 0 else 'L'}",
            "elevation_m": Decimal(f"{5000 + lift * 2 / 3:.2f}") * FOOT,
            "percent_compaction_judged": Decimal(
                f"{chance.uniform(90, 94.9) if fails else chance.uniform(95, 103):.1f}"
            ),
            "result": "fail" if fails else "pass",
        }
        yield row, number


def _failure(project_id: int, row: dict[str, Any], *, mended: bool) -> Failure:
    later = row["performed_at"] + timedelta(hours=3)
    return Failure(
        project_id=project_id, uuid=uuid.uuid4(), root_test=row["client_uuid"], kind="density",
        state="passed_on_retest" if mended else "open", opened_at=row["performed_at"], last_action_at=later,
        last_action="made", closed_at=None, extent_radius_m=Decimal(5), chain_digest="made",
    )  # fmt: skip
