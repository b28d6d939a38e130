"""What needs me now; then the day by area and lift; then the week. And the day as a sheet to print."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.coverage.facts import Covered
from compaction.queries import day as day_queries
from compaction.queries.rows import TestFilter, failure_rows, placement_rows, test_rows
from compaction.queries.work_left import work_left
from compaction.register import TestRow
from compaction.views.display import local_day
from projects.access import Open
from projects.views.opening import project_page, show

SHOWN = 12


@require_safe
@project_page()
def today(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The first page of a project. Without a day in the address it shows today, or the last day with anything."""
    this_day = local_day(opened.project, now)
    day, asked = _chosen_day(request, opened, this_day)
    week = test_rows(opened, TestFilter(date_from=day - timedelta(days=6), date_to=day), limit=None)
    by_day: dict[date, list[TestRow]] = defaultdict(list)
    for row in week:
        by_day[local_day(opened.project, row.performed_at)].append(row)
    failures = failure_rows(opened, open_only=True, now=now)
    covers = day_queries.all_lifts(opened)
    short = day_queries.short_lifts(covers)
    return show(
        request,
        opened,
        "compaction/today.html",
        **_days(day, this_day),
        asked=asked,
        of=day_queries.of(opened, day, by_day[day], covers),
        tests=by_day[day],
        failures=failures,
        first_failures=failures[:SHOWN],
        to_close=[row for row in failures if row.next_action.endswith("engineer: close")],
        buried=[row for row in failures if row.buried],
        held=test_rows(opened, TestFilter(result="on_hold"), limit=SHOWN),
        awaited=test_rows(opened, TestFilter(result="provisional"), limit=SHOWN),
        late=[row for row in week if "entered-late" in row.finding_codes],
        left=work_left(opened),
        week=_week(by_day, day),
        short=short,
        first_short=short[:SHOWN],
        missing=sum(one.short for one in short),
        to_sign=[one for one in covers if one.signature_wanted],
        over_unreleased=_over_unreleased(covers),
        next_locations=day_queries.next_locations(opened, short),
    )


@require_safe
@project_page()
def sheet(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The day on paper: placed, tested, failed and told, not tested and why, how the lifts stand."""
    this_day = local_day(opened.project, now)
    day, _ = _chosen_day(request, opened, this_day)
    tests = test_rows(opened, TestFilter(date_from=day, date_to=day), limit=None)[::-1]
    covers = day_queries.all_lifts(opened)
    failures = failure_rows(opened, now=now)
    failed = [row for row in tests if row.result == "fail" and not row.voided]
    return show(
        request,
        opened,
        "compaction/day_sheet.html",
        **_days(day, this_day),
        of=day_queries.of(opened, day, tests, covers),
        tests=tests,
        failed=[(row, notice) for row, notice in _with_notices(failed, day_queries.told(opened, failed))],
        closed=[row for row in failures if row.closed_at and local_day(opened.project, row.closed_at) == day],
        still_open=[row for row in failures if row.is_open],
        late=[row for row in tests if "entered-late" in row.finding_codes],
        printed_at=now,
    )


def _with_notices(rows: list[TestRow], told: Mapping[str, dict[str, str]]) -> list[tuple[TestRow, dict[str, str]]]:
    return [(row, told.get(row.uuid, {})) for row in rows]


def _chosen_day(request: HttpRequest, opened: Open, this_day: date) -> tuple[date, bool]:
    """The day of the address; else the last day up to today with a test or a placement. And whether it was asked."""
    asked = _day_of(request.GET.get("day", ""))
    if asked is not None:
        return asked, True
    found = [row.performed_at for row in test_rows(opened, TestFilter(date_to=this_day), limit=1)]
    found += [row.placed_at for row in placement_rows(opened)]
    days = [day for moment in found if (day := local_day(opened.project, moment)) <= this_day]
    return max(days, default=this_day), False


def _days(day: date, this_day: date) -> dict[str, Any]:
    return {
        "day": day,
        "is_today": day == this_day,
        "this_day": this_day,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1) if day < this_day else None,
    }


def _over_unreleased(covers: list[Covered]) -> list[Covered]:
    """The one placed last first."""
    found = [one for one in covers if one.over_unreleased]
    return sorted(found, key=lambda one: (one.last_placed_at is not None, one.last_placed_at), reverse=True)


def _day_of(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


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
