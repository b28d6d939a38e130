"""What happens on the site, as the service is told of it: one event for each call of an action."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from compaction.demo import site
from compaction.demo.instruments import Shown

NAMESPACE = uuid.UUID("5b0f6d0e-93c1-4c55-9d0a-2f7f3a1c8e47")


def identity(seed: int, *parts: object) -> uuid.UUID:
    """The same id for the same thing of the same scenario."""
    return uuid.uuid5(NAMESPACE, " ".join(map(str, (seed, *parts))))


@dataclass(frozen=True)
class Event:
    """Somebody sends something at a moment.

    `subject` is a code or serial number, or the id of the test in question (the failing one for reworks and
    rulings); `failure_kind` names which of its failures is meant.
    """

    at: datetime
    by: str
    kind: str
    id: uuid.UUID
    body: Mapping[str, Any] = field(default_factory=dict)
    subject: str = ""
    rev: int = 0
    failure_kind: str = ""


@dataclass
class FieldTest:
    """A test as planned: where, when, by whom, what the instrument shows, and what it fails when it arrives."""

    id: uuid.UUID
    section: site.Section
    lift: int
    performed_at: datetime
    received_at: datetime
    technician: str
    station_ft: int
    offset_ft: int
    reference: str
    shown: Shown
    fails: frozenset[str]
    oversize_pct: int | None = None
    oven: Shown | None = None  # the same test with the laboratory's water content
    place: dict[str, Any] = field(default_factory=dict)  # elevation or depth, satellite fix
    more: dict[str, Any] = field(default_factory=dict)
    posted: dict[str, Any] = field(default_factory=dict)  # what the first version says otherwise, before it is amended
    purpose: str = "acceptance"
    retest_of: "FieldTest | None" = None
    check_of: "FieldTest | None" = None
    label: str = ""

    @property
    def name(self) -> str:
        """The number on the sheet: the original's, with a letter and a count for a retest or check."""
        if self.retest_of is not None:
            root, attempt = self.retest_of, 1
            while root.retest_of is not None:
                root, attempt = root.retest_of, attempt + 1
            return f"{root.name}R{attempt}"
        if self.check_of is not None:
            return f"{self.check_of.name}C"
        return self.label

    def body(self, *, shown: Shown | None = None, **changes: Any) -> dict[str, Any]:
        """What the crew sends; `shown` instead of the first reading, `changes` over the rest."""
        body: dict[str, Any] = {
            "performed_at": self.performed_at.isoformat(),
            "label": self.name,
            "technician": self.technician,
            "purpose": self.purpose,
            **(shown or self.shown).members,
            "reference": self.reference,
            "reference_basis": "visual",
            "position": {
                "alignment": "dike",
                "station": station_text(self.station_ft),
                "offset": offset_text(self.offset_ft),
                **self.place,
            },
            "lift": self.lift,
            "lift_thickness": "8 in",
        }
        if self.oversize_pct is not None:
            body["oversize"] = {"sieve": "three_quarters", "basis": "this_hole", "percent": f"{self.oversize_pct} %"}
        if self.retest_of is not None:
            body["retest_of"] = str(self.retest_of.id)
        if self.check_of is not None:
            body["check_of"] = str(self.check_of.id)
        return {**body, **self.more, **changes}


def station_text(station_ft: int) -> str:
    """Stations of one hundred feet: 12+34."""
    return f"{station_ft // 100}+{station_ft % 100:02d}"


def offset_text(offset_ft: int) -> str:
    """Whole feet with the side: 15 L, 8 R, 0 on the line."""
    return "0" if offset_ft == 0 else f"{abs(offset_ft)} {'L' if offset_ft < 0 else 'R'}"
