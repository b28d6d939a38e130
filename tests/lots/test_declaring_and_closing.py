"""A lot is declared before its tests, follows them wherever they move, and is closed on its figures by an engineer."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from compaction.actions import amendments, holds, lots, reassessment, references, voids
from compaction.actions.refusals import ContentConflict, NotCurrent, Refused, Unknown
from compaction.calculations.errors import ReadingsError
from compaction.models import Failure, Lot, LotOutcome, LotRevision, Test
from compaction.queries import set_up
from projects import journal
from projects.access import NotAllowed
from tests.builders import NOW
from tests.lots.conftest import Lots, lot_body, transcribed


def close(on_site: Lots, who: str = "e.stone", code: str = "L-1", id_: uuid.UUID | None = None, **changes: Any) -> Any:
    body = {
        "meaning": "accepted",
        "reason": "rule met",
        "basis_digest": on_site.story(code).row.outcome_digest,
        **changes,
    }
    now = NOW + timedelta(days=2)
    return lots.close(opened=on_site.site.opened(who), code=code, client_uuid=id_ or uuid.uuid4(), body=body, now=now)


def test_only_tests_made_after_the_declaration_enter(on_site: Lots) -> None:
    on_site.post("90", minutes=-45, label="before")
    on_site.declare()
    on_site.post("96", minutes=45, label="after")
    on_site.post("97", minutes=50, label="elsewhere", lift=9)
    assert on_site.reasons() == {
        "before": "made 45 min before the declaration",
        "after": "declared 45 min before",
    }
    row = on_site.story().row
    assert (row.result, row.tests, row.failing) == ("met", 1, 0)


def test_a_test_that_was_made_before_and_arrives_later_stays_out(on_site: Lots) -> None:
    on_site.declare()
    on_site.site.now = NOW + timedelta(hours=5)
    on_site.site.post(transcribed("80", minutes=-60, label="late"))
    on_site.sweep()
    assert on_site.reasons() == {"late": "made 1 h 0 min before the declaration"}


def test_a_revision_that_changes_what_counts_starts_anew_and_words_alone_do_not(on_site: Lots) -> None:
    on_site.declare()
    on_site.post("96", label="1")
    later = NOW + timedelta(hours=3)
    on_site.declare(rev=2, at=later, title="Another title", reason="the title was wrong")
    assert on_site.story().facts.declared_at == NOW
    assert on_site.story().row.tests == 1
    on_site.declare(rev=3, at=later, title="Another title", retests="count", reason="as the contract has it")
    assert on_site.reasons() == {"1": "made 2 h 0 min before the declaration"}
    with pytest.raises(Refused, match="in words"):
        on_site.declare(rev=4, retests="leave_out")
    with pytest.raises(Refused, match="next revision"):
        on_site.declare(rev=9, reason="x")


def test_declared_twice_is_once_and_other_content_conflicts(on_site: Lots) -> None:
    assert on_site.declare().created
    assert not on_site.declare().created
    assert LotRevision.objects.count() == 1
    with pytest.raises(ContentConflict):
        on_site.declare(title="Other")
    with pytest.raises(NotAllowed):
        lots.declare(opened=on_site.site.opened("t.moss"), code="L-2", rev=1, body=lot_body(), now=NOW)


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"zone": "nowhere"}, "/zone"),
        ({"area": "nowhere"}, "/area"),
        ({"alignment": "main", "station_from": "12+00"}, "/station_from"),
        ({"alignment": "main", "station_from": "12+00", "station_to": "990+00"}, "/station_to"),
        ({"lift_from": 6, "lift_to": 4}, "/lift_to"),
        ({"zone": "", "lift_from": None, "lift_to": None}, ""),
        ({"next_tests": 0}, "/next_tests"),
        ({"purposes": ["curiosity"]}, "/purposes"),
        ({"comparison_risk": "60 %"}, "/comparison_risk"),
        ({"rules": []}, "/rules"),
        ({"rules": [{"statistic": "each", "quantity": "percent_compaction"}]}, "/rules/0/minimum"),
        ({"rules": [{"statistic": "each", "quantity": "dry_density", "minimum": "95 %"}]}, "/rules/0/minimum"),
        (
            {"rules": [{"statistic": "each", "quantity": "percent_compaction", "minimum": "95 %", "k": "1"}]},
            "/rules/0/k",
        ),
        (
            {"rules": [{"statistic": "mean_minus_k_s", "quantity": "percent_compaction", "minimum": "95 %"}]},
            "/rules/0/k",
        ),
        (
            {"rules": [{"statistic": "mean_minus_k_s", "quantity": "percent_compaction", "minimum": "95 %", "k": "1"}]},
            "/k_source",
        ),
        (
            {"rules": [{"statistic": "moving_average", "quantity": "percent_compaction", "minimum": "95 %", "of": 1}]},
            "/rules/0/of",
        ),
        (
            {"rules": [{"statistic": "percent_within_limits", "quantity": "percent_compaction", "minimum": "95 %"}]},
            "/rules/0/percent_within",
        ),
        ({"first_day": "2026-06-09", "last_day": "2026-06-08"}, "/last_day"),
        ({"surprise": 1}, "/surprise"),
    ],
)
def test_what_cannot_be_a_lot_is_refused_at_its_place(on_site: Lots, changes: dict[str, Any], pointer: str) -> None:
    body = {name: value for name, value in {**lot_body(), **changes}.items() if value is not None and value != ""}
    with pytest.raises(ReadingsError) as refused:
        lots.declare(opened=on_site.site.opened(), code="L-1", rev=1, body=body, now=NOW)
    assert pointer in [error.pointer for error in refused.value.errors]
    assert not Lot.objects.exists()


def test_days_that_are_over_are_no_lot(on_site: Lots) -> None:
    with pytest.raises(Refused, match="declared before its tests") as refused:
        on_site.declare(last_day="2026-06-02")
    assert refused.value.code == "declared-afterwards"


def test_voids_holds_amendments_and_reassessments_reach_the_lot(on_site: Lots) -> None:
    site = on_site.site
    on_site.declare()
    first, second = on_site.post("96", label="1"), on_site.post("98", minutes=80, label="2")
    site.now = NOW + timedelta(hours=2)
    voids.ask(
        opened=site.opened("t.moss"),
        test_uuid=uuid.UUID(first),
        client_uuid=uuid.uuid4(),
        body={"reason_code": "entered-twice", "reason": "twice"},
        now=site.now,
    )
    on_site.sweep()
    assert on_site.reasons()["1"] == "voided"
    moved = transcribed("98", minutes=80, label="2", lift=9)
    amendments.amend(
        opened=site.opened("t.moss"),
        test_uuid=uuid.UUID(second),
        client_uuid=uuid.uuid4(),
        replaces=1,
        content=moved,
        reason_code="own-slip",
        reason="lift 9",
        raw="",
        now=site.now,
    )
    on_site.sweep()
    assert "2" not in on_site.reasons()
    on_site.post("112", minutes=95, label="3")
    assert on_site.reasons()["3"].startswith("on hold")
    held = Test.objects.get(label="3")
    for code in held.open_holds.split():
        holds.release(
            opened=site.opened(),
            test_uuid=held.client_uuid,
            client_uuid=uuid.uuid4(),
            body={"hold": code, "reason": "seen"},
            now=site.now,
        )
    on_site.sweep()
    assert on_site.story().row.tests == 1
    body = {"soil": "x", "method": "D698-A", "maximum_dry_density": "112.0 pcf", "optimum_water_content": "15.0 %"}
    references.issue(opened=site.opened("l.finch"), code="P-100", rev=2, body={**body, "reason": "new"}, now=site.now)
    references.approve(
        opened=site.opened(), code="P-100", rev=2, client_uuid=uuid.uuid4(), body={"reason": "seen"}, now=site.now
    )
    on_site.sweep()
    assert on_site.figures()["mean"] == 100
    causes = list(LotOutcome.objects.order_by("id").values_list("cause", flat=True))
    assert causes[0] == "revision 1 declared"
    assert {"test recorded", "test voided", "test amended", "hold released", "tests reassessed"} <= set(causes)
    assert reassessment.rebuild_check(site.project) == []
    assert journal.verify(site.project) == []


def test_an_engineer_closes_on_the_figures_and_failures_stay_open(on_site: Lots) -> None:
    on_site.declare()
    on_site.post("94", label="1")
    on_site.post("99", minutes=70, label="2")
    story = on_site.story()
    assert (story.row.result, story.row.failing) == ("met", 1)
    with pytest.raises(NotAllowed):
        close(on_site, "m.dale")
    with pytest.raises(NotCurrent):
        close(on_site, basis_digest="0" * 64)
    with pytest.raises(ReadingsError):
        close(on_site, reason=" ")
    with pytest.raises(Refused, match="accepted, rejected"):
        close(on_site, meaning="closed")
    with pytest.raises(Unknown):
        lots.close(
            opened=on_site.site.opened(),
            code="L-9",
            client_uuid=uuid.uuid4(),
            body={"meaning": "accepted", "reason": "x", "basis_digest": ""},
            now=NOW,
        )
    id_ = uuid.uuid4()
    assert close(on_site, id_=id_).created
    assert not close(on_site, id_=id_).created
    row = on_site.story().row
    assert (row.state, row.basis_changed) == ("accepted", False)
    assert [failure.state for failure in Failure.objects.all()] == ["open"]
    with pytest.raises(Refused, match="already"):
        close(on_site)
    with pytest.raises(Refused, match="declare a new lot"):
        on_site.declare(rev=2, title="x", reason="again")
    assert reassessment.rebuild_check(on_site.site.project) == []


def test_a_late_test_after_closing_moves_the_figures_and_says_so(on_site: Lots) -> None:
    on_site.declare()
    on_site.post("96", label="1")
    close(on_site)
    on_site.post("80", minutes=200, label="late")  # made before the closing, arrives after it
    row = on_site.story().row
    assert (row.state, row.basis_changed, row.result) == ("accepted", True, "not_met")
    on_site.post("80", minutes=3 * 24 * 60, label="after")
    assert on_site.reasons()["after"] == "made after the lot was closed"
    assert close(on_site, meaning="rejected").created
    assert (on_site.story().row.state, on_site.story().row.basis_changed) == ("rejected", False)


def test_a_preview_stores_nothing_and_takes_the_tests_so_far(on_site: Lots) -> None:
    on_site.post("96", minutes=-60, label="1")
    on_site.post("98", minutes=-30, label="2")
    before = journal.verify(on_site.site.project), LotRevision.objects.count(), LotOutcome.objects.count()
    looked = lots.preview(opened=on_site.site.opened("t.moss"), body=lot_body(), now=NOW)
    assert looked.result.verdicts[0].figures["mean"] == 97
    assert [member["reason"] for member in looked.content["members"]] == ["made so far", "made so far"]
    after = journal.verify(on_site.site.project), LotRevision.objects.count(), LotOutcome.objects.count()
    assert before == after


def test_places_by_station_area_and_next_tests(on_site: Lots) -> None:
    on_site.declare("L-S", zone="core", lift_from=4, alignment="main", station_from="12+00", station_to="13+00")
    on_site.declare("L-A", area="core", next_tests=1)
    place = {"alignment": "main", "offset": "15 L", "elevation": "5100.5 ft", "elevation_from": "level"}
    on_site.post("96", label="in")
    on_site.post("97", minutes=70, label="out", position={**place, "station": "14+00"})
    assert list(on_site.reasons("L-S")) == ["in"]
    assert on_site.reasons("L-A")["out"] == "made after the first 1 tests of the lot"


def test_a_lot_costs_a_posting_no_statement(on_site: Lots) -> None:
    """Its mark travels with that of the chain; its place is kept with the set-up."""

    on_site.site.now = NOW + timedelta(hours=2)

    def statements(label: str, minutes: int) -> int:
        opened = on_site.site.opened("t.moss")
        set_up.load(on_site.site.project, setup_seq=opened.setup_seq)
        with CaptureQueriesContext(connection) as done:
            on_site.site.post(transcribed("96", minutes=minutes, label=label))
        return len(done)

    without = statements("1", 60)
    on_site.declare(at=NOW)
    assert statements("2", 61) == without
    on_site.sweep()
    assert on_site.story().row.tests == 2


@pytest.mark.both_databases
def test_the_head_follows_from_a_rebuild(on_site: Lots) -> None:
    on_site.declare()
    on_site.post("96", label="1")
    Lot.objects.update(tests=7)
    [difference] = reassessment.rebuild_check(on_site.site.project)
    assert (difference.kind, difference.test) == ("lot", "L-1")
