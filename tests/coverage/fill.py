"""Fill and tests for coverage, made up: one line in metres, days counted from a Monday."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from compaction.coverage import lifts
from compaction.coverage.facts import Counter, Covered, FrequencyRule, Placed, Tested

MONDAY = datetime(2026, 6, 1, 14, 0, tzinfo=UTC)
YD3 = Decimal("0.764554857984")  # m3 in a cubic yard: 0.9144 m cubed
FT = Decimal("0.3048")
FT2 = FT * FT
ACRE = 43_560 * FT2


def placed(lift: int = 1, *, area: str = "core", day: int = 0, number: int = 0, **more: Any) -> Placed:
    """A placement of 100 m by 10 m on a line."""
    moment = MONDAY + timedelta(days=day, minutes=number)
    values = {
        "uuid": f"p-{area}-{lift}-{day}-{number}",
        "area": area,
        "lift": lift,
        "placed_at": moment,
        "day": moment.date(),
        "alignment": "main",
        "station_from_m": 0.0,
        "station_to_m": 100.0,
        "offset_from_m": -5.0,
        "offset_to_m": 5.0,
        "area_m2": 1000.0,
        "zone": "core",
    }
    return Placed(**{**values, **more})


def made(number: int = 1, lift: int = 1, *, result: str = "pass", day: int = 0, **more: Any) -> Tested:
    """A test in the middle of that fill, an hour after it was placed."""
    moment = MONDAY + timedelta(days=day, hours=1, minutes=number)
    values = {
        "uuid": f"t-{lift}-{number:04d}",
        "label": str(number),
        "performed_at": moment,
        "day": moment.date(),
        "area": "core",
        "lift": lift,
        "method": "nuclear_gauge",
        "purpose": "acceptance",
        "result": result,
        "failure_state": "open" if result == "fail" else "",
        "alignment": "main",
        "station_m": 50.0,
        "offset_m": 0.0,
    }
    return Tested(**{**values, **more})


def rule(*counters: Counter, name: str = "fill", **more: Any) -> FrequencyRule:
    return FrequencyRule(name=name, counters=counters, **more)


def cover(fill: list[Placed], tests: list[Tested], *rules: FrequencyRule, **more: Any) -> list[Covered]:
    book = lifts.Book(placed=tuple(fill), tests=tuple(tests), rules_of=lambda zone, moment: rules, **more)
    return lifts.covered(book)
