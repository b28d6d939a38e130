"""Instruments, standard counts and certificates as evaluations use them: part of a project's set-up."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, Any
from uuid import UUID
from zoneinfo import ZoneInfo

from compaction.calculations import standard_count_log
from compaction.calculations.standard_count_log import Count, CountRule, JudgedCount
from compaction.instrument_facts import ApparatusFacts, CertificateFacts, StandardCountFacts
from compaction.models import ApparatusRecord, OperatorCertificate, StandardCount
from compaction.records import apparatus, apparatus_parts, certificates, standard_counts
from compaction.records.certificates import CertificateRecord
from compaction.records.standard_counts import STANDARD, StandardCountRecord
from projects.models import Project

if TYPE_CHECKING:
    from compaction.queries.set_up import SetUp

Rules = Mapping[str, Sequence[tuple[date, CountRule | None]]]


@dataclass(frozen=True)
class Instruments:
    """What the project keeps besides the registered records: counts judged in time, certificates in force.

    `taken` and `held` are the records as read, by id, from which a preview makes the same with one more.
    """

    counts: Mapping[str, tuple[StandardCountFacts, ...]] = field(default_factory=dict)
    certificates: tuple[CertificateFacts, ...] = ()
    taken: Mapping[UUID, StandardCountRecord] = field(default_factory=dict)
    held: Mapping[UUID, CertificateRecord] = field(default_factory=dict)
    rules: Rules = field(default_factory=dict)
    zone: ZoneInfo | None = None


def apparatus_rows(project: Project) -> list[ApparatusRecord]:
    """Every record of every instrument, by serial number, the oldest first."""
    return list(ApparatusRecord.objects.filter(project=project).order_by("serial", "rev"))


def record_of(row: ApparatusRecord) -> apparatus.ApparatusRecord:
    """A stored record as read; one from before contents were kept has its period and values only."""
    if row.content:
        return apparatus.read(json.loads(row.content), serial=row.serial)
    return apparatus.ApparatusRecord(
        row.serial, row.kind, row.name, row.valid_from, row.valid_until, json.loads(row.values)
    )


def apparatus_facts(rows: Iterable[ApparatusRecord]) -> dict[str, list[ApparatusFacts]]:
    """Serial number -> facts of its records, the oldest first."""
    found: dict[str, list[ApparatusFacts]] = {}
    for row in rows:
        if row.content:
            facts = record_of(row).facts(rev=row.rev)
        else:
            values = {name: apparatus_parts.value_of(text) for name, text in json.loads(row.values).items()}
            facts = ApparatusFacts(row.serial, row.kind, row.valid_from, row.valid_until, values)
        found.setdefault(row.serial, []).append(facts)
    return found


def count_rules(rows: Iterable[ApparatusRecord]) -> dict[str, list[tuple[date, CountRule | None]]]:
    """Serial number -> (first day, rule of its counts) of each record of a gauge."""
    found: dict[str, list[tuple[date, CountRule | None]]] = {}
    for row in rows:
        if row.kind == "nuclear_gauge":
            found.setdefault(row.serial, []).append((row.valid_from, record_of(row).count_rule))
    return found


def read(project: Project, rows: Iterable[ApparatusRecord]) -> Instruments:
    """Counts and certificates of a project, judged under the rules of its gauges. Two statements."""
    taken = {
        key: standard_counts.read(json.loads(text))
        for key, text in StandardCount.objects.filter(project=project)
        .order_by("id")
        .values_list("client_uuid", "content")
    }
    held = {
        key: certificates.read(json.loads(text))
        for key, text in OperatorCertificate.objects.filter(project=project)
        .order_by("id")
        .values_list("client_uuid", "content")
    }
    return made_of(taken, held, rules=count_rules(rows), zone=project.zone_info)


def made_of(
    taken: Mapping[UUID, StandardCountRecord],
    held: Mapping[UUID, CertificateRecord],
    *,
    rules: Rules,
    zone: ZoneInfo | None,
) -> Instruments:
    """The counts judged and the certificates that count."""
    counts = {
        serial: tuple(_facts(serial, one) for _, one in judged)
        for serial, judged in judged_counts(taken, rules=rules, zone=zone).items()
    }
    gone = {one.replaces for one in held.values()}
    in_force = tuple(one.facts for key, one in held.items() if key not in gone)
    return Instruments(counts, in_force, taken, held, rules, zone)


def judged_counts(
    taken: Mapping[UUID, StandardCountRecord], *, rules: Rules, zone: ZoneInfo | None
) -> dict[str, list[tuple[UUID, JudgedCount]]]:
    """Serial number -> each standard count with its verdict, in the order in which they were taken."""
    gone = {one.replaces for one in taken.values()}
    chosen = [
        (one.serial, one.taken_at, str(key), key, one)
        for key, one in taken.items()
        if one.purpose == STANDARD and key not in gone
    ]
    found = {}
    for serial, group in groupby(sorted(chosen, key=lambda item: item[:3]), key=lambda item: item[0]):
        part = list(group)
        log = [
            Count(
                taken_at := moment.astimezone(zone) if zone else moment,
                one.density_counts,
                one.moisture_counts,
                rule_on(rules.get(serial, ()), taken_at.date()),
            )
            for _, moment, _, _, one in part
        ]
        found[serial] = list(zip([item[3] for item in part], standard_count_log.judge(log), strict=True))
    return found


def rule_on(rules: Sequence[tuple[date, CountRule | None]], day: date) -> CountRule:
    """The rule of the newest record of the gauge that had begun on the day; else that of the standard."""
    begun = [rule for since, rule in rules if since <= day]
    return begun[-1] or standard_count_log.DEFAULT_RULE if begun else standard_count_log.DEFAULT_RULE


def _facts(serial: str, one: JudgedCount) -> StandardCountFacts:
    return StandardCountFacts(
        serial=serial,
        taken_at=one.count.taken_at,
        density_counts=one.count.density_counts,
        moisture_counts=one.count.moisture_counts,
        accepted=one.accepted,
        serves_days=one.count.rule.interval_days,
    )


# ---- the set-up as it would be -------------------------------------------------------------------
def with_record(set_up: "SetUp", record: apparatus.ApparatusRecord, *, rev: int) -> "SetUp":
    """With one more record of an instrument."""
    serial, before = record.serial, set_up.instruments
    facts = {**set_up.apparatus, serial: [*set_up.apparatus.get(serial, []), record.facts(rev=rev)]}
    rules: dict[str, Any] = dict(before.rules)
    if record.kind == "nuclear_gauge":
        rules[serial] = [*rules.get(serial, ()), (record.valid_from, record.count_rule)]
    after = made_of(before.taken, before.held, rules=rules, zone=before.zone)
    return replace(set_up, apparatus=facts, instruments=after, setup_seq=-1)


def with_count(set_up: "SetUp", key: UUID, record: StandardCountRecord) -> "SetUp":
    """With one more count of a gauge."""
    before = set_up.instruments
    after = made_of({**before.taken, key: record}, before.held, rules=before.rules, zone=before.zone)
    return replace(set_up, instruments=after, setup_seq=-1)


def with_certificate(set_up: "SetUp", key: UUID, record: CertificateRecord) -> "SetUp":
    """With one more certificate."""
    before = set_up.instruments
    after = made_of(before.taken, {**before.held, key: record}, rules=before.rules, zone=before.zone)
    return replace(set_up, instruments=after, setup_seq=-1)


def content_of_newest(project: Project, serial: str) -> dict[str, Any]:
    """The newest record of an instrument as it was written; only its values where the content was not kept yet."""
    row = ApparatusRecord.objects.filter(project=project, serial=serial).order_by("-rev").first()
    if row is None:
        return {}
    found: dict[str, Any] = json.loads(row.content) if row.content else {"values": json.loads(row.values)}
    return found
