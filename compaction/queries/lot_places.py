"""Where the declared lots lie: kept with the set-up, so that a posted test finds its lots without a statement."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from compaction.models import LotRevision, Test
from compaction.queries.cover import spot_of
from projects.geometry.areas import Area, area_from_plain
from projects.models import Project


@dataclass(frozen=True)
class LotPlace:
    """The place of a lot's newest revision: zone, lifts, and outlines on the geometry of the declaration."""

    code: str
    zone: str = ""
    lift_from: int | None = None
    lift_to: int | None = None
    outlines: tuple[Area, ...] = ()

    def holds(self, test: Test) -> bool:
        """Whether a test was made there; one without a lift or a position is not, where that is asked for."""
        if self.zone and test.zone != self.zone:
            return False
        if self.lift_from is not None and (
            test.lift is None or self.lift_to is None or not self.lift_from <= test.lift <= self.lift_to
        ):
            return False
        return all(outline.contains(spot_of(test)) is True for outline in self.outlines)


def place_of(row: LotRevision) -> LotPlace:
    """The place that a revision declares."""
    body = json.loads(row.content)
    lift_from = body.get("lift_from")
    return LotPlace(
        code=row.code,
        zone=body.get("zone", ""),
        lift_from=None if lift_from is None else int(lift_from),
        lift_to=None if lift_from is None else int(body.get("lift_to", lift_from)),
        outlines=tuple(area_from_plain(outline) for outline in json.loads(row.outlines)),
    )


def read(project: Project) -> tuple[LotPlace, ...]:
    """The places of every lot's newest revision. One statement."""
    newest: dict[str, LotRevision] = {}
    for row in LotRevision.objects.filter(project=project).order_by("code", "rev"):
        newest[row.code] = row
    return tuple(place_of(row) for row in newest.values())


def codes_at(places: Iterable[LotPlace], tests: Iterable[Test]) -> set[str]:
    """The lots at whose place any of the tests was made."""
    made = list(tests)
    return {place.code for place in places if any(place.holds(test) for test in made)}
