"""A revision of the geometry is asked about first, then made; what it said is what happens."""

import uuid
from decimal import Decimal

import pytest

from compaction.actions import geometry_previews, place, reassessment, sweep
from compaction.actions.refusals import ContentConflict, Refused, Unknown
from compaction.models import GeometryPreview, Test, TestPosition
from projects import access
from tests.builders import BASELINE, gauge_body, make_project

MOVED = {**BASELINE, "points": [["20000", "10010"], ["24000", "10010"]]}
SHORTER_CORE = {
    "alignment": "main",
    "station_from_m": "304.8",
    "station_to_m": "390",
    "offset_from_m": "-30",
    "offset_to_m": "30",
}


@pytest.fixture
def busy(site):
    for number in range(7):
        body = gauge_body(label=str(101 + number))
        body["position"] = {**body["position"], "station": f"12+{10 + number * 12}"}
        site.post(body, id_=uuid.UUID(int=number + 1))
    sweep.run_until_idle()
    return site


def ask(site, content=MOVED, *, id_=None, as_="e.stone", **more):
    kind = {"kind": "alignment", "code": "main", **more}
    return geometry_previews.begin(
        opened=site.opened(as_), client_uuid=id_ or uuid.uuid4(), content=content, now=site.now, **kind
    )


@pytest.mark.django_db
def test_what_the_preview_says_is_what_happens(busy):
    preview = ask(busy)
    counts, rows = geometry_previews.found(preview)
    assert preview.finished_at is not None
    assert (counts.moved, counts.result_changes, counts.zone_changes) == (7, 0, 0)
    assert counts.farthest_m == "3.048"
    assert Test.objects.filter(northing_m__gt=3055).count() == 0
    before = {test.client_uuid: (test.easting_m, test.northing_m) for test in Test.objects.all()}
    place.issue_alignment(opened=busy.opened(), code="main", rev=2, name="moved", content=MOVED, now=busy.now)
    sweep.run_until_idle()
    for test in Test.objects.all():
        assert test.northing_m - before[test.client_uuid][1] == Decimal("3.0480")
    assert TestPosition.objects.count() == 14  # the old places are kept
    assert reassessment.rebuild_check(busy.project) == []
    assert len(rows) == 7


@pytest.mark.django_db
def test_a_smaller_zone_names_the_tests_that_leave_it(busy):
    preview = ask(busy, SHORTER_CORE, kind="area", code="core", name="Core")
    counts, rows = geometry_previews.found(preview)
    # 390 m is 1279.53 ft: only the test at 12+82 lies beyond it, the one at 12+70 does not.
    assert counts.zone_changes == 1
    assert [row["label"] for row in rows] == ["107"]
    assert {(row["zone_before"], row["zone_after"]) for row in rows} == {("core", "")}


@pytest.mark.django_db
def test_it_goes_on_where_it_stopped(busy, monkeypatch):
    monkeypatch.setattr(geometry_previews, "AT_ONCE", 2)
    monkeypatch.setattr(geometry_previews, "PIECE", 2)
    preview = ask(busy)
    assert (preview.looked_at, preview.total, preview.finished_at) == (2, 7, None)
    assert "2 were looked at" in geometry_previews.sentence(preview)
    sweep.run_once(busy.now)
    preview.refresh_from_db()
    assert preview.finished_at is None
    assert preview.looked_at >= 3
    sweep.run_until_idle()
    preview.refresh_from_db()
    assert preview.looked_at == preview.total == 7
    assert geometry_previews.found(preview)[0].moved == 7


@pytest.mark.django_db
def test_it_starts_again_when_the_set_up_has_moved(busy, monkeypatch):
    monkeypatch.setattr(geometry_previews, "AT_ONCE", 3)
    preview = ask(busy)
    place.issue_alignment(opened=busy.opened(), code="ramp", rev=1, name="ramp", content=BASELINE, now=busy.now)
    sweep.run_until_idle()
    preview.refresh_from_db()
    assert preview.looked_at == 7
    assert geometry_previews.found(preview)[0].moved == 7


@pytest.mark.django_db
def test_who_may_ask_and_what(busy):
    with pytest.raises(access.NotAllowed):
        ask(busy, as_="t.moss")
    with pytest.raises(Refused, match="points"):
        ask(busy, {**MOVED, "points": "none"})
    id_ = uuid.uuid4()
    assert ask(busy, id_=id_).pk == ask(busy, id_=id_).pk
    with pytest.raises(ContentConflict):
        ask(busy, BASELINE, id_=id_)
    other = make_project(busy.now, code="other-dike")
    with pytest.raises(Unknown):
        geometry_previews.read(other.opened(), id_)
    assert GeometryPreview.objects.count() == 1
