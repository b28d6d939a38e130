"""Corrections of gauges as tests are judged by them (adopted ones) and as pages list them (all)."""

import json
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey
from compaction.models import Decision, GaugeCorrection
from compaction.records.gauge_corrections import read_correction
from projects.access import Open
from projects.models import Project

SUBJECT = "gauge_correction"


@dataclass(frozen=True)
class CorrectionLine:
    """One correction with what was decided about it."""

    uuid: str
    key: GaugeKey
    facts: GaugeCorrectionFacts
    ends: bool
    reason: str
    author: str
    received_at: datetime
    content: dict[str, Any]
    pairs: list[list[str]]
    analysis_digest: str
    adoption: Decision | None
    in_force: bool = False  # adopted, and no later one of its own key has taken its place


def facts_of(row: GaugeCorrection, adopted_at: datetime | None) -> GaugeCorrectionFacts:
    """What an evaluation needs of a correction."""
    facts = read_correction(json.loads(row.content)).facts
    return replace(facts, ident=str(row.client_uuid), adopted_at=adopted_at)


def adopted(project: Project) -> tuple[GaugeCorrectionFacts, ...]:
    """Every adopted correction of a project; two statements."""
    when = dict(
        Decision.objects.filter(project=project, subject_kind=SUBJECT, meaning="adopted").values_list(
            "subject", "decided_at"
        )
    )
    if not when:
        return ()
    rows = GaugeCorrection.objects.filter(project=project, client_uuid__in=list(when))
    return tuple(facts_of(row, when[str(row.client_uuid)]) for row in rows)


def correction_lines(opened: Open) -> list[CorrectionLine]:
    """Every correction of the project, the newest first."""
    adoptions = {
        ruling.subject: ruling
        for ruling in Decision.objects.filter(project=opened.project, subject_kind=SUBJECT, meaning="adopted")
    }
    lines = []
    for row in GaugeCorrection.objects.filter(project=opened.project):
        adoption = adoptions.get(str(row.client_uuid))
        record = read_correction(json.loads(row.content))
        lines.append(
            CorrectionLine(
                uuid=str(row.client_uuid),
                key=record.key,
                facts=facts_of(row, adoption.decided_at if adoption else None),
                ends=record.ends,
                reason=row.reason,
                author=row.author,
                received_at=row.received_at,
                content=json.loads(row.content),
                pairs=json.loads(row.pairs),
                analysis_digest=row.analysis_digest,
                adoption=adoption,
            )
        )
    newest: dict[GaugeKey, CorrectionLine] = {}
    for line in lines:
        if line.adoption is not None:
            known = newest.get(line.key)
            if known is None or _later(line, known):
                newest[line.key] = line
    marked = [replace(line, in_force=newest.get(line.key) is line) for line in lines]
    return marked[::-1]


def _later(one: CorrectionLine, other: CorrectionLine) -> bool:
    assert one.adoption is not None
    assert other.adoption is not None
    return (one.facts.effective_from, one.adoption.decided_at) >= (
        other.facts.effective_from,
        other.adoption.decided_at,
    )
