"""Everything of a project that tests are judged by, read once and kept until the set-up number moves.

The number stands in the journal's head and is raised, in the same transaction, by every revision,
approval and change of the roster. Whoever writes a test compares the number once more under the lock
of the head (see `actions.field_tests`), so a set-up kept here can be old but never used unnoticed.
"""

import json
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from threading import Lock
from typing import Any, Protocol, TypeVar
from zoneinfo import ZoneInfo

from compaction.evaluation import gauge
from compaction.facts import Observation, ReferenceFacts, SpecificationFacts
from compaction.instrument_facts import ApparatusFacts, GaugeCorrectionFacts
from compaction.models import Decision, ReferenceRevision, SpecificationRevision
from compaction.queries import gauge_corrections, instruments, laboratory, lot_places
from compaction.queries.instruments import Instruments
from compaction.queries.laboratory import Laboratory
from compaction.records import kinds, specification
from compaction.records.sample import on_sample
from projects import canonical
from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, area_from_plain
from projects.models import AlignmentRevision, AreaRevision, Membership, Project, Reach, StationFormat

KEPT = 50


class Reaching(Protocol):
    """Something issued in revisions, each with its reach."""

    @property
    def rev(self) -> int: ...
    @property
    def reach(self) -> str: ...
    @property
    def effective_from(self) -> date | None: ...
    @property
    def approved_at(self) -> datetime | None: ...


@dataclass(frozen=True)
class ReferenceEntry:
    rev: int
    reach: str
    effective_from: date | None
    approved_at: datetime | None
    facts: ReferenceFacts
    soil: str


@dataclass(frozen=True)
class SpecificationEntry:
    rev: int
    reach: str
    effective_from: date | None
    approved_at: datetime | None
    facts: SpecificationFacts
    title: str


@dataclass(frozen=True)
class AlignmentEntry:
    rev: int
    reach: str
    effective_from: date | None
    approved_at: datetime | None
    name: str
    geometry: Alignment
    digest: str


@dataclass(frozen=True)
class AreaEntry:
    rev: int
    reach: str
    effective_from: date | None
    approved_at: datetime | None
    code: str
    name: str
    kind: str
    geometry: Area
    digest: str


Entry = TypeVar("Entry", bound=Reaching)


