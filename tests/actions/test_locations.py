"""Drawing locations, substituting one, ticking them off as tests arrive."""

import json
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from compaction.actions import locations, placements, substitutions
from compaction.actions.kept import Kept
from compaction.actions.refusals import ContentConflict, NotCurrent, Refused
from compaction.calculations.errors import ReadingsError
from compaction.coverage.draws import uniform
from compaction.models import LocationDraw, LocationSubstitution, Test
from compaction.queries.locations import GroupPlan, group_plan
from projects.access import NotAllowed
from projects.geometry.station_format import StationFormat
from projects.models import JournalEvent
from tests import builders
from tests.builders import Site

pytestmark = pytest.mark.django_db
DRAW = {"area": "core", "lift": 4, "tests": 3, "edge_margin": "2 ft", "done_within": "5 ft"}
FOOT = 0.3048


@pytest.fixture
def site(site: Site) -> Site:
    """With 900 ft of lift 4, 40 ft wide."""
    place(site)
    return site


def place(site: Site, **changes: Any) -> None:
    body = {
        "area": "core", "lift": 4, "placed_at": "2026-06-03T08:00:00-06:00", "alignment": "main",
        "station_from": "11+00", "station_to": "20+00", "offset_from": "20 L", "offset_to": "20 R",
        "elevation_top": "5101.5 ft",
    }  # fmt: skip
    placements.record(opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body={**body, **changes}, now=site.now)


def draw(site: Site, as_: str = "s.hale", id_: uuid.UUID | None = None, **changes: Any) -> LocationDraw:
    body = {**DRAW, **changes}
    return locations.draw(
        opened=site.opened(as_), client_uuid=id_ or uuid.uuid4(), body=body, now=site.now, seed="4c1d"
    ).row


def plan_of(site: Site) -> GroupPlan:
    found = group_plan(site.opened(), "core", 4)
    assert found is not None
    return found


def test_at(site: Site, station_m: float, offset_m: float, **changes: Any) -> uuid.UUID:
    feet, right = station_m / FOOT, offset_m / FOOT
    position = {
        "alignment": "main",
        "station": StationFormat(2).text(Decimal(f"{feet:.2f}")),
        "offset": f"{abs(right):.2f} {'L' if right < 0 else 'R'}",
    }
    id_ = uuid.uuid4()
    site.post(builders.gauge_body(position=position, **changes), id_=id_)
    return id_


test_at.__test__ = False  # type: ignore[attr-defined]


def test_a_draw_puts_one_place_in_each_cell_and_keeps_how(site: Site) -> None:
    row = draw(site)
    drawn = json.loads(row.drawn)
    assert (row.seed, row.algorithm, row.author) == ("4c1d", "sha256-counter-1", "s.hale")
    assert [one["cell"] for one in drawn["locations"]] == [1, 2, 3]
    for number, one in enumerate(drawn["locations"]):
        start = (1100 + 300 * number) * FOOT
        assert float(one["u1"]) == uniform("4c1d", cell=number + 1, attempt=0, axis=1)
        assert float(one["station_m"]) == pytest.approx(start + float(one["u1"]) * 300 * FOOT, abs=1e-3)
        assert float(one["offset_m"]) == pytest.approx((-18 + float(one["u2"]) * 36) * FOOT, abs=1e-3)
        assert one["elevation_m"] == "1554.9372"
    [event] = JournalEvent.objects.filter(kind="locations.drawn")
    assert json.loads(event.body)["drawn"] == drawn


def test_the_same_again_changes_nothing_and_other_content_is_a_conflict(site: Site) -> None:
    id_ = uuid.uuid4()
    first = locations.draw(opened=site.opened("t.moss"), client_uuid=id_, body=DRAW, now=site.now)
    again = locations.draw(opened=site.opened("t.moss"), client_uuid=id_, body=DRAW, now=site.now)
    assert (first.created, again.created, again.receipt) == (True, False, first.receipt)
    assert len(first.row.seed) == 16
    with pytest.raises(ContentConflict):
        locations.draw(opened=site.opened("t.moss"), client_uuid=id_, body={**DRAW, "tests": 4}, now=site.now)


def test_it_is_drawn_again_only_with_a_reason(site: Site) -> None:
    first = draw(site)
    with pytest.raises(NotCurrent, match=f"Draw {first.client_uuid} is in force here"):
        draw(site)
    with pytest.raises(ReadingsError) as refused:
        draw(site, replaces=str(first.client_uuid))
    assert [one.pointer for one in refused.value.errors] == ["/reason_code", "/reason"]
    why = {"reason_code": "number_changed", "reason": "The engineer asks for four."}
    second = draw(site, tests=4, replaces=str(first.client_uuid), **why)
    assert [row.pk for row in plan_of(site).draws] == [first.pk, second.pk]
    with pytest.raises(NotCurrent):
        draw(site, replaces=str(first.client_uuid), **why)


