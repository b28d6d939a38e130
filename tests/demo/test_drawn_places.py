"""The demo's drawn lifts: one tested but for two cells tested elsewhere, one begun this morning with a substitution."""

import pytest

from compaction.models import LocationDraw
from compaction.queries.locations import GroupPlan, group_plan
from tests.demo.conftest import Loaded

pytestmark = pytest.mark.django_db


def plan_of(loaded: Loaded, area: str) -> GroupPlan:
    found = group_plan(loaded.opened, area, 12)
    assert found is not None
    return found


def test_yesterdays_lift_is_ticked_off(loaded: Loaded) -> None:
    plan = plan_of(loaded, "North reach")
    states = {line.cell: line.state for line in plan.locations}
    assert [cell for cell, state in states.items() if state == "done"] == [1, 2, 4, 5, 6, 8]
    assert [cell for cell, state in states.items() if state == "cell_tested"] == [3, 7]
    assert all((line.ticked.distance_m or 0) < 0.4 for line in plan.locations)  # whole feet


def test_this_mornings_lift_is_partly_done_with_a_substitute(loaded: Loaded) -> None:
    plan = plan_of(loaded, "Middle reach")
    states = [line.state for line in plan.locations]
    assert states[:2] == ["done", "done"]
    assert states.count("open") >= 4
    assert [line.cell for line in plan.locations if line.attempt] == [2]
    assert plan.locations[1].reason_code == "structure"
    assert not plan.fill_changed
    assert LocationDraw.objects.count() == 2
