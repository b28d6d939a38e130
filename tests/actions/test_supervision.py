"""A day's findings from records: what is found, who sees it, how it is dismissed and switched. No test changes."""

import uuid
from datetime import date, timedelta
from typing import Any

import pytest

from compaction.actions import supervision
from compaction.actions.refusals import ContentConflict, NeedsAnother, Refused, Unknown
from compaction.evaluation.supervision.facts import KINDS
from compaction.models import Decision, Test
from compaction.queries import set_up
from compaction.queries import supervision as query
from projects.access import NotAllowed
from projects.models import JournalEvent
from tests.builders import Site, gauge_body, make_project

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 3)


def counted(number: int, at: str, counts: tuple[int, int], **changes: Any) -> dict[str, Any]:
    """A gauge test with its counts, at a station of its own."""
    body = gauge_body(label=str(number), performed_at=f"2026-06-03T{at}:00-06:00", **changes)
    body["readings"] = {**body["readings"], "density_count": counts[0], "moisture_count": counts[1]}
    if "position" not in changes:
        body["position"] = {**body["position"], "station": f"12+{10 + number % 80:02d}"}
    return body


@pytest.fixture
def site() -> Site:
    set_up.forget()
    site = make_project()
    counts = [(1503, 144), (1503, 144), (1461, 151), (1503, 144), (1503, 144), (1482, 133), (1520, 160)]
    for number, pair in enumerate(counts):
        site.post(counted(100 + number, f"09:{10 + 7 * number:02d}", pair))
    return site


def by_code(site: Site, who: str = "s.hale", day: date = DAY) -> dict[str, query.Shown]:
    return {one.finding.code: one for one in query.on_day(site.opened(who), day)}


def dismissal(shown: query.Shown, reason: str = "Read again with the technician.") -> dict[str, str]:
    return {"reason": reason, "basis_digest": shown.digest}


def test_planted_repetition_and_missing_count_are_found_and_change_no_test(site: Site) -> None:
    before = list(Test.objects.order_by("id").values())
    found = by_code(site)
    assert set(found) == {"sheet-repeated", "gauge-without-count"}
    repeated = found["sheet-repeated"]
    assert [label for _, label in repeated.tests] == ["100", "101", "103", "104"]
    assert repeated.finding.sentence.startswith("t.moss: the same density count and moisture count stand together (")
    assert (repeated.seen, repeated.changed_since) == (None, False)
    assert list(Test.objects.order_by("id").values()) == before


def test_pace_and_one_gauge_in_two_places(site: Site) -> None:
    far = {"alignment": "main", "station": "45+00", "offset": "0", "elevation": "5100.5 ft", "elevation_from": "level"}
    site.post(counted(300, "09:24", (1499, 140), technician="t.reed", position=far), as_="t.reed")
    site.post(counted(301, "09:25", (1511, 147), technician="t.reed", position=far), as_="t.reed")
    found = query.on_day(site.opened("s.hale"), DAY)
    twice = [{label for _, label in one.tests} for one in found if one.finding.code == "gauge-in-two-places"]
    assert {"102", "300"} in twice
    assert all("102" in pair for pair in twice)
    [fast] = [one for one in found if one.finding.code == "faster-than-method"]
    assert [label for _, label in fast.tests] == ["300", "301"]


def test_only_supervisor_and_engineer_see_it(site: Site) -> None:
    for who in ("s.hale", "e.stone"):
        assert by_code(site, who)
    for who in ("t.moss", "m.dale", "l.finch", "c.pike", "o.lake"):
        with pytest.raises(NotAllowed):
            query.on_day(site.opened(who), DAY)
        with pytest.raises(NotAllowed):
            query.days(site.opened(who))


def test_days_are_those_of_the_project(site: Site) -> None:
    site.post(counted(200, "23:30", (1490, 141)))
    assert query.days(site.opened("s.hale")) == [DAY]
    assert query.on_day(site.opened("s.hale"), DAY + timedelta(days=1)) == []