@dataclass(frozen=True)
class SetUp:
    """A project's set-up as of a number. Chooses the revision that reaches a test made at a moment."""

    project_id: int
    setup_seq: int
    zone_info: ZoneInfo
    station_digits: int
    epsg_code: int | None
    vertical_datum: str
    references: dict[str, list[ReferenceEntry]]
    specifications: dict[str, list[SpecificationEntry]]
    alignments: dict[str, list[AlignmentEntry]]
    areas: dict[str, list[AreaEntry]]
    apparatus: dict[str, list[ApparatusFacts]]
    roster: dict[str, list[tuple[date | None, date | None]]]
    instruments: Instruments = field(default_factory=Instruments)
    lots: tuple[lot_places.LotPlace, ...] = ()
    gauge_corrections: tuple[GaugeCorrectionFacts, ...] = ()  # adopted ones

    def reference(self, code: str, performed_at: datetime) -> ReferenceFacts | None:
        entry = self._reaching(self.references.get(code, []), performed_at)
        return entry.facts if entry else None

    def siblings(self, code: str, performed_at: datetime) -> tuple[ReferenceFacts, ...]:
        """The other curves in force then, for "does another curve fit better?"."""
        found = (self.reference(other, performed_at) for other in sorted(self.references) if other != code)
        return tuple(facts for facts in found if facts is not None and facts.kind == "moisture_density")

    def family(self, code: str, performed_at: datetime) -> tuple[ReferenceFacts, ...]:
        """The curves in force then of a family of curves; none where the code names no family."""
        family = self.reference(code, performed_at) if code else None
        members = (self.reference(member, performed_at) for member in (family.family if family else ()))
        return tuple(facts for facts in members if facts is not None and facts.kind == "moisture_density")

    def gauge_corrections_for(self, observed: Observation) -> tuple[GaugeCorrectionFacts, ...]:
        """The adopted correction in force for a gauge test, if any."""
        if not self.gauge_corrections:
            return ()
        day = observed.performed_at.astimezone(self.zone_info).date()
        found = gauge.in_force(self.gauge_corrections, gauge.key_of(observed), on=day)
        return () if found is None else (found,)

    def specification(self, zone: str, performed_at: datetime) -> SpecificationFacts | None:
        """The specification that names the zone, else the first one by code."""
        in_force = [
            entry.facts
            for code in sorted(self.specifications)
            if (entry := self._reaching(self.specifications[code], performed_at))
        ]
        for facts in in_force:
            if zone and any(criterion.zone == zone for criterion in facts.criteria):
                return facts
        return in_force[0] if in_force else None

    def alignments_at(self, performed_at: datetime) -> dict[str, Alignment]:
        chosen = {code: self._reaching(entries, performed_at) for code, entries in self.alignments.items()}
        return {code: entry.geometry for code, entry in chosen.items() if entry}

    def areas_at(self, performed_at: datetime) -> list[AreaEntry]:
        """Exempt areas first, then zones by code: the first that holds a point decides."""
        chosen = [self._reaching(entries, performed_at) for entries in self.areas.values()]
        return sorted((entry for entry in chosen if entry), key=lambda entry: (entry.kind != "exempt", entry.code))

    def geometry_digest(self, performed_at: datetime) -> str:
        """Names the geometry that a test made then is located on."""
        alignments = {
            code: entry.digest
            for code, entries in self.alignments.items()
            if (entry := self._reaching(entries, performed_at))
        }
        return canonical.digest(
            {
                "alignments": alignments,
                "areas": [[entry.code, entry.digest] for entry in self.areas_at(performed_at)],
                "epsg": self.epsg_code,
                "digits": self.station_digits,
            }
        )

    def on_roster(self, username: str, performed_at: datetime) -> bool:
        day = performed_at.astimezone(self.zone_info).date()
        return any(
            (since is None or since <= day) and (until is None or until >= day)
            for since, until in self.roster.get(username, [])
        )

    def _reaching(self, entries: Sequence[Entry], performed_at: datetime) -> Entry | None:
        """The highest approved revision that reaches the moment; without one, the newest not yet approved."""
        day = performed_at.astimezone(self.zone_info).date()

        def reaches(entry: Entry) -> bool:
            if entry.reach == Reach.FROM_DATE:
                return entry.effective_from is None or entry.effective_from <= day
            if entry.reach == Reach.PROSPECTIVE:
                return entry.approved_at is not None and entry.approved_at <= performed_at
            return True

        approved = [entry for entry in entries if entry.approved_at is not None]
        reached = [entry for entry in approved if reaches(entry)]
        pool = reached or approved[:1] or list(entries)
        return max(pool, key=lambda entry: entry.rev) if pool else None


_kept: OrderedDict[tuple[int, int], SetUp] = OrderedDict()
_lock = Lock()


def load(project: Project, *, setup_seq: int) -> SetUp:
    """The set-up under that number; seven statements the first time in a process, none afterwards."""
    key = (project.pk, setup_seq)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    fresh = read(project, setup_seq=setup_seq)
    with _lock:
        _kept[key] = fresh
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return fresh


def forget() -> None:
    """Empty the store: for tests, whose projects come and go under the same numbers."""
    with _lock:
        _kept.clear()


def read(project: Project, *, setup_seq: int) -> SetUp:
    """Read the set-up from the tables."""
    approvals: dict[tuple[str, str], datetime] = {
        (kind, subject): decided_at
        for kind, subject, decided_at in Decision.objects.filter(
            project=project, meaning="approved", subject_kind__in=["reference", "specification"]
        )
        .order_by("-decided_at")
        .values_list("subject_kind", "subject", "decided_at")
    }
    roster: dict[str, list[tuple[date | None, date | None]]] = {}
    for username, since, until in Membership.objects.filter(project=project).values_list(
        "user__username", "valid_from", "valid_until"
    ):
        roster.setdefault(username, []).append((since, until))
    apparatus_rows = instruments.apparatus_rows(project)
    apparatus = instruments.apparatus_facts(apparatus_rows)
    bench = laboratory.read(project.pk, apparatus)
    return SetUp(
        project_id=project.pk,
        setup_seq=setup_seq,
        zone_info=project.zone_info,
        station_digits=2 if project.station_format == StationFormat.HUNDREDS else 3,
        epsg_code=project.epsg_code,
        vertical_datum=project.vertical_datum,
        references=_by_code(
            ReferenceRevision.objects.filter(project=project).order_by("code", "rev"),
            lambda row: reference_entry(row, approvals.get(("reference", f"{row.code}:{row.rev}")), bench),
        ),
        specifications=_by_code(
            SpecificationRevision.objects.filter(project=project).order_by("code", "rev"),
            lambda row: specification_entry(row, approvals.get(("specification", f"{row.code}:{row.rev}"))),
        ),
        alignments=_by_code(AlignmentRevision.objects.filter(project=project).order_by("code", "rev"), _alignment),
        areas=_by_code(AreaRevision.objects.filter(project=project).order_by("code", "rev"), _area),
        apparatus=apparatus,
        roster=roster,
        instruments=instruments.read(project, apparatus_rows),
        lots=lot_places.read(project),
        gauge_corrections=gauge_corrections.adopted(project),
    )


