"""What needs me now; then the day by area and lift; then the week."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.queries.rows import TestFilter, failure_rows, test_rows
from compaction.queries.work_left import work_left
from compaction.register import TestRow
from compaction.views.display import local_day
from projects.access import Open
from projects.views.opening import project_page, show

SHOWN = 12


@dataclass(frozen=True)
class Group:
    """The tests of a day in one area and lift."""

    zone: str
    lift: int | None
    made: int
    passed: int
    failed: int
    awaited: int
    lowest: Decimal | None
    rows: tuple[TestRow, ...]


@require_safe
@project_page()
def today(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The first page of a project. Without a day in the address it shows today, or the last day with tests."""
    this_day = local_day(opened.project, now)
    asked = _day_of(request.GET.get("day", ""))
    day = asked or this_day
    if asked is None:
        newest = test_rows(opened, TestFilter(date_to=this_day), limit=1)
        day = local_day(opened.project, newest[0].performed_at) if newest else this_day
    week = test_rows(opened, TestFilter(date_from=day - timedelta(days=6), date_to=day), limit=None)
    by_day: dict[date, list[TestRow]] = defaultdict(list)
    for row in week:
        by_day[local_day(opened.project, row.performed_at)].append(row)
    failures = failure_rows(opened, open_only=True, now=now)
    return show(
        request,
        opened,
        "compaction/today.html",
        day=day,
        is_today=day == this_day,
        this_day=this_day,
        before=day - timedelta(days=1),
        after=day + timedelta(days=1) if day < this_day else None,
        groups=_groups(by_day[day]),
        tests=by_day[day],
        failures=failures,
        first_failures=failures[:SHOWN],
        to_close=[row for row in failures if row.next_action.startswith("engineer")],
        buried=[row for row in failures if row.buried],
        held=test_rows(opened, TestFilter(result="on_hold"), limit=SHOWN),
        awaited=test_rows(opened, TestFilter(result="provisional"), limit=SHOWN),
        late=[row for row in week if "entered-late" in row.finding_codes],
        left=work_left(opened),
        week=_week(by_day, day),
    )


def _day_of(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


def _groups(rows: list[TestRow]) -> list[Group]:
    found: dict[tuple[str, int | None], list[TestRow]] = defaultdict(list)
    for row in rows:
        found[row.zone, row.lift].append(row)
    return [
        _group(zone, lift, members)
        for (zone, lift), members in sorted(found.items(), key=lambda item: (item[0][0], item[0][1] or 0))
    ]


def _group(zone: str, lift: int | None, rows: list[TestRow]) -> Group:
    valid = [row for row in rows if not row.voided]
    percents = [row.percent_compaction_judged for row in valid if row.percent_compaction_judged is not None]
    return Group(
        zone=zone,
        lift=lift,
        made=len(valid),
        passed=sum(row.result == "pass" for row in valid),
        failed=sum(row.result == "fail" for row in valid),
        awaited=sum(row.result not in ("pass", "fail") for row in valid),
        lowest=min(percents, default=None),
        rows=tuple(sorted(rows, key=lambda row: row.performed_at)),
    )


def _week(by_day: dict[date, list[TestRow]], last: date) -> list[dict[str, Any]]:
    """Seven days with their counts and the bars of the little chart, in its own coordinates (490 by 130)."""
    days = [last - timedelta(days=back) for back in range(6, -1, -1)]
    counts = []
    for day in days:
        first = [row for row in by_day.get(day, []) if not row.voided and row.purpose == "acceptance"]
        made = sum(not row.voided for row in by_day.get(day, []))
        counts.append((day, made, len(first), sum(row.result == "fail" for row in first)))
    most = max([made for _, made, _, _ in counts] + [1])
    return [
        {
            "day": day,
            "made": made,
            "first": first,
            "failed": failed,
            "share": Decimal(100 * failed) / first if first else None,
            "x": 10 + 68 * place,
            "middle": 10 + 68 * place + 23,
            "made_height": round(90 * made / most),
            "made_y": 105 - round(90 * made / most),
            "failed_height": round(90 * failed / most),
            "failed_y": 105 - round(90 * failed / most),
            "label_y": 100 - round(90 * made / most),
        }
        for place, (day, made, first, failed) in enumerate(counts)
    ]
