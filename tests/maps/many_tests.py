"""Lifts by the hundred and tests by the thousand: copies of one that was posted, each at a place of its own.

Everything that makes the wire heavy differs from row to row (id, label, place, station, figures). Values are invented.
"""

import random
import uuid
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from compaction.actions import coverage_settling, placements, specifications, sweep
from compaction.models import Failure, FailureTest, Test
from tests.builders import SPECIFICATION, Site, gauge_body
from tests.maps.covered_site import RULE

DAY_0 = datetime.fromisoformat("2020-05-01T08:00:00-06:00")
LENGTH_FT = 3900  # stations 10+00 to 49+00
FOOT = Decimal("0.3048")


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
    sweep.run_until_idle()
    coverage_settling.settle(site.project, ["*"], now=site.now)


def _placement(number: int) -> dict[str, Any]:
    return {
        "area": "core", "lift": number + 1, "placed_at": (DAY_0 + timedelta(days=number)).isoformat(),
        "alignment": "main", "station_from": "10+00", "station_to": "49+00", "offset_from": "40 L",
        "offset_to": "40 R", "thickness": "8 in", "elevation_top": f"{5000 + number * 2 / 3:.2f} ft",
    }  # fmt: skip


def _copies(template: Test, lifts: int, tests: int) -> None:
    chance = random.Random(7)
    values = {
        field.attname: getattr(template, field.attname) for field in Test._meta.concrete_fields if field.attname != "id"
    }
    rows, failures = [], []
    for number in range(tests):
        lift, along, aside = number % lifts, chance.random() * LENGTH_FT, chance.random() * 76 - 38
        fails = number % 20 == 0
        row = Test(**values)
        row.client_uuid, row.label, row.lift = (
            uuid.UUID(int=chance.getrandbits(128), version=4),
            str(1000 + number),
            lift + 1,
        )
        row.performed_at = DAY_0 + timedelta(days=lift, hours=4, minutes=number // lifts)
        row.station_m, row.offset_m = Decimal(f"{1000 + along:.2f}") * FOOT, Decimal(f"{aside:.2f}") * FOOT
        row.easting_m = row.station_m + (20000 - 1000) * FOOT
        row.northing_m = 10000 * FOOT - row.offset_m
        row.station_text = f"{int(1000 + along) // 100}+{(1000 + along) % 100:05.2f}"
        row.offset_text = f"{abs(aside):.2f} ft {'R' if aside > 0 else 'L'}"
        row.elevation_m = Decimal(f"{5000 + lift * 2 / 3:.2f}") * FOOT
        row.percent_compaction_judged = Decimal(f"{chance.uniform(90, 94.9) if fails else chance.uniform(95, 103):.1f}")
        row.result = "fail" if fails else "pass"
        rows.append(row)
        if fails:
            failures.append(_failure(row, mended=number % 60 != 0))
    Test.objects.bulk_create(rows, batch_size=200)
    Failure.objects.bulk_create(failures, batch_size=200)
    FailureTest.objects.bulk_create(
        [
            FailureTest(failure=failure, test_uuid=failure.root_test, attempt=0, result="fail")
            for failure in Failure.objects.filter(project=template.project)
        ],
        batch_size=200,
    )


def _failure(row: Test, *, mended: bool) -> Failure:
    later = row.performed_at + timedelta(hours=3)
    return Failure(
        project=row.project, uuid=uuid.uuid4(), root_test=row.client_uuid, kind="density",
        state="passed_on_retest" if mended else "open", opened_at=row.performed_at, last_action_at=later,
        last_action="made", closed_at=None, extent_radius_m=Decimal(5), chain_digest="made",
    )  # fmt: skip
