"""Alignments and areas of a project as pages and the API list them: every revision with its content."""

import json
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from compaction.queries import set_up
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import AlignmentReport, report
from projects.geometry.area_measure import AreaNotMeasured, measured
from projects.geometry.areas import area_from_plain
from projects.geometry.station_format import StationFormat
from projects.models import AlignmentRevision, AreaRevision
from projects.models import StationFormat as StationStyle


@dataclass(frozen=True)
class GeometryLine:
    """One revision of an alignment or an area; `kind` and `reason` belong to areas."""

    code: str
    rev: int
    name: str
    reach: str
    effective_from: date | None
    created_at: datetime
    digest: str
    content: dict[str, Any]
    kind: str = ""
    reason: str = ""


def station_format(opened: Open) -> StationFormat:
    """How the project writes stations."""
    return StationFormat(2 if opened.project.station_format == StationStyle.HUNDREDS else 3)


def alignment_lines(opened: Open) -> dict[str, list[GeometryLine]]:
    """Code -> revisions of alignments, oldest first."""
    return _by_code(AlignmentRevision.objects.filter(project=opened.project).order_by("code", "rev"))


def area_lines(opened: Open) -> dict[str, list[GeometryLine]]:
    """Code -> revisions of areas, oldest first."""
    return _by_code(AreaRevision.objects.filter(project=opened.project).order_by("code", "rev"))


def alignment_line(opened: Open, code: str, rev: int) -> GeometryLine | None:
    """One revision of an alignment."""
    row = AlignmentRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
    return None if row is None else _line(row)


def area_line(opened: Open, code: str, rev: int) -> GeometryLine | None:
    """One revision of an area."""
    row = AreaRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
    return None if row is None else _line(row)


def area_size(opened: Open, line: GeometryLine, *, now: datetime) -> str:
    """The size of an area in words, with the grid and its scale there; or why it is not known."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    try:
        return measured(area_from_plain(line.content), under.alignments_at(now), under.epsg_code)
    except AreaNotMeasured as error:
        return f"not measured: {error}"


def told(opened: Open, line: Alignment) -> AlignmentReport:
    """The report on a line, with stations as the project writes them."""
    return report(line, station_format(opened))


def _by_code(rows: Any) -> dict[str, list[GeometryLine]]:
    found: dict[str, list[GeometryLine]] = {}
    for row in rows:
        found.setdefault(row.code, []).append(_line(row))
    return found


def _line(row: AlignmentRevision | AreaRevision) -> GeometryLine:
    return GeometryLine(
        code=row.code,
        rev=row.rev,
        name=row.name,
        reach=row.reach,
        effective_from=row.effective_from,
        created_at=row.created_at,
        digest=row.digest,
        content=json.loads(row.content),
        kind=row.kind if isinstance(row, AreaRevision) else "",
        reason=row.reason if isinstance(row, AreaRevision) else "",
    )
