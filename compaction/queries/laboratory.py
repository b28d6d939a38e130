"""Samples and moulds of a project, by which references are worked out; samples as pages and the API list them."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from compaction.facts import SoilFacts
from compaction.instrument_facts import ApparatusFacts
from compaction.models import ApparatusRecord, ReferenceRevision
from compaction.models.samples import SampleRevision
from compaction.queries import instruments
from compaction.records import bench_work, sample
from compaction.records.bench_work import Mould
from compaction.records.sample import SampleRecord
from projects import canonical
from projects.access import Open


@dataclass(frozen=True)
class Laboratory:
    """By code the newest of each sample and its soil facts, by serial number the volume and mass of a mould."""

    samples: Mapping[str, SampleRecord] = field(default_factory=dict)
    soils: Mapping[str, SoilFacts] = field(default_factory=dict)
    moulds: Mapping[str, Mould] = field(default_factory=dict)


@dataclass(frozen=True)
class SampleLine:
    """One revision of a sample with what follows from it."""

    code: str
    rev: int
    author: str
    received_at: datetime
    record: SampleRecord
    content: dict[str, Any]


def read(project_id: int, apparatus: Mapping[str, Sequence[ApparatusFacts]] | None = None) -> Laboratory:
    """The newest revision of every sample and the register of moulds; two statements, or one with the apparatus."""
    if apparatus is None:
        rows = list(ApparatusRecord.objects.filter(project=project_id, kind="mould").order_by("serial", "rev"))
        apparatus = instruments.apparatus_facts(rows)
    newest = {row.code: row for row in SampleRevision.objects.filter(project=project_id).order_by("code", "rev")}
    samples = {code: _record(row) for code, row in newest.items()}
    soils = {code: record.facts for code, record in samples.items()}
    return Laboratory(samples, soils, bench_work.moulds(apparatus))


def sample_list(opened: Open) -> dict[str, list[SampleLine]]:
    """Code -> revisions, oldest first."""
    found: dict[str, list[SampleLine]] = {}
    for row in SampleRevision.objects.filter(project=opened.project).order_by("code", "rev"):
        line = SampleLine(row.code, row.rev, row.author, row.received_at, _record(row), json.loads(row.content))
        found.setdefault(row.code, []).append(line)
    return found


def references_of(project_id: int, code: str) -> list[str]:
    """The codes of the references of which a revision, whichever, names the sample."""
    naming = '"sample":' + canonical.text(code)
    rows = ReferenceRevision.objects.filter(project=project_id, content__contains=naming)
    return sorted(set(rows.values_list("code", flat=True)))


def _record(row: SampleRevision) -> SampleRecord:
    return sample.read(json.loads(row.content), code=row.code, rev=row.rev)
