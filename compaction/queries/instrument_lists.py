"""Instruments, counts and certificates as pages and the API list them, with what is due and what has run out."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from uuid import UUID

from compaction.calculations import count_stability
from compaction.calculations.errors import CalculationError
from compaction.calculations.standard_count_log import CountRule, JudgedCount
from compaction.facts import Finding
from compaction.instrument_facts import CertificateFacts
from compaction.models import ApparatusRecord, OperatorCertificate, StandardCount
from compaction.queries import instruments
from compaction.records import apparatus, certificates, standard_counts
from compaction.records.apparatus_parts import Upkeep
from projects.access import Open

IN_DATE, DUE_SOON, OUT_OF_DATE, NOT_YET = "in_date", "due_soon", "out_of_date", "not_yet"
STATE_WORDS: Final = {
    IN_DATE: "in date",
    DUE_SOON: "due soon",
    OUT_OF_DATE: "out of date",
    NOT_YET: "not in force yet",
}
#: "Due soon" is this many days before the end; of what lasts two months or less, three days (common practice).
SOON_DAYS, SOON_OF_SHORT_DAYS, SHORT_DAYS = 14, 3, 62


@dataclass(frozen=True)
class RecordLine:
    """One record of an instrument as entered."""

    rev: int
    author: str
    received_at: datetime
    record: apparatus.ApparatusRecord


@dataclass(frozen=True)
class DueLine:
    """Upkeep that is due on a day, with its state."""

    upkeep: Upkeep
    state: str


@dataclass(frozen=True)
class InstrumentLine:
    """An instrument with its records, the newest last, and its state on a day."""

    serial: str
    kind: str
    name: str
    state: str
    valid_until: date | None
    records: tuple[RecordLine, ...]
    due: tuple[DueLine, ...]

    @property
    def newest(self) -> RecordLine:
        """The record entered last."""
        return self.records[-1]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the newest record shows against itself."""
        return self.newest.record.findings

    @property
    def worst(self) -> str:
        """The worst state of its calibration and its upkeep."""
        states = {self.state, *(item.state for item in self.due)}
        return next(state for state in (OUT_OF_DATE, DUE_SOON, NOT_YET, IN_DATE) if state in states)


def instrument_list(opened: Open, *, today: date) -> dict[str, InstrumentLine]:
    """Serial number -> instrument, by serial number. One statement."""
    found: dict[str, list[RecordLine]] = {}
    for row in instruments.apparatus_rows(opened.project):
        found.setdefault(row.serial, []).append(_line(row))
    return {serial: _instrument(serial, lines, today) for serial, lines in found.items()}


def _line(row: ApparatusRecord) -> RecordLine:
    return RecordLine(row.rev, row.author, row.received_at, instruments.record_of(row))


def _instrument(serial: str, lines: list[RecordLine], today: date) -> InstrumentLine:
    newest = lines[-1].record
    periods = [(line.record.valid_from, line.record.valid_until) for line in lines]
    begun = [(since, until) for since, until in periods if since <= today]
    running = [(since, until) for since, until in begun if until is None or until >= today]
    if not begun:
        state, until = NOT_YET, None
    elif running:
        since, until = max(running, key=lambda period: period[1] or date.max)
        state = state_on(today, since=since, until=until)
    else:
        state, until = OUT_OF_DATE, max(until for _, until in begun if until is not None)
    return InstrumentLine(serial, newest.kind, newest.name, state, until, tuple(lines), _due(lines, today))


def state_on(today: date, *, since: date | None, until: date | None) -> str:
    """The state of something that lasts until a day."""
    if until is None:
        return IN_DATE
    if until < today:
        return OUT_OF_DATE
    short = since is not None and (until - since).days <= SHORT_DAYS
    return DUE_SOON if until - today <= timedelta(days=SOON_OF_SHORT_DAYS if short else SOON_DAYS) else IN_DATE


def _due(lines: Iterable[RecordLine], today: date) -> tuple[DueLine, ...]:
    """Of each kind of upkeep what was entered last, where it says when it is due."""
    last: dict[str, Upkeep] = {}
    for line in lines:
        for item in line.record.upkeep:
            last[item.what] = item
    return tuple(
        DueLine(item, state_on(today, since=item.done_on, until=item.due_on))
        for item in sorted(last.values(), key=lambda item: item.due_on or date.max)
        if item.due_on is not None
    )


