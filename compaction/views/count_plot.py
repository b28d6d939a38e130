"""The standard counts of a gauge as a drawing."""

from datetime import date, datetime, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.calculations import standard_count_log
from compaction.calculations.standard_count_log import CountRule
from compaction.plots import standard_counts as drawing
from compaction.plots.standard_counts import CountPoint
from compaction.queries import instrument_lists, instruments
from compaction.queries.instrument_lists import CountLine
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.views.opening import project_page


@require_safe
@project_page()
def counts_plot(request: HttpRequest, opened: Open, now: datetime, serial: str, kind: str) -> HttpResponse:
    """Density or moisture counts with their band and the certificate's decay."""
    if kind not in standard_count_log.KINDS:
        raise Http404("Counts are of density or of moisture.")
    lines = [line for line in instrument_lists.count_list(opened, serial=serial) if line.judged is not None]
    if not lines:
        raise Http404("The gauge has no standard counts on file.")
    zone = opened.project.zone_info
    points = [point for line in lines if (point := _point(line, kind)) is not None]
    rule = instruments.rule_on(instrument_lists.rules(opened).get(serial, ()), now.astimezone(zone).date())
    days = [line.record.taken_at.astimezone(zone).date() for line in lines]
    title = f"{serial}: {kind} standard counts"
    return svg_answer(
        drawing.draw(points, decay=_decay(rule, kind, days[0], days[-1]), title=title, kind=kind.capitalize())
    )


def _point(line: CountLine, kind: str) -> CountPoint | None:
    assert line.judged is not None
    verdict = next((one for one in line.judged.kinds if one.kind == kind), None)
    if verdict is None:
        return None
    reference = None if verdict.reference is None else float(verdict.reference)
    reach = float(verdict.allowed_pct) / 100
    return CountPoint(
        taken_at=line.judged.count.taken_at,
        count=float(verdict.count),
        reference=reference,
        low=None if reference is None else reference * (1 - reach),
        high=None if reference is None else reference * (1 + reach),
        accepted=verdict.accepted,
    )


def _decay(rule: CountRule, kind: str, first: date, last: date) -> list[tuple[date, float]]:
    every = max(1, (last - first).days // 60)
    days = [first + timedelta(days=step) for step in range(0, (last - first).days + every, every)]
    counts = [(day, standard_count_log.certificate_count(rule, kind=kind, day=day)) for day in days]
    return [(day, float(count)) for day, count in counts if count is not None]
