"""The shapes of answers: decimals as strings, moments in UTC with a Z, units in the name."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from rest_framework.response import Response

from compaction import register
from compaction.actions.field_tests import Recorded
from compaction.facts import Outcome
from compaction.models import Decision
from compaction.queries import work_left
from compaction.queries.chains import failure_uuid
from compaction.queries.derivation import failed_kinds
from compaction.queries.display import in_display_units
from compaction.queries.rows import TestStory
from compaction.queries.set_up_lists import RevisionLine
from projects.access import Open
from projects.journal import HASHED_FIELDS, Receipt
from projects.models import JournalEvent, Project


def plain(value: Any) -> Any:
    """The JSON form of rows and facts."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f")
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return plain(value._asdict())
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, Iterable):
        return [plain(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no form in an answer.")


def receipt(given: Receipt | None) -> dict[str, Any] | None:
    """A receipt: the place in the journal that a record has for ever."""
    return None if given is None else given.plain()


def once(
    content: Mapping[str, Any], *, created: bool, location: str = "", headers: Mapping[str, str] | None = None
) -> Response:
    """The answer to what is put once under the client's id: 201 when it is made, 200 and a header when it was there."""
    if not created:
        return Response(content, headers={**(headers or {}), "Idempotent-Replay": "true"})
    return Response(content, status=201, headers={**(headers or {}), **({"Location": location} if location else {})})


def row(shown: register.TestRow) -> dict[str, Any]:
    """A test in a list, with the mark that map and lists show."""
    content: dict[str, Any] = plain(shown)
    content.pop("position", None)
    return {**content, "mark": register.mark(shown)}


def verdict(outcome: Outcome, project: Project) -> dict[str, Any]:
    """What follows from a record, whoever asks: result, reasons, figures."""
    return {
        "result": outcome.result,
        "basis": outcome.basis,
        "basis_reasons": list(outcome.basis_reasons),
        "criteria": plain(outcome.criteria),
        "figures": plain(outcome.figures),
        "display": in_display_units(outcome.figures, units=project.units),
        "findings": plain(outcome.findings),
    }


def holds(outcome: Outcome, still_open: Iterable[str]) -> list[dict[str, str]]:
    """The holds that nobody has released, each with its sentence."""
    sentences = {finding.code: finding.sentence for finding in outcome.holds}
    return [{"code": code, "sentence": sentences.get(code, "")} for code in still_open]


def recorded(opened: Open, done: Recorded, *, address: str) -> dict[str, Any]:
    """The answer to a test that was recorded just now; costs no statement."""
    test, derived = done.test, done.derived
    assert derived is not None
    opened_failures = [] if done.chain == "linked" else sorted(failed_kinds(derived.outcome))
    root = str(test.retest_of or test.client_uuid)
    return {
        "id": str(test.client_uuid),
        "receipt": receipt(done.receipt),
        "current": {
            "version": test.current_version,
            **verdict(derived.outcome, opened.project),
            "holds": holds(derived.outcome, test.open_holds.split()),
            "margin": test.margin,
            "voided": False,
            "reference": derived.reference,
            "specification": derived.specification,
            "chain": {
                "link": done.chain,
                "settled": False,
                "failures": [
                    {"uuid": str(failure_uuid(opened.project.uuid, root, kind)), "kind": kind, "state": "open"}
                    for kind in opened_failures
                ],
            },
            "stale": False,
        },
        "links": links(address),
    }


def told(opened: Open, story: TestStory, *, given: Receipt | None, address: str) -> dict[str, Any]:
    """The same answer from what is on record now."""
    shown = story.row
    keys = [key for key in (shown.uuid, shown.retest_of) if key]
    waiting = work_left.kinds_waiting(opened, keys)
    known = {relative.uuid for relative in story.relatives}
    link = "none" if not shown.retest_of else "linked" if shown.retest_of in known else "pending-parent"
    current_outcome = next(
        (item for item in reversed(story.outcomes) if item.test_version.version == shown.version), None
    )
    failures = [{"uuid": shown.failure_uuid, "state": shown.failure_state}] if shown.failure_uuid else []
    return {
        "id": shown.uuid,
        "receipt": receipt(given),
        "current": {
            "version": shown.version,
            **verdict(story.outcome, opened.project),
            "holds": holds(story.outcome, shown.open_holds),
            "margin": shown.margin,
            "voided": shown.voided,
            "reference": current_outcome.reference if current_outcome else "",
            "specification": current_outcome.specification if current_outcome else "",
            "chain": {"link": link, "settled": "chain" not in waiting, "failures": failures},
            "stale": bool({"test", "place"} & waiting),
        },
        "links": links(address),
    }


def links(address: str) -> dict[str, str]:
    """Where to go from a test."""
    return {
        "self": address,
        "amend": f"{address}/amendments/{{amendment}}",
        "void": f"{address}/voids/{{void}}",
        "release_hold": f"{address}/hold-releases/{{release}}",
    }


def decision(shown: Decision) -> dict[str, Any]:
    """A decision as it stands on record."""
    return {
        "id": str(shown.client_uuid),
        "subject_kind": shown.subject_kind,
        "subject": shown.subject,
        "meaning": shown.meaning,
        "detail": shown.detail,
        "reason_code": shown.reason_code,
        "reason": shown.reason,
        "person": shown.person,
        "second_person": shown.second_person,
        "basis_digest": shown.basis_digest,
        "decided_at": plain(shown.decided_at),
    }


def revision(line: RevisionLine) -> dict[str, Any]:
    """A revision of a reference or specification."""
    return {
        "code": line.code,
        "rev": line.rev,
        "title": line.title,
        "author": line.author,
        "received_at": plain(line.received_at),
        "reach": line.reach,
        "reason": line.reason,
        "approval": None if line.approval is None else decision(line.approval),
        "facts": plain(line.facts),
        "findings": plain(line.findings),
        "content": line.content,
    }


def event(shown: JournalEvent) -> dict[str, Any]:
    """A journal event with everything that its hash is made from; `body` is the text that was hashed."""
    names = [name for name in HASHED_FIELDS if name not in ("project", "event_id")] + ["hash"]
    return {"event_id": str(shown.event_id), **{name: getattr(shown, name) for name in names}}


def stored(text: str) -> Any:
    """Content kept as canonical JSON text."""
    return json.loads(text)