def reference_entry(
    row: ReferenceRevision, approved_at: datetime | None, bench: Laboratory | None = None
) -> ReferenceEntry:
    """A revision with its sample's soil facts; `bench` saves reading samples and moulds once more."""
    bench = laboratory.read(row.project_id) if bench is None else bench
    record = kinds.read(
        json.loads(row.content), code=row.code, rev=row.rev, approved=approved_at is not None, moulds=bench.moulds
    )
    facts = on_sample(record.facts, bench.soils.get(record.sample))
    return ReferenceEntry(row.rev, row.reach, row.effective_from, approved_at, facts, record.soil)


def specification_entry(row: SpecificationRevision, approved_at: datetime | None) -> SpecificationEntry:
    record = specification.read(json.loads(row.content), code=row.code, rev=row.rev, approved=approved_at is not None)
    return SpecificationEntry(row.rev, row.reach, row.effective_from, approved_at, record.facts, record.title)


def _alignment(row: AlignmentRevision) -> AlignmentEntry:
    geometry = Alignment.from_plain(json.loads(row.content))
    return AlignmentEntry(row.rev, row.reach, row.effective_from, row.created_at, row.name, geometry, row.digest)


def _area(row: AreaRevision) -> AreaEntry:
    geometry = area_from_plain(json.loads(row.content))
    return AreaEntry(
        row.rev, row.reach, row.effective_from, row.created_at, row.code, row.name, row.kind, geometry, row.digest
    )


def _by_code(rows, make: Callable) -> dict:
    found: dict = {}
    for row in rows:
        found.setdefault(row.code, []).append(make(row))
    return found


def with_reference(set_up: SetUp, entry: ReferenceEntry) -> SetUp:
    """The set-up as it would be with this revision approved: what a preview evaluates under."""
    others = [item for item in set_up.references.get(entry.facts.code, []) if item.rev != entry.rev]
    references = {**set_up.references, entry.facts.code: sorted([*others, entry], key=lambda item: item.rev)}
    return replace(set_up, references=references, setup_seq=-1)


def with_alignment(set_up: SetUp, code: str, content: dict[str, Any], *, at: datetime, digest: str) -> SetUp:
    """The set-up as it would be with this content as the next revision of an alignment."""
    known = set_up.alignments.get(code, [])
    entry = AlignmentEntry(len(known) + 1, Reach.ALL, None, at, code, Alignment.from_plain(content), digest)
    return replace(set_up, alignments={**set_up.alignments, code: [*known, entry]}, setup_seq=-1)


def with_area(set_up: SetUp, code: str, content: dict[str, Any], *, at: datetime, digest: str) -> SetUp:
    """The same for an area."""
    known, area = set_up.areas.get(code, []), area_from_plain(content)
    entry = AreaEntry(len(known) + 1, Reach.ALL, None, at, code, area.name, area.kind, area, digest)
    return replace(set_up, areas={**set_up.areas, code: [*known, entry]}, setup_seq=-1)


def with_gauge_correction(set_up: SetUp, facts: GaugeCorrectionFacts) -> SetUp:
    """The set-up as it would be with this correction adopted."""
    others = tuple(one for one in set_up.gauge_corrections if one.ident != facts.ident)
    return replace(set_up, gauge_corrections=(*others, facts), setup_seq=-1)


def with_specification(set_up: SetUp, entry: SpecificationEntry) -> SetUp:
    """The same for a specification revision."""
    others = [item for item in set_up.specifications.get(entry.facts.code, []) if item.rev != entry.rev]
    specifications = {**set_up.specifications, entry.facts.code: sorted([*others, entry], key=lambda item: item.rev)}
    return replace(set_up, specifications=specifications, setup_seq=-1)
