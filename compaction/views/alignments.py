"""Alignments: the list, one alignment with its tables and drawings, and the drawings themselves."""

from dataclasses import dataclass
from datetime import datetime

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from compaction.actions import geometry_previews
from compaction.queries import alignments as queries
from compaction.queries.alignments import GeometryLine
from compaction.views import alignment_drawings
from compaction.views.plots import svg_answer
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import AlignmentReport
from projects.geometry.section_report import section_report
from projects.views.opening import project_page, show


@dataclass(frozen=True)
class Listed:
    """An alignment in the list: its newest revision and what is read off it."""

    line: GeometryLine
    report: AlignmentReport

    @property
    def worst(self) -> str:
        """The severest of its remarks, empty without any."""
        found = {severity for _, severity, _ in self.report.remarks}
        return next((severity for severity in ("error", "warning", "information") if severity in found), "")


@require_safe
@project_page()
def alignments(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every alignment with its newest revision."""
    listed = [
        Listed(lines[-1], queries.told(opened, Alignment.from_plain(lines[-1].content)))
        for lines in queries.alignment_lines(opened).values()
    ]
    return show(request, opened, "compaction/alignments.html", listed=listed)


def _revision(opened: Open, alignment: str, wanted: str) -> tuple[list[GeometryLine], GeometryLine]:
    lines = queries.alignment_lines(opened).get(alignment)
    if not lines:
        raise Http404("There is no such alignment in this project.")
    if not wanted:
        return lines, lines[-1]
    chosen = next((line for line in lines if str(line.rev) == wanted), None)
    if chosen is None:
        raise Http404("There is no such revision.")
    return lines, chosen


@require_safe
@project_page()
def alignment(request: HttpRequest, opened: Open, now: datetime, alignment: str) -> HttpResponse:
    """One alignment: elements, closure, equations, profile, revisions; `?rev=` shows an older one."""
    lines, chosen = _revision(opened, alignment, request.GET.get("rev", ""))
    geometry = Alignment.from_plain(chosen.content)
    return show(
        request,
        opened,
        "compaction/alignment.html",
        code=alignment,
        line=chosen,
        lines=lines[::-1],
        newest=lines[-1],
        report=queries.told(opened, geometry),
        has_profile=geometry.profile is not None,
        section=section_report(geometry, queries.station_format(opened)),
        runs=geometry_previews.under_way(opened, "alignment", alignment),
    )


@require_safe
@project_page()
def plan_svg(request: HttpRequest, opened: Open, now: datetime, alignment: str, rev: int) -> HttpResponse:
    """The drawing in plan."""
    _, chosen = _revision(opened, alignment, str(rev))
    title = f"{chosen.code} rev {chosen.rev}: plan"
    geometry = Alignment.from_plain(chosen.content)
    return svg_answer(alignment_drawings.plan(geometry, queries.station_format(opened), title=title))


@require_safe
@project_page()
def profile_svg(request: HttpRequest, opened: Open, now: datetime, alignment: str, rev: int) -> HttpResponse:
    """The design profile."""
    _, chosen = _revision(opened, alignment, str(rev))
    geometry = Alignment.from_plain(chosen.content)
    if geometry.profile is None:
        raise Http404("This revision has no profile.")
    title = f"{chosen.code} rev {chosen.rev}: {geometry.profile.surface}"
    station_format = queries.station_format(opened)
    return svg_answer(alignment_drawings.profile(geometry, geometry.profile, station_format, title=title))
