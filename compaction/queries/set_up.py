"""Everything of a project that tests are judged by, read once and kept until the set-up number moves.

The number stands in the journal's head and is raised, in the same transaction, by every revision,
approval and change of the roster. Whoever writes a test compares the number once more under the lock
of the head (see `actions.field_tests`), so a set-up kept here can be old but never used unnoticed.
"""

import json
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from threading import Lock
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from compaction.calculations.quantities import UNITS, parse_quantity
from compaction.facts import ApparatusFacts, ReferenceFacts, SpecificationFacts
from compaction.models import ApparatusRecord, Decision, ReferenceRevision, SpecificationRevision
from compaction.records import reference, specification
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

    def reference(self, code: str, performed_at: datetime) -> ReferenceFacts | None:
        entry = self._reaching(self.references.get(code, []), performed_at)
        return entry.facts if entry else None

    def siblings(self, code: str, performed_at: datetime) -> tuple[ReferenceFacts, ...]:
        """The other references in force then, for "does another curve fit better?"."""
        found = (self.reference(other, performed_at) for other in sorted(self.references) if other != code)
        return tuple(facts for facts in found if facts is not None)

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
    return SetUp(
        project_id=project.pk,
        setup_seq=setup_seq,
        zone_info=project.zone_info,
        station_digits=2 if project.station_format == StationFormat.HUNDREDS else 3,
        epsg_code=project.epsg_code,
        vertical_datum=project.vertical_datum,
        references=_by_code(
            ReferenceRevision.objects.filter(project=project).order_by("code", "rev"),
            lambda row: reference_entry(row, approvals.get(("reference", f"{row.code}:{row.rev}"))),
        ),
        specifications=_by_code(
            SpecificationRevision.objects.filter(project=project).order_by("code", "rev"),
            lambda row: specification_entry(row, approvals.get(("specification", f"{row.code}:{row.rev}"))),
        ),
        alignments=_by_code(AlignmentRevision.objects.filter(project=project).order_by("code", "rev"), _alignment),
        areas=_by_code(AreaRevision.objects.filter(project=project).order_by("code", "rev"), _area),
        apparatus=_apparatus(project),
        roster=roster,
    )


def reference_entry(row: ReferenceRevision, approved_at: datetime | None) -> ReferenceEntry:
    record = reference.read(json.loads(row.content), code=row.code, rev=row.rev, approved=approved_at is not None)
    return ReferenceEntry(row.rev, row.reach, row.effective_from, approved_at, record.facts, record.soil)


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


def _apparatus(project: Project) -> dict[str, list[ApparatusFacts]]:
    found: dict[str, list[ApparatusFacts]] = {}
    for row in ApparatusRecord.objects.filter(project=project).order_by("serial", "rev"):
        values = {}
        for name, text in json.loads(row.values).items():
            unit = text.rpartition(" ")[2]
            kind = next(kind for kind, units in UNITS.items() if unit in units)
            values[name] = parse_quantity(text, kind)
        found.setdefault(row.serial, []).append(
            ApparatusFacts(row.serial, row.kind, row.valid_from, row.valid_until, values)
        )
    return found


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


def with_specification(set_up: SetUp, entry: SpecificationEntry) -> SetUp:
    """The same for a specification revision."""
    others = [item for item in set_up.specifications.get(entry.facts.code, []) if item.rev != entry.rev]
    specifications = {**set_up.specifications, entry.facts.code: sorted([*others, entry], key=lambda item: item.rev)}
    return replace(set_up, specifications=specifications, setup_seq=-1)