def test_a_dismissal_is_kept_with_its_figures_and_falls_when_they_move(site: Site) -> None:
    shown, key = by_code(site)["sheet-repeated"], uuid.uuid4()
    opened = site.opened("s.hale")
    done = supervision.dismiss(
        opened=opened, day=DAY, finding=shown.id, client_uuid=key, body=dismissal(shown), now=site.now
    )
    again = supervision.dismiss(
        opened=opened, day=DAY, finding=shown.id, client_uuid=key, body=dismissal(shown), now=site.now
    )
    assert (done.created, again.created, done.receipt) == (True, False, again.receipt)
    assert Decision.objects.get(client_uuid=key).meaning == "finding_seen"
    assert JournalEvent.objects.get(subject=str(key)).kind == "supervision.finding_seen"
    seen = by_code(site)["sheet-repeated"]
    assert seen.seen is not None
    assert seen.seen.reason == "Read again with the technician."
    with pytest.raises(ContentConflict):
        supervision.dismiss(
            opened=opened, day=DAY, finding=shown.id, client_uuid=key, body=dismissal(shown, "other"), now=site.now
        )
    site.post(counted(130, "11:30", (1530, 129)))  # one more test: the odds are others
    moved = by_code(site)["sheet-repeated"]
    assert (moved.id, moved.seen, moved.changed_since) == (shown.id, None, True)


def test_what_a_dismissal_needs(site: Site) -> None:
    shown = by_code(site)["sheet-repeated"]

    def dismiss(who: str = "s.hale", finding: str = shown.id, **body: Any) -> None:
        supervision.dismiss(
            opened=site.opened(who),
            day=DAY,
            finding=finding,
            client_uuid=uuid.uuid4(),
            body={**dismissal(shown), **body},
            now=site.now,
        )

    with pytest.raises(NotAllowed):
        dismiss("t.moss")
    with pytest.raises(Refused, match="in words"):
        dismiss(reason="  ")
    with pytest.raises(Refused, match="figures have moved"):
        dismiss(basis_digest="0" * 64)
    with pytest.raises(Unknown):
        dismiss(finding="0" * 64)
    site.post(counted(400, "15:10", (1503, 144), technician="s.hale"), as_="s.hale")
    site.post(counted(401, "15:20", (1503, 144), technician="s.hale"), as_="s.hale")
    site.post(counted(402, "15:30", (1503, 144), technician="s.hale"), as_="s.hale")
    own = next(one for one in query.on_day(site.opened("s.hale"), DAY) if one.technicians == {"s.hale"})
    with pytest.raises(NeedsAnother):
        dismiss(finding=own.id, basis_digest=own.digest)


def test_a_kind_is_switched_off_and_on_with_a_reason(site: Site) -> None:
    def switch(
        on: object, *, who: str = "e.stone", kind: str = "repeated", reason: str = "gauge prints no counts"
    ) -> None:
        supervision.switch(
            opened=site.opened(who),
            kind=kind,
            client_uuid=uuid.uuid4(),
            body={"on": on, "reason": reason},
            now=site.now,
        )

    assert query.switches(site.opened("s.hale")) == dict.fromkeys(KINDS, True)
    switch(False)
    assert set(by_code(site)) == {"gauge-without-count"}
    switch(True)
    assert "sheet-repeated" in by_code(site)
    with pytest.raises(NotAllowed):
        switch(False, who="s.hale")
    with pytest.raises(Unknown):
        switch(False, kind="luck")
    with pytest.raises(Refused):
        switch("no")
    with pytest.raises(Refused):
        switch(False, reason="")


def test_the_day_costs_a_fixed_number_of_statements(site: Site, django_assert_max_num_queries: Any) -> None:
    opened = site.opened("s.hale")
    query.on_day(opened, DAY)
    with django_assert_max_num_queries(6):
        query.on_day(opened, DAY)


def test_satellite_fixes_of_a_day_at_one_far_place() -> None:
    set_up.forget()
    site = make_project(code="grid-dike", epsg_code=2232)  # the fixes below lie far outside the site, at one place
    for number in range(3):
        fix = {"latitude": f"39.7{number:05d}", "longitude": "-104.900000", "accuracy": "4.0 m", "confidence": "68 %"}
        body = counted(100 + 20 * number, f"09:{10 + 7 * number:02d}", (1500 - 17 * number, 140 + number))
        site.post({**body, "position": {**body["position"], "gps": fix}})
    found = by_code(site)["fixes-at-one-far-place"]
    assert len(found.tests) == 3
    assert "the satellite fixes lie at one place" in found.finding.sentence
