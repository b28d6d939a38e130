"""Tests placed anew after a revision of the geometry: what the quick way stores is what one at a time would store."""

from typing import Any

import pytest
from django.db import transaction

from compaction.actions import geometry_previews, place, reassessment, relocation, sweep
from compaction.models import Test, TestOutcome, TestPosition
from compaction.queries import set_up
from projects import journal
from projects.models import JournalEvent, JournalHead, StaleWork
from tests.builders import BASELINE, Site, failing_body, gauge_body, make_project

pytestmark = pytest.mark.both_databases

GRADE = {"points": [{"station": "1000", "elevation": "5101"}, {"station": "5000", "elevation": "5121"}]}
#: moved 10 ft sideways, with the grade as it was: depths stay, but not for the place given by coordinates
MOVED = {**BASELINE, "profile": GRADE, "points": [["20000", "10010"], ["24000", "10010"]]}
LONGER_FROM = {**MOVED, "start_station": "990"}  # stations move along: depths change


def posted() -> Site:
    site = make_project()
    place.issue_alignment(
        opened=site.opened(), code="main", rev=2, name="m", content={**BASELINE, "profile": GRADE}, now=site.now
    )
    sweep.run_until_idle()
    position = {"station": "13+00", "offset": "15 L", "elevation": "5100.5 ft", "elevation_from": "level"}
    east = {"easting": "20300 ft", "northing": "10020 ft", "elevation": "5100.5 ft", "elevation_from": "level"}
    at_edge = {**position, "offset": "98 L"}
    for number, body in enumerate(
        (
            gauge_body(),
            gauge_body(position=position),
            failing_body(position=position),
            gauge_body(position=east),
            gauge_body(position=at_edge),
            gauge_body(position={**position, "station": "by the culvert"}),
            gauge_body(position={"station": "14+00", "offset": "0", "depth_below_grade": "0.5 ft"}),
        )
    ):
        site.post({**body, "label": str(number)})
    sweep.run_until_idle()
    return site


def stored() -> dict[str, Any]:
    heads = [
        {name: value for name, value in row.items() if name not in ("id", "client_uuid")}
        for row in Test.objects.order_by("label").values()
    ]
    return {
        "heads": heads,
        "places": sorted(TestPosition.objects.values_list("test_version__test__label", "geometry_digest", "content")),
        "outcomes": sorted(TestOutcome.objects.values_list("test_version__test__label", "inputs_digest", "content")),
        "told": sorted(JournalEvent.objects.filter(kind="test.reassessed").values_list("subject", "body")),
        "marks": sorted(StaleWork.objects.filter(kind__in=("chain", "lift", "lot")).values_list("kind", "key")),
    }


class _Undo(Exception):
    pass


@pytest.mark.parametrize("content", [MOVED, LONGER_FROM, BASELINE], ids=["sideways", "along", "no grade any more"])
@pytest.mark.django_db
def test_the_quick_way_stores_what_an_evaluation_of_every_test_would_store(content):
    site = posted()
    place.issue_alignment(opened=site.opened(), code="main", rev=3, name="m", content=content, now=site.now)
    uuids = [str(key) for key in Test.objects.values_list("client_uuid", flat=True)]
    work = {"project": site.project, "uuids": uuids, "causes": {}, "now": site.now}
    slow: dict[str, Any] = {}
    try:
        with transaction.atomic():
            for uid in uuids:
                reassessment.reassess(**{**work, "uuids": [uid]})
            slow = stored()
            raise _Undo
    except _Undo:
        pass
    under = set_up.load(site.project, setup_seq=JournalHead.objects.get(project=site.project).setup_seq)
    tests = list(Test.objects.order_by("client_uuid"))
    relocated, rest = relocation.split(tests, under=under)
    assert relocated  # some outcomes stand, some don't where depths change
    assert bool(rest) == (content is not MOVED)
    reassessment.reassess(**work, only_place=True)
    assert stored() == slow
    assert journal.verify(site.project) == []
    sweep.run_until_idle()
    assert reassessment.rebuild_check(site.project) == []


@pytest.mark.django_db
def test_a_preview_counts_what_the_revision_then_does():
    site = posted()
    before = {row.label: (row.zone, row.exempt, row.result) for row in Test.objects.all()}
    preview = geometry_previews.begin(
        opened=site.opened(), client_uuid=site.project.uuid, kind="alignment", code="main", content=MOVED, now=site.now
    )
    counts, _ = geometry_previews.found(preview)
    place.issue_alignment(opened=site.opened(), code="main", rev=3, name="m", content=MOVED, now=site.now)
    sweep.run_until_idle()
    after = {row.label: (row.zone, row.exempt, row.result) for row in Test.objects.all()}
    assert counts.zone_changes == sum(before[key][:2] != after[key][:2] for key in after)
    assert counts.result_changes == sum(before[key][2] != after[key][2] for key in after)
