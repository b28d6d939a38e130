"""Coverage kept with the records: what the sweep finds after each kind of change, signatures, reasons."""

import uuid
from datetime import timedelta
from typing import Any

import pytest

from compaction.actions import (
    amendments,
    coverage,
    coverage_settling,
    holds,
    placements,
    reassessment,
    specifications,
    sweep,
    voids,
)
from compaction.actions.refusals import ContentConflict, NotCurrent, Refused, Unknown
from compaction.calculations.errors import ReadingsError
from compaction.coverage.facts import Covered
from compaction.models import LiftCover, NotTested
from compaction.queries import coverage as coverage_queries
from compaction.queries.coverage_preview import preview
from projects.access import NotAllowed
from projects.models import StaleWork
from tests.builders import SPECIFICATION, Site, failing_body, gauge_body

ONE_PER_1000 = {"name": "fill", "counters": [{"basis": "volume", "interval": "1000 yd3"}]}


def with_rules(site: Site, *rules: dict[str, Any], rev: int = 2) -> None:
    """The next revision of the specification, approved, with frequency rules."""
    body = {**SPECIFICATION, "frequency": list(rules), "reason": "frequencies of the contract"}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=rev, body=body, now=site.now)
    specifications.approve(
        opened=site.opened(), code="S-1", rev=rev, client_uuid=uuid.uuid4(), body={"reason": "read"}, now=site.now
    )


def place(site: Site, lift: int = 4, *, id_: uuid.UUID | None = None, replaces: int = 0, **changes: Any) -> None:
    body = {
        "area": "Core",
        "lift": lift,
        "placed_at": f"2026-06-{lift - 2:02d}T08:00:00-06:00",
        "alignment": "main",
        "station_from": "12+00",
        "station_to": "13+00",
        "offset_from": "20 L",
        "offset_to": "20 R",
        "quantity": "2000 yd3",
    }
    body = {name: value for name, value in {**body, **changes}.items() if value is not None}
    placements.record(
        opened=site.opened("c.pike"), client_uuid=id_ or uuid.uuid4(), body=body, now=site.now, replaces=replaces
    )


def swept(site: Site, lift: int = 4) -> Covered:
    sweep.run_until_idle()
    story = coverage_queries.group(site.opened(), "Core", lift)
    assert story is not None
    return story.covered


@pytest.fixture
def fill(site: Site) -> Site:
    """A site whose fill asks for one test per 1,000 cubic yards, with lift 4 placed: two tests."""
    with_rules(site, ONE_PER_1000)
    place(site)
    return site


@pytest.mark.both_databases
def test_every_change_of_a_test_reaches_its_lift(fill: Site) -> None:
    assert (swept(fill).state, swept(fill).required) == ("open", 2)
    first, second, third = uuid.uuid4(), uuid.uuid4(), uuid.uuid4()
    fill.post(gauge_body(label="1"), id_=first)
    assert swept(fill).state == "short"
    fill.post(gauge_body(label="2"), id_=second)
    assert swept(fill).state == "released"
    fill.post(failing_body(label="3"), id_=third)
    assert (swept(fill).state, swept(fill).failing) == ("failed", 1)
    fill.post(gauge_body(label="3R", retest_of=str(third), performed_at="2026-06-03T10:15:00-06:00"))
    shown = swept(fill)
    assert (shown.state, shown.made, shown.retests) == ("released", 3, 1)
    amendments.amend(
        opened=fill.opened(),
        test_uuid=second,
        client_uuid=uuid.uuid4(),
        replaces=1,
        content=gauge_body(label="2", lift=5),
        reason_code="position",
        reason="It was the lift above.",
        raw="",
        now=fill.now,
    )
    voids.ask(
        opened=fill.opened("t.moss"),
        test_uuid=first,
        client_uuid=uuid.uuid4(),
        body={"reason_code": "entered-twice", "reason": "twice"},
        now=fill.now,
    )
    shown = swept(fill)
    assert (shown.state, shown.made, shown.short) == ("short", 1, 1)
    outside = [one for one in coverage_queries.lift_rows(fill.opened()) if one.lift == 5]
    assert [(one.area, one.made) for one in outside] == [("core", 1)]  # nothing is placed there yet: its zone has it
    assert coverage_settling.rebuild(fill.project) == []
    assert reassessment.rebuild_check(fill.project) == []


def test_a_pass_on_hold_counts_when_the_hold_is_released(fill: Site) -> None:
    id_ = uuid.uuid4()
    fill.post(gauge_body(performed_at="2026-06-03T18:00:00-06:00"), id_=id_)  # after it arrived: held
    assert (swept(fill).made, swept(fill).held) == (0, 1)
    holds.release(
        opened=fill.opened("s.hale"),
        test_uuid=id_,
        client_uuid=uuid.uuid4(),
        body={"hold": "made-in-the-future", "reason": "the phone's clock"},
        now=fill.now,
    )
    assert (swept(fill).made, swept(fill).held) == (1, 0)