# ---- counts --------------------------------------------------------------------------------------
@dataclass(frozen=True)
class CountLine:
    """Counts of a gauge as entered: judged if they are a standard count, else looked at for scatter."""

    uuid: UUID
    record: standard_counts.StandardCountRecord
    author: str
    received_at: datetime
    judged: JudgedCount | None = None
    stability: tuple[Finding, ...] = ()
    ratio: str = ""
    replaced: bool = False

    @property
    def accepted(self) -> bool | None:
        """Whether it stands; None for what is not judged (a stability check without enough counts, or replaced)."""
        if self.judged is not None:
            return self.judged.accepted
        return not self.stability if self.ratio else None

    @property
    def sentence(self) -> str:
        """Why, in words."""
        if self.replaced:
            return "Replaced by a later record."
        if self.judged is not None:
            return self.judged.sentence
        if self.stability:
            return " ".join(finding.sentence for finding in self.stability)
        return f"The counts scatter {self.ratio} times as much as chance alone, as they should." if self.ratio else ""


def count_list(opened: Open, *, serial: str = "") -> list[CountLine]:
    """Counts of a gauge, or of all, in time. Two statements."""
    rows = StandardCount.objects.filter(project=opened.project).order_by("id")
    rows = rows.filter(serial=serial) if serial else rows
    read = {row.client_uuid: (row, standard_counts.read(json.loads(row.content))) for row in rows}
    judged = instruments.judged_counts(
        {key: record for key, (_, record) in read.items()}, rules=rules(opened), zone=opened.project.zone_info
    )
    verdicts = {key: verdict for log in judged.values() for key, verdict in log}
    gone = {record.replaces for _, record in read.values()}
    lines = []
    for key, (row, record) in read.items():
        findings, ratio = _stability(record)
        lines.append(
            CountLine(key, record, row.author, row.received_at, verdicts.get(key), findings, ratio, key in gone)
        )
    return sorted(lines, key=lambda line: (line.record.serial, line.record.taken_at, str(line.uuid)))


def rules(opened: Open) -> dict[str, list[tuple[date, CountRule | None]]]:
    """Serial number -> rules of the counts of its gauges."""
    return instruments.count_rules(instruments.apparatus_rows(opened.project))


def _stability(record: standard_counts.StandardCountRecord) -> tuple[tuple[Finding, ...], str]:
    if record.purpose != standard_counts.STABILITY:
        return (), ""
    findings: list[Finding] = []
    ratios = []
    for counts in (record.density_counts, record.moisture_counts):
        if not counts:
            continue
        try:
            found = count_stability.stability(counts, prescale=record.prescale)
        except CalculationError as error:
            findings.append(Finding(error.code, "validity", error.sentence))
            continue
        ratios.append(f"{found.ratio:.2f}")
        findings.extend(count_stability.stability_findings(found))
    return tuple(findings), " and ".join(ratios)


# ---- certificates --------------------------------------------------------------------------------
@dataclass(frozen=True)
class CertificateLine:
    """A certificate as entered, with its state on a day."""

    uuid: UUID
    facts: CertificateFacts
    issuer: str
    number: str
    remarks: str
    state: str
    replaced: bool
    author: str
    received_at: datetime


def certificate_list(opened: Open, *, today: date) -> list[CertificateLine]:
    """Every certificate, by person and subject. One statement."""
    rows = list(OperatorCertificate.objects.filter(project=opened.project))
    gone = {row.replaces for row in rows}
    lines = []
    for row in rows:
        record = certificates.read(json.loads(row.content))
        facts = record.facts
        state = (
            NOT_YET if facts.valid_from > today else state_on(today, since=facts.valid_from, until=facts.valid_until)
        )
        lines.append(
            CertificateLine(
                uuid=row.client_uuid,
                facts=facts,
                issuer=record.issuer,
                number=record.number,
                remarks=record.remarks,
                state=state,
                replaced=row.client_uuid in gone,
                author=row.author,
                received_at=row.received_at,
            )
        )
    return lines
