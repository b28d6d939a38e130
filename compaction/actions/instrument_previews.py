"""What a record of an instrument, a standard count or a certificate would change, before anybody saves it."""

import json
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from compaction.actions import apparatus, certificates, standard_counts
from compaction.actions.reassessment import BATCH, Change, evaluate
from compaction.actions.relocation import current_versions
from compaction.models import Test
from compaction.queries import instrument_use, instruments, set_up
from compaction.records.certificates import read as read_certificate
from compaction.records.standard_counts import read as read_count
from projects.access import Open


@dataclass(frozen=True)
class FindingChange:
    """One test that changes: findings that it gets and loses, holds among those it gets, and its result."""

    change: Change
    gained: tuple[str, ...]
    lost: tuple[str, ...]
    held: tuple[str, ...]


@dataclass(frozen=True)
class InstrumentPreview:
    """Counts and rows of a record that has not been saved. `used` are the tests that it is about."""

    used: int
    gain: int
    lose: int
    held: int
    result_changes: int
    rows: tuple[FindingChange, ...]

    @property
    def sentence(self) -> str:
        """The whole in one sentence."""
        uses = "1 test uses it" if self.used == 1 else f"{self.used} tests use it"
        gets = "1 gets a finding" if self.gain == 1 else f"{self.gain} get a finding"
        loses = "1 loses one" if self.lose == 1 else f"{self.lose} lose one"
        held = f", {self.held} of them held until released" if self.held else ""
        results = "no result changes" if not self.result_changes else f"results that change: {self.result_changes}"
        return f"{uses}; {gets}{held}; {loses}; {results}."


def preview_record(*, opened: Open, serial: str, rev: int, body: Mapping[str, Any], now: datetime) -> InstrumentPreview:
    """Of a record of an instrument. Raises what `apparatus.register` raises."""
    record = apparatus.read_record(body, serial=serial)
    apparatus.check_next(opened, serial, rev)
    under = instruments.with_record(_current(opened), record, rev=rev)
    serials = instrument_use.reached_through(opened.project, serial, belongs_to=record.belongs_to)
    return _preview(
        instrument_use.those_naming(opened.project, serials),
        under,
        lambda content: any(instrument_use.names(content, one) for one in serials),
    )


def preview_count(*, opened: Open, body: Mapping[str, Any], now: datetime) -> InstrumentPreview:
    """Of a standard count. Raises what `standard_counts.enter` raises."""
    record = read_count(body)
    since = standard_counts.since_when(opened, record)
    under = instruments.with_count(_current(opened), uuid.UUID(int=0), record)
    return _preview(
        instrument_use.those_since(opened.project, record.serial, since=since),
        under,
        lambda content: instrument_use.names(content, record.serial),
    )


def preview_certificate(*, opened: Open, body: Mapping[str, Any], now: datetime) -> InstrumentPreview:
    """Of a certificate. Raises what `certificates.enter` raises."""
    record = read_certificate(body)
    reached = certificates.tests_reached(opened, record)
    under = instruments.with_certificate(_current(opened), uuid.UUID(int=0), record)
    return _preview(reached, under, lambda content: True)


def _current(opened: Open) -> set_up.SetUp:
    return set_up.load(opened.project, setup_seq=opened.setup_seq)


def _preview(
    chosen: QuerySet[Test], under: set_up.SetUp, uses: Callable[[Mapping[str, Any]], bool]
) -> InstrumentPreview:
    tests = list(chosen.filter(voided=False).order_by("performed_at", "id"))
    used = 0
    rows: list[FindingChange] = []
    for start in range(0, len(tests), BATCH):
        part = tests[start : start + BATCH]
        versions = current_versions(part)
        using = [test for test in part if uses(json.loads(versions[test.pk].content))]
        used += len(using)
        rows.extend(row for change in evaluate(using, under=under) if (row := _row(change)) is not None)
    return InstrumentPreview(
        used=used,
        gain=sum(1 for row in rows if row.gained),
        lose=sum(1 for row in rows if row.lost),
        held=sum(1 for row in rows if row.held),
        result_changes=sum(1 for row in rows if row.change.result_changes),
        rows=tuple(rows),
    )


def _row(change: Change) -> FindingChange | None:
    before = set(change.test.finding_codes.split())
    after = {finding.code for finding in change.derived.outcome.findings}
    if before == after and not change.result_changes and change.basis_before == change.basis_after:
        return None
    holds = {finding.code for finding in change.derived.outcome.holds}
    return FindingChange(
        change=change,
        gained=tuple(sorted(after - before)),
        lost=tuple(sorted(before - after)),
        held=tuple(sorted((after - before) & holds)),
    )