def test_a_revision_of_the_rules_and_of_a_placement_is_worked_in(fill: Site) -> None:
    place(fill, 5, id_=(id_ := uuid.uuid4()))
    assert (swept(fill).above, swept(fill, 5).below) == ((5,), (4,))
    assert coverage_settling.rebuild(fill.project) == []
    with_rules(fill, {**ONE_PER_1000, "counters": [{"basis": "volume", "interval": "500 yd3"}]}, rev=3)
    assert swept(fill).required == 4
    place(fill, 5, id_=id_, replaces=1, station_from="14+00", station_to="15+00", quantity="100 yd3")
    assert (swept(fill).above, swept(fill, 5).below, swept(fill, 5).required) == ((), (), 1)
    place(fill, 6, id_=id_, replaces=2)
    assert coverage_queries.group(fill.opened(), "Core", 5) is not None
    sweep.run_until_idle()
    assert coverage_queries.group(fill.opened(), "Core", 5) is None  # nothing is left there
    assert coverage_settling.rebuild(fill.project) == []


def test_an_unreleased_lift_and_a_buried_failure_are_loud(fill: Site) -> None:
    fill.post(failing_body(label="1"))
    place(fill, 5, placed_at="2026-06-03T12:00:00-06:00")
    sweep.run_until_idle()
    assert [(one.lift, one.buried, one.over_unreleased) for one in coverage_queries.loud(fill.opened())] == [
        (4, 1, False),
        (5, 0, True),
    ]


def test_a_test_touches_its_own_lift_and_the_next(fill: Site) -> None:
    for lift in range(5, 10):
        place(fill, lift)
    sweep.run_until_idle()
    fill.now += timedelta(hours=1)
    before = dict(LiftCover.objects.values_list("lift", "computed_at"))
    fill.post(gauge_body())
    assert set(StaleWork.objects.filter(kind="lift", computed_rev__lt=1000).values_list("key", flat=True)) == {
        *("*", "4", "+4", "+5", "+6", "+7", "+8", "+9")
    }
    sweep.run_until_idle(clock=lambda: fill.now)
    after = dict(LiftCover.objects.values_list("lift", "computed_at"))
    assert {lift for lift in after if after[lift] != before[lift]} == {4}
    assert coverage_settling.settle(fill.project, ["4", "*"], now=fill.now) == 0  # twice is as good as once


def test_what_a_placement_may_say(fill: Site) -> None:
    place(fill, 5, quantity=None, loads=40, load_volume="12.5 yd3", material="P-1")
    place(fill, 6, quantity=None, thickness="0.3048 m")
    place(fill, 7, quantity=None)
    corners = [("20500", "9990"), ("20600", "9990"), ("20600", "10010")]
    outline = [{"easting": f"{east} ft", "northing": f"{north} ft"} for east, north in corners]
    ranged = dict.fromkeys(("alignment", "station_from", "station_to", "offset_from", "offset_to"))
    place(fill, 8, outline=outline, **ranged, not_tested={"reason_code": "rock", "reason": "boulders"})
    assert (swept(fill, 5).required, swept(fill, 5).material) == (1, "P-1")  # 500 yd3
    assert swept(fill, 6).required == 1  # 100 ft x 40 ft x 1 ft is 148 yd3
    before = swept(fill, 6)
    place(fill, 6, quantity=None, thickness="0.3048 m", placed_at="2026-06-05T08:00:00-06:00")
    assert (swept(fill, 6).volume_m3, swept(fill, 6).area_m2) == (before.volume_m3, before.area_m2)  # the same ground
    assert ["lies over fill of the same lift" in said for said in swept(fill, 6).overlaps] == [True]
    assert swept(fill, 7).required is None
    shown = swept(fill, 8)
    assert (shown.area_m2, shown.not_tested) == (92.9, "too much rock for a test in place (boulders)")
    with pytest.raises(ReadingsError):
        place(fill, 9, outline=outline)  # and a range
    with pytest.raises(ReadingsError):
        place(fill, 9, station_to=None)
    with pytest.raises(ReadingsError):
        place(fill, 9, loads=40)
    with pytest.raises(ReadingsError):
        place(fill, 9, area="x" * 41)


