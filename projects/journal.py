"""Append an event to a project's journal. Says nothing about what the subject is.

hash = SHA-256(domain tag, then every field in a fixed order with its byte length before it, the
previous hash last). Lengths in front keep two different events from ever giving the same bytes.
The head row is locked here, as the last lock of the transaction: call this last.
"""

import hashlib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from projects import canonical
from projects.models import JournalEvent, JournalHead, Project

SCHEMA_VERSION = 1
DOMAIN = b"project journal event v1\n"
HASHED_FIELDS = (
    "project",
    "seq",
    "event_id",
    "schema_version",
    "kind",
    "subject_kind",
    "subject",
    "subject_version",
    "body",
    "body_sha256",
    "actor_kind",
    "actor",
    "acting_person",
    "performed_at",
    "received_at",
    "reason_code",
    "reason",
    "request_id",
    "app_version",
    "prev_hash",
)
APP_VERSION = "0.1.0"


@dataclass(frozen=True)
class Actor:
    """Who does something: a person at a page, a device key (with the person it belongs to), or a job."""

    kind: str  # person | key | job
    ident: str  # user name, public id of the key, or name of the job
    person: str = ""  # the user name behind it
    request_id: str = ""


@dataclass(frozen=True)
class Receipt:
    """What a client keeps to show later that the record was here, then, in this place of the chain."""

    project: str
    seq: int
    hash: str
    version: int
    received_at: str

    def plain(self) -> dict[str, Any]:
        return {
            "project": self.project,
            "seq": self.seq,
            "hash": self.hash,
            "version": self.version,
            "received_at": self.received_at,
        }


@dataclass(frozen=True)
class Entry:
    """An event to be written. `body` is the whole content, so that a replay needs nothing else."""

    kind: str
    subject_kind: str
    subject: str
    body: Mapping[str, Any]
    subject_version: int = 0
    performed_at: str = ""
    reason_code: str = ""
    reason: str = ""
    changes_setup: bool = False


def timestamp(moment: datetime) -> str:
    """UTC with microseconds and a Z: the one spelling that is hashed."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def event_hash(fields: Mapping[str, Any]) -> str:
    """The hash of an event from its fields (see the module's first lines)."""
    digest = hashlib.sha256(DOMAIN)
    for name in HASHED_FIELDS:
        value = str(fields[name]).encode("utf-8")
        digest.update(len(value).to_bytes(8, "big"))
        digest.update(value)
    return digest.hexdigest()


def append(*, project: Project, actor: Actor, entries: list[Entry], now: datetime) -> tuple[list[Receipt], int]:
    """Write events under one lock of the head; returns their receipts and the set-up number found there.

    Three statements whatever the number of events. The caller compares the set-up number with the
    one it evaluated under: if they differ, what it derived is already stale and must be marked.
    """
    head = JournalHead.objects.select_for_update().get(project=project)
    setup_found = head.setup_seq
    received_at = timestamp(now)
    events = []
    for entry in entries:
        head.seq += 1
        body = canonical.text(entry.body)
        fields = {
            "project": str(project.uuid),
            "seq": head.seq,
            "event_id": uuid.uuid4(),
            "schema_version": SCHEMA_VERSION,
            "kind": entry.kind,
            "subject_kind": entry.subject_kind,
            "subject": entry.subject,
            "subject_version": entry.subject_version,
            "body": body,
            "body_sha256": hashlib.sha256(body.encode("utf-8")).hexdigest(),
            "actor_kind": actor.kind,
            "actor": actor.ident,
            "acting_person": actor.person,
            "performed_at": entry.performed_at,
            "received_at": received_at,
            "reason_code": entry.reason_code,
            "reason": entry.reason,
            "request_id": actor.request_id,
            "app_version": APP_VERSION,
            "prev_hash": head.hash,
        }
        head.hash = event_hash(fields)
        if entry.changes_setup:
            head.setup_seq = head.seq
        events.append(JournalEvent(**{**fields, "project": project}, hash=head.hash))
    JournalEvent.objects.bulk_create(events)
    head.save(update_fields=["seq", "hash", "setup_seq"])
    return [receipt_of(event) for event in events], setup_found


def receipt_of(event: JournalEvent) -> Receipt:
    return Receipt(
        project=event.project.code,
        seq=event.seq,
        hash=event.hash,
        version=event.subject_version,
        received_at=event.received_at,
    )


def events_after(project: Project, *, seq: int, limit: int) -> list[JournalEvent]:
    """Events behind a number, in their order."""
    return list(JournalEvent.objects.filter(project=project, seq__gt=seq).order_by("seq")[:limit])


@dataclass(frozen=True)
class Break:
    """Where the chain does not hold, and how it shows."""

    project: str
    seq: int
    what: str


def verify(project: Project) -> list[Break]:
    """Walk the chain from its start: gaps, altered bodies, altered fields, a head that disagrees."""
    breaks: list[Break] = []
    expected_seq, previous = 1, "0" * 64
    for event in JournalEvent.objects.filter(project=project).order_by("seq").iterator(chunk_size=2000):
        if event.seq != expected_seq:
            breaks.append(Break(project.code, expected_seq, f"event {expected_seq} is missing"))
            expected_seq = event.seq
        if hashlib.sha256(event.body.encode("utf-8")).hexdigest() != event.body_sha256:
            breaks.append(Break(project.code, event.seq, "the body was altered"))
        fields = {name: getattr(event, name) for name in HASHED_FIELDS if name != "project"}
        if event.prev_hash != previous or event_hash({**fields, "project": str(project.uuid)}) != event.hash:
            breaks.append(Break(project.code, event.seq, "the hash does not follow from the fields"))
        previous, expected_seq = event.hash, expected_seq + 1
    head = JournalHead.objects.get(project=project)
    if (head.seq, head.hash) != (expected_seq - 1, previous):
        breaks.append(Break(project.code, head.seq, "the head disagrees with the last event"))
    return breaks