def test_nothing_is_drawn_before_fill_is_placed_or_without_a_number(site: Site) -> None:
    with pytest.raises(Refused, match="locations are drawn after it is placed"):
        draw(site, lift=5)
    place(site, lift=6, placed_at="2026-06-03T13:00:00-06:00")  # an hour after the moment of the draw
    with pytest.raises(Refused, match="locations are drawn after it is placed"):
        draw(site, lift=6)
    with pytest.raises(ReadingsError, match="How many tests are required here is not known"):
        locations.draw(
            opened=site.opened(), client_uuid=uuid.uuid4(), now=site.now,
            body={name: value for name, value in DRAW.items() if name != "tests"},
        )  # fmt: skip
    with pytest.raises(ReadingsError, match="leaves nothing of cell 1"):
        draw(site, edge_margin="25 ft")
    with pytest.raises(NotAllowed):
        draw(site, as_="c.pike")


def test_locations_are_ticked_off_by_the_nearest_test(site: Site) -> None:
    draw(site)
    first, second, third = plan_of(site).locations
    near = test_at(site, first.station_m + 1, first.offset_m, label="31")
    nearer = test_at(site, first.station_m + 0.5, first.offset_m, label="32")
    in_the_cell = test_at(site, second.station_m + 20, second.offset_m, label="33")
    found = plan_of(site)
    assert [line.state for line in found.locations] == ["done", "cell_tested", "open"]
    assert found.locations[0].ticked.test == str(nearer)
    assert found.locations[0].ticked.distance_m == pytest.approx(0.5, abs=0.01)
    assert found.locations[1].ticked.test == str(in_the_cell)
    assert [cell.state for cell in found.cells] == ["tested", "tested", "untested"]
    assert set(found.cells[0].tests) == {str(near), str(nearer)}
    assert found.next_open is not None
    assert found.next_open.uuid == third.uuid
    test_at(site, third.station_m, third.offset_m, retest_of=str(near))
    assert plan_of(site).locations[2].state == "open"


def test_a_test_may_name_its_location(site: Site) -> None:
    draw(site)
    first, second, _ = plan_of(site).locations
    named = test_at(site, second.station_m, second.offset_m, location=first.uuid)
    found = plan_of(site)
    assert (found.locations[0].ticked.test, found.locations[0].ticked.named) == (str(named), True)
    assert found.locations[1].state == "cell_tested"


def test_naming_a_location_moves_no_digest(site: Site) -> None:
    plain, named = uuid.uuid4(), uuid.uuid4()
    site.post(builders.gauge_body(), id_=plain)
    site.post(builders.gauge_body(location=str(uuid.uuid4())), id_=named)
    one, other = (Test.objects.get(client_uuid=id_) for id_ in (plain, named))
    assert (one.inputs_digest, one.outcome_digest) == (other.inputs_digest, other.outcome_digest)


def substitute(site: Site, row: LocationDraw, location: str, **body: Any) -> Kept[LocationSubstitution]:
    return substitutions.substitute(
        opened=site.opened("t.moss"), draw_uuid=row.client_uuid, location=uuid.UUID(location),
        client_uuid=uuid.uuid4(), body={"reason_code": "structure", "reason": "A pipe.", **body}, now=site.now,
    )  # fmt: skip


def test_a_substitute_is_drawn_in_the_same_cell_and_the_first_place_is_kept(site: Site) -> None:
    row = draw(site)
    before = plan_of(site).locations[1]
    substitute(site, row, before.uuid)
    after = plan_of(site).locations[1]
    assert after.uuid == before.uuid
    assert (after.attempt, after.reason_code, after.reason) == (1, "structure", "A pipe.")
    assert float(after.u1) == uniform("4c1d", cell=2, attempt=1, axis=1)
    assert 1400 * FOOT <= after.station_m <= 1700 * FOOT
    assert float(after.instead_of[0]["station_m"]) == before.station_m
    substitute(site, row, before.uuid, reason_code="water")
    assert [len(plan_of(site).locations[1].instead_of), plan_of(site).locations[1].attempt] == [2, 2]


def test_a_stated_substitute_stays_in_its_cell(site: Site) -> None:
    row = draw(site)
    line = plan_of(site).locations[0]
    with pytest.raises(Refused, match="is not in cell 1"):
        substitute(site, row, line.uuid, station="18+00", offset="5 L")
    substitute(site, row, line.uuid, station="12+00", offset="5 L")
    moved = plan_of(site).locations[0]
    assert (moved.station_m, moved.offset_m, moved.u1) == (pytest.approx(365.76), pytest.approx(-1.524), "")
    test_at(site, moved.station_m, moved.offset_m)
    with pytest.raises(Refused, match="Test 101 was made there already"):
        substitute(site, row, line.uuid)


def test_fill_placed_since_asks_for_another_draw(site: Site) -> None:
    row = draw(site)
    place(site, station_from="20+00", station_to="23+00")
    found = plan_of(site)
    assert found.fill_changed
    with pytest.raises(NotCurrent, match="draw again first"):
        substitute(site, row, found.locations[0].uuid)
    why = {"reason_code": "fill_placed_since", "reason": "300 ft more in the afternoon."}
    draw(site, tests=4, replaces=str(row.client_uuid), **why)
    assert [round(cell.station_to_m / FOOT) for cell in plan_of(site).cells] == [1400, 1700, 2000, 2300]


def test_draws_and_substitutions_are_only_ever_added(site: Site) -> None:
    row = draw(site)
    with pytest.raises(DatabaseError), transaction.atomic():
        LocationDraw.objects.filter(pk=row.pk).update(seed="other")