def test_a_signed_release_stands_until_figures_move(site: Site) -> None:
    with_rules(site, {**ONE_PER_1000, "signed_release": True})
    place(site)
    site.post(gauge_body(label="1"))

    def sign(person: str = "m.dale", **changes: Any) -> None:
        body = {"meaning": "released", "basis_digest": swept(site).digest, "reason": "walked", **changes}
        coverage.release(
            opened=site.opened(person), area="Core", lift=4, client_uuid=uuid.uuid4(), body=body, now=site.now
        )

    with pytest.raises(Refused, match="nothing to sign"):
        sign()
    site.post(gauge_body(label="2"))
    assert (swept(site).state, swept(site).signature_wanted) == ("open", True)
    with pytest.raises(NotAllowed):
        sign("t.moss")
    with pytest.raises(NotCurrent):
        sign(basis_digest="0" * 64)
    sign()
    assert (swept(site).state, swept(site).signed_by) == ("released", "m.dale")
    with pytest.raises(Refused, match="released already"):
        sign()
    site.post(gauge_body(label="3"))
    shown = swept(site)
    assert (shown.state, shown.withdrawn) == ("open", True)
    site.post(failing_body(label="4"))
    with pytest.raises(Refused, match="does not close a failure"):
        sign()
    body = {"meaning": "released", "reason": "x"}
    with pytest.raises(Unknown):
        coverage.release(opened=site.opened(), area="Core", lift=9, client_uuid=uuid.uuid4(), body=body, now=site.now)
    assert reassessment.rebuild_check(site.project) == []


def test_not_tested_because_is_kept_once_and_shown(fill: Site) -> None:
    id_ = uuid.uuid4()
    body = {
        "area": "Core",
        "lift": 4,
        "noted_at": "2026-06-03T10:00:00-06:00",
        "reason_code": "unsafe-access",
        "reason": "the slope above slides",
    }
    first = coverage.note_not_tested(opened=fill.opened("t.moss"), client_uuid=id_, body=body, now=fill.now)
    again = coverage.note_not_tested(opened=fill.opened("t.moss"), client_uuid=id_, body=body, now=fill.now)
    assert (first.created, again.created, again.receipt) == (True, False, first.receipt)
    with pytest.raises(ContentConflict):
        coverage.note_not_tested(opened=fill.opened("t.moss"), client_uuid=id_, body={**body, "lift": 5}, now=fill.now)
    with pytest.raises(NotAllowed):
        coverage.note_not_tested(opened=fill.opened("c.pike"), client_uuid=uuid.uuid4(), body=body, now=fill.now)
    with pytest.raises(ReadingsError):
        coverage.note_not_tested(
            opened=fill.opened("t.moss"), client_uuid=uuid.uuid4(), body={**body, "reason": " "}, now=fill.now
        )
    assert NotTested.objects.count() == 1
    shown = swept(fill)
    assert (shown.state, shown.not_tested) == ("open", "the spot cannot be reached safely (the slope above slides)")


def test_rules_that_cannot_be_are_refused_with_their_place(site: Site) -> None:
    wrong = [
        {"name": "a", "counters": [{"basis": "volume", "interval": "500 m2"}, {"basis": "length", "interval": 5}]},
        {"name": "a", "counters": [{"basis": "tests", "interval": 15}]},
        {"name": "b", "counters": [{"basis": "lift"}], "after_passes": 12},
    ]
    with pytest.raises(ReadingsError) as refused:
        with_rules(site, *wrong)
    found = {error.pointer for error in refused.value.errors}
    assert found == {"/frequency/0/counters/0/interval", "/frequency/1/counters", "/frequency/2/one_in"}


def test_a_specification_without_rules_keeps_its_digest_and_rules_change_no_result(site: Site) -> None:
    recorded = site.post(gauge_body())
    with_rules(site, ONE_PER_1000)
    sweep.run_until_idle()
    recorded.test.refresh_from_db()
    assert recorded.test.inputs_digest == recorded.derived.outcome.inputs_digest


def test_totals_and_what_would_be_required(fill: Site) -> None:
    place(fill, 5, quantity="500 yd3")
    fill.post(gauge_body())
    sweep.run_until_idle()
    opened = fill.opened()
    assert [(one.key, one.required, one.made, one.short) for one in coverage_queries.totals(opened)] == [
        ("4", 2, 1, 1),
        ("5", 1, 0, 1),
    ]
    [by_area] = coverage_queries.totals(opened, by="area")
    assert (by_area.key, by_area.required, by_area.groups, by_area.states["short"]) == ("Core", 3, 2, 1)
    assert [one.key for one in coverage_queries.totals(opened, by="day")] == ["2026-06-02", "2026-06-03"]
    asked = preview(opened, {"lifts": 3, "quantity": "3600 yd3"}, now=fill.now)
    assert (asked.required, asked.sentence) == (6, "6 tests on 3 lifts.")  # 1,200 yd3 on each
    unknown = preview(opened, {"lifts": 3}, now=fill.now)
    assert (unknown.required, unknown.at_least) == (None, 0)
    assert "the quantity of a placement is not stated" in unknown.sentence
