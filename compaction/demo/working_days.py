"""The calendar of the demo: working days counted so that yesterday is the last full one and today has begun."""

from datetime import date, datetime, time, timedelta

from compaction.demo.site import LIFTS, ZONE

FULL_DAYS = 2 * LIFTS - 1  # two reaches a day, each lift of a reach every second day
UNTIL = time(10, 0)  # nothing of today that is later than this has happened yet
SATURDAY = 5


def loading_day(now: datetime) -> date:
    """The day that counts as today: its morning up to `UNTIL` lies behind `now`, on the site's clock."""
    local = now.astimezone(ZONE)
    return local.date() if local.time() >= UNTIL else local.date() - timedelta(days=1)


def working_days(today: date) -> list[date]:
    """Day 0 (set-up and first placements), the full days 1 to `FULL_DAYS`, and today.

    Monday to Friday, but the day before today was worked whatever it is.
    """
    days = [today, today - timedelta(days=1)]
    while len(days) < FULL_DAYS + 2:
        day = days[-1] - timedelta(days=1)
        while day.weekday() >= SATURDAY:
            day -= timedelta(days=1)
        days.append(day)
    return days[::-1]


def at(day: date, minutes: int) -> datetime:
    """A moment of a day on the site's clock, in minutes after midnight."""
    return datetime.combine(day, time(minutes // 60, minutes % 60), tzinfo=ZONE)


def clock(hour: int, minute: int = 0) -> int:
    """Minutes after midnight."""
    return 60 * hour + minute
