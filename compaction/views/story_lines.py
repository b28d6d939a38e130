"""A record and its versions as lines that people read: member by member, old beside new."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from compaction.actions.amendments import REASONS
from compaction.queries.rows import TestStory


@dataclass(frozen=True)
class VersionLine:
    """One version with what differs from the one before."""

    version: int
    author: str
    received_at: datetime
    reason_code: str
    reason: str
    sha256: str
    changes: list[tuple[str, str, str]]
    receipt: str


def flat(content: Mapping[str, Any], prefix: str = "") -> list[tuple[str, str]]:
    """Every member of a record with its place in words and its value as written."""
    lines: list[tuple[str, str]] = []
    for name, value in content.items():
        label = f"{prefix}{name.replace('_', ' ')}"
        if isinstance(value, Mapping):
            lines += flat(value, f"{label}: ")
        elif isinstance(value, list):
            for number, item in enumerate(value, start=1):
                place = f"{label} {number}"
                lines += flat(item, f"{place}: ") if isinstance(item, Mapping) else [(place, _written(item))]
        else:
            lines.append((label, _written(value)))
    return lines


def _written(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def versions(told: TestStory) -> list[VersionLine]:
    """The versions, newest first."""
    receipts = {
        event.subject_version: f"{event.seq} · {event.hash}"
        for event in told.events
        if event.subject_kind == "test" and event.kind in ("test.recorded", "test.amended")
    }
    lines: list[VersionLine] = []
    before: dict[str, str] = {}
    for row in told.versions:
        now = dict(flat(json.loads(row.content)))
        changes = [
            (place, before.get(place, ""), now.get(place, ""))
            for place in dict.fromkeys([*before, *now])
            if before.get(place) != now.get(place)
        ]
        lines.append(
            VersionLine(
                version=row.version,
                author=row.author,
                received_at=row.received_at,
                reason_code=REASONS.get(row.reason_code, row.reason_code),
                reason=row.reason,
                sha256=row.content_sha256,
                changes=changes if row.version > 1 else [],
                receipt=receipts.get(row.version, ""),
            )
        )
        before = now
    return lines[::-1]
