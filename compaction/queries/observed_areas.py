"""Proof rolls and observed areas for lists, the map, a lift's page and the API. They stand beside densities."""

import json
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from compaction.calculations.quantities import parse_quantity
from compaction.models import ObservedArea, SpecificationRevision
from compaction.queries import set_up
from compaction.records.observed_area import OBSERVED, STABLE
from projects.access import Open


@dataclass(frozen=True)
class ObservedAreaRow:
    """One record. `accepted`: an area that cannot be tested, where the approved specification takes observation.

    `replaced`: another record stands in its place.
    """

    uuid: str
    kind: str
    area: str
    lift: int | None
    observed_at: datetime
    alignment: str
    station_from: str
    station_to: str
    offset_from: str
    offset_to: str
    limits: str  # canonical JSON, see `projects.geometry.areas`
    equipment: str
    passes: int
    verdict: str
    deflection_m: Decimal | None
    reason_code: str
    watched_by: str
    watched: str
    remarks: str
    author: str
    replaced: bool
    accepted: bool
    specification: str  # code and revision that takes the observation, empty if none does

    @property
    def sound(self) -> bool:
        """Nothing moved under the roller, or nothing was rolled."""
        return self.verdict in ("", STABLE)


def rows(
    opened: Open, *, area: str | None = None, lift: int | None = None, uuid: str | None = None
) -> list[ObservedAreaRow]:
    """Every record, or those of an area, of a lift, or one; the newest first. Three statements."""
    everything = ObservedArea.objects.filter(project=opened.project)
    chosen = everything
    if area is not None:
        chosen = chosen.filter(area=area)
    if lift is not None:
        chosen = chosen.filter(lift=lift)
    if uuid is not None:
        chosen = chosen.filter(client_uuid=uuid)
    replaced = set(everything.filter(replaces__isnull=False).values_list("replaces", flat=True))
    accepting = _accepting(opened)
    return [
        _row(row, row.client_uuid in replaced, _takes(opened, row, accepting))
        for row in chosen.order_by("-observed_at", "-id")
    ]


def _accepting(opened: Open) -> dict[tuple[str, int], list[str]]:
    """Specification revision -> the areas in which it takes observation in place of densities."""
    found = {}
    revisions = SpecificationRevision.objects.filter(project=opened.project)
    for code, rev, content in revisions.values_list("code", "rev", "content"):
        areas = json.loads(content).get("observation_accepts")
        if areas:
            found[code, rev] = areas
    return found


def _takes(opened: Open, row: ObservedArea, accepting: dict[tuple[str, int], list[str]]) -> str:
    if not accepting or row.kind != OBSERVED:
        return ""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    facts = under.specification(row.area, row.observed_at)
    if facts is None or not facts.approved or row.area not in accepting.get((facts.code, facts.rev), ()):
        return ""
    return f"{facts.code} rev {facts.rev}"


def _row(row: ObservedArea, replaced: bool, specification: str) -> ObservedAreaRow:
    body: dict[str, Any] = json.loads(row.content)
    depth = body.get("deflection")
    return ObservedAreaRow(
        uuid=str(row.client_uuid),
        kind=row.kind,
        area=row.area,
        lift=row.lift,
        observed_at=row.observed_at,
        alignment=row.alignment,
        station_from=body["station_from"],
        station_to=body["station_to"],
        offset_from=body["offset_from"],
        offset_to=body["offset_to"],
        limits=row.limits,
        equipment=body["equipment"],
        passes=body["passes"],
        verdict=row.verdict,
        deflection_m=None if depth is None else parse_quantity(depth, "length"),
        reason_code=body.get("reason_code", ""),
        watched_by=body["watched_by"],
        watched=body.get("watched", ""),
        remarks=body.get("remarks", ""),
        author=row.author,
        replaced=replaced,
        accepted=bool(specification) and not replaced,
        specification=specification,
    )
