"""What the table of lifts by station is drawn from, read lean: a page with 20,000 tests must not wait for it.

Figures and which tests count are those that the sweep keeps (`queries.coverage`); here comes only where they lie.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import UUID

from django.db.models import BooleanField, CharField, ExpressionWrapper, F, FloatField, Q
from django.db.models.functions import Cast

from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Covered, Placed, Tested
from compaction.models import Failure, PlacementVersion, Test
from compaction.queries.coverage import lift_rows
from projects.access import Open

Group = tuple[str, int]
_ENDS = ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m")
_OPEN = ("open", "reworked")


@dataclass(frozen=True)
class Held:
    """Groups, and by group what is placed and tested in it. Here placements know no zone, ids of tests no dashes."""

    groups: list[Covered] = field(default_factory=list)
    placed: Mapping[Group, Sequence[Placed]] = field(default_factory=dict)
    tested: Mapping[Group, Sequence[Tested]] = field(default_factory=dict)

    def on(self, alignment: str, area: str = "") -> tuple[list[Placed], list[Tested]]:
        """Fill and tests with a station on an alignment, of one area or of all."""
        placed = [one for (of, _), rows in self.placed.items() if area in ("", of) for one in rows]
        tested = [one for (of, _), rows in self.tested.items() if area in ("", of) for one in rows]
        return (
            [one for one in placed if one.alignment == alignment],
            [one for one in tested if one.alignment == alignment and one.station_m is not None],
        )

    def extent_m(self, alignment: str, area: str = "") -> tuple[float, float] | None:
        """The first and the last station with fill or a test."""
        placed, tested = self.on(alignment, area)
        ends = [end for one in placed for end in (one.station_from_m, one.station_to_m)]
        ends += [one.station_m for one in tested if one.station_m is not None]
        return (min(ends), max(ends)) if ends else None


def read(opened: Open, *, elevations: bool = False) -> Held:
    """Every lift with its fill and tests; heights only where they are asked for. Four statements."""
    groups = lift_rows(opened)
    exempt = {(one.area, one.lift) for one in groups if is_exempt(one)}
    placed = _placements(opened, exempt)
    groups = [replace(one, tests=tuple(uuid.replace("-", "") for uuid in one.tests)) for one in groups]
    counting = {uuid: (one.area, one.lift) for one in groups for uuid in one.tests}
    where = Placements(placed)
    tested: dict[Group, list[Tested]] = defaultdict(list)
    outlines = any(one.outline for one in placed)
    for test in _tests(opened, elevations=elevations, outlines=outlines):
        group = counting.get(test.uuid)
        if group is None and (test.buried or test.failure_open or test.result == "fail"):
            group = where.group_of(test)  # counts for nothing, and has to be seen all the same
        if group is not None:
            tested[group].append(test)
    return Held(groups, _by_group(placed), tested)


def is_exempt(group: Covered) -> bool:
    """Whether nothing is asked for: no rule was counted, and still the number is known to be none."""
    return group.required == 0 and not group.counts


def _by_group(placed: Iterable[Placed]) -> dict[Group, list[Placed]]:
    found: dict[Group, list[Placed]] = defaultdict(list)
    for one in placed:
        found[one.area, one.lift].append(one)
    return found


def _placements(opened: Open, exempt: set[Group]) -> list[Placed]:
    columns = (
        "client_uuid", "area", "lift", "placed_at", "alignment", "thickness_m", "elevation_top_m", "limits",
    )  # fmt: skip
    rows = PlacementVersion.objects.filter(project=opened.project).order_by("client_uuid", "version")
    current: dict[UUID, tuple[Any, ...]] = {row[0]: row for row in rows.values_list(*columns)}
    zone = opened.project.zone_info
    found = []
    for uuid, area, lift, placed_at, alignment, thickness_m, top_m, text in current.values():
        limits = json.loads(text)
        ends = [float(limits[name]) for name in _ENDS] if "station_from_m" in limits else [0.0] * 4
        found.append(
            Placed(
                str(uuid), area, lift, placed_at, placed_at.astimezone(zone).date(), alignment,
                station_from_m=ends[0], station_to_m=ends[1], offset_from_m=ends[2], offset_to_m=ends[3],
                thickness_m=thickness_m, elevation_top_m=top_m, exempt=(area, lift) in exempt,
                outline=tuple((float(x), float(y)) for x, y in limits.get("polygon_m", ())),
            )
        )  # fmt: skip
    return found


def _tests(opened: Open, *, elevations: bool, outlines: bool) -> Iterable[Tested]:
    """Without label and method: which tests count is known already. Ids come as text, which is half the time."""
    failures = _failures(opened)
    names = [
        ("station_m", "offset_m"),
        ("easting_m", "northing_m") if outlines else (),
        ("elevation_m",) if elevations else (),
    ]
    wanted = [name for part in names for name in part]
    rows = Test.objects.filter(project=opened.project, lift__isnull=False).values_list(
        Cast(F("client_uuid"), CharField()), "performed_at", "zone", "lift", "purpose", "result", "open_holds",
        "voided", "exempt", "alignment",
        ExpressionWrapper(Q(retest_of__isnull=True, check_of__isnull=True), output_field=BooleanField()),
        *(Cast(F(name), FloatField()) for name in wanted),
    )  # fmt: skip
    for text, at, area, lift, purpose, result, holds, voided, exempt, line, original, *place in rows.order_by("id"):
        uuid = text.replace("-", "")
        state, buried = failures.get(uuid, ("", False))
        yield Tested(
            uuid, "", at, at.date(), area, lift, "", purpose,
            "pending" if result.startswith("pending") else result, original=bool(original), held=bool(holds),
            voided=voided, exempt=exempt, failure_state=state if result == "fail" else "", buried=buried,
            alignment=line, **dict(zip(wanted, place, strict=True)),
        )  # fmt: skip


def _failures(opened: Open) -> dict[str, tuple[str, bool]]:
    """Failing test -> the state of its failure, an open one before others, and whether one is buried."""
    found: dict[str, tuple[str, bool]] = {}
    rows = Failure.objects.filter(project=opened.project).order_by("opened_at", "uuid")
    for root, state, buried in rows.values_list("root_test", "state", "buried"):
        known = found.get(root.hex)
        if known is not None:
            state, buried = (known[0] if known[0] in _OPEN else state), buried or known[1]
        found[root.hex] = (state, buried)
    return found
