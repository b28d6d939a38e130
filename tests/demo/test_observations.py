"""The demo's copied sheet, its proof roll and its rock fill: seen by the supervisor, counted by nobody."""

import pytest

from compaction.demo import site
from compaction.queries import observed_areas, supervision
from tests.demo.conftest import Loaded

pytestmark = pytest.mark.django_db


def test_the_copied_sheet_is_the_only_repetition_of_five_weeks(loaded: Loaded) -> None:
    opened = loaded.player.opened(site.SUPERVISOR)
    found = [one for day in supervision.days(opened) for one in supervision.on_day(opened, day)]
    [repeated] = [one for one in found if one.finding.kind == "repeated"]
    assert (repeated.finding.code, len(repeated.tests)) == ("sheet-repeated", 4)
    assert {loaded.tests[uuid].result for uuid, _ in repeated.tests} == {"pass"}
    assert [one for one in found if one.finding.kind in ("pace", "gauge-twice", "no-count", "fixes")] == []


def test_the_roll_pumped_and_the_rock_was_only_watched(loaded: Loaded) -> None:
    rows = {row.kind: row for row in observed_areas.rows(loaded.opened, area="South reach", lift=6)}
    assert (rows["proof_roll"].verdict, rows["proof_roll"].sound) == ("pumping", False)
    assert rows["observed_only"].reason_code == "rock_fill"
    assert not any(row.accepted for row in rows.values())
