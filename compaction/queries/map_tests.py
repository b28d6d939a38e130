"""Tests as the map draws them, read lean: one row of plain values each, floats for figures that are only looked at.

The whole of a test is read when its mark is opened; 20,000 of them must not be read to draw marks.
"""

from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import F, FloatField
from django.db.models.functions import Cast, Coalesce

from compaction.models import FailureTest, Test
from compaction.register import MapTest
from projects.access import Open

_FIGURES = (
    ("percent_compaction_judged", "percent_compaction"),
    ("percent_compaction_minimum",),
    ("relative_density_judged", "relative_density_pct"),
    ("relative_density_minimum",),
)


def read(opened: Open, *, lift: int | None, degrees: bool) -> list[MapTest]:
    """Tests of a lift (of all lifts with None), the newest first. Two statements."""
    rows = Test.objects.filter(project=opened.project)
    if opened.only_own:
        rows = rows.filter(device=opened.actor.ident)
    if lift is not None:
        rows = rows.filter(lift=lift)
    places = ("longitude", "latitude") if degrees else ("easting_m", "northing_m")
    values = rows.order_by("-performed_at", "-id").values_list(
        "client_uuid", "label", "performed_at", "lift", "result", "basis", "open_holds", "voided", "retest_of",
        "station_text", "offset_text", *(Cast(F(name), FloatField()) for name in places),
        *(Cast(Coalesce(*names) if len(names) > 1 else F(names[0]), FloatField()) for names in _FIGURES),
    )  # fmt: skip
    links = _failures(opened)
    return [MapTest(*row, *links.get(row[0], ())) for row in values]


class ProfileTest(NamedTuple):
    """One test as the profile draws it; metres."""

    station_m: float
    elevation_m: float | None
    result: str
    basis: str
    open_holds: str
    voided: bool
    failure_state: str = ""
    buried: bool = False


def on_line(opened: Open, *, alignment: str, lift: int | None) -> list[ProfileTest]:
    """Tests that have a station on an alignment, in order of time. Two statements."""
    rows = Test.objects.filter(project=opened.project, alignment=alignment, station_m__isnull=False)
    if lift is not None:
        rows = rows.filter(lift=lift)
    links = _failures(opened)
    values = rows.order_by("performed_at", "id").values_list(
        "client_uuid", Cast(F("station_m"), FloatField()), Cast(F("elevation_m"), FloatField()), "result", "basis",
        "open_holds", "voided",
    )  # fmt: skip
    found = []
    for uuid, station_m, elevation_m, result, basis, holds, voided in values:
        _, state, buried, _ = links.get(uuid, (None, "", False, 0))
        found.append(ProfileTest(station_m, elevation_m, result, basis, holds, voided, state, buried))
    return found


def _failures(opened: Open) -> dict[UUID, tuple[UUID, str, bool, int]]:
    """Test -> its failure as `queries.rows` chooses among several: a buried one first, then an open one."""
    found: dict[UUID, tuple[Any, ...]] = {}
    links = FailureTest.objects.filter(failure__project=opened.project)
    for test, uuid, state, buried, attempt in links.order_by("failure__opened_at", "failure__uuid").values_list(
        "test_uuid", "failure__uuid", "failure__state", "failure__buried", "attempt"
    ):
        known = found.get(test)
        if known is None or _gravity(state, buried=buried) > _gravity(known[1], buried=known[2]):
            found[test] = (uuid, state, buried, attempt)
    return found


def _gravity(state: str, *, buried: bool) -> tuple[bool, bool]:
    return buried, state in ("open", "reworked")
