"""A project's day begins and ends at its own midnight, whatever the server's clock says. No database."""

from datetime import UTC, date, datetime, timedelta

import pytest

from compaction.queries.rows import day_range
from compaction.views.display import local_day
from compaction.views.project_time import as_typed, with_offset
from projects.models import Project


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("America/Denver", date(2026, 6, 3), 24),
        ("America/Denver", date(2026, 11, 1), 25),  # clocks go back
        ("America/Denver", date(2026, 3, 8), 23),  # clocks go forward
        ("Pacific/Auckland", date(2026, 6, 3), 24),  # a day ahead of UTC
        ("America/Santiago", date(2026, 9, 6), 23),  # clocks go forward at midnight itself
        ("Asia/Kathmandu", date(2026, 6, 3), 24),  # a quarter of an hour off
    ],
)
def test_the_last_moment_of_a_day_belongs_to_it_and_midnight_to_the_next(zone: str, day: date, hours: int) -> None:
    project = Project(time_zone=zone)
    start, end = day_range(project, day)
    assert end.astimezone(UTC) - start.astimezone(UTC) == timedelta(hours=hours)
    tick = timedelta(microseconds=1)
    # as stored: in UTC
    first, last = start.astimezone(UTC), end.astimezone(UTC) - tick
    assert [local_day(project, moment) for moment in (first - tick, first, last, last + tick)] == [
        day - timedelta(days=1),
        day,
        day,
        day + timedelta(days=1),
    ]


def test_ten_to_midnight_on_site_is_that_day_though_it_is_tomorrow_in_utc() -> None:
    project = Project(time_zone="America/Denver")
    moment = datetime.fromisoformat(with_offset(project, "2026-06-03T23:50"))
    assert moment.astimezone(UTC).date() == date(2026, 6, 4)
    assert local_day(project, moment) == date(2026, 6, 3)
    assert as_typed(project, moment.astimezone(UTC)) == "2026-06-03T23:50"
