"""A new revision of a line or an area is looked at before it is put in force."""

import re

import pytest

from compaction.actions import geometry_previews, sweep
from compaction.models import GeometryPreview
from projects.models import AlignmentRevision, AreaRevision
from tests.pages.conftest import Filled

LINE = {
    "code": "main",
    "name": "Dike baseline",
    "unit": "ft",
    "coordinate_unit": "ft",
    "start_station": "1000",
    "points": "20000 10010\n24000 10010",
}
AREA = {"code": "core", "name": "Core", "kind": "zone", "alignment": "main", "station_from": "10+00",
        "station_to": "13+00", "offset_from": "90 L", "offset_to": "90 R"}  # fmt: skip


def test_a_moved_line(filled: Filled, sign_in) -> None:
    engineer = sign_in("e.stone")
    asked = engineer.post(f"{filled.root}set-up/baseline", LINE)
    text = engineer.get(asked["Location"]).content.decode()
    assert AlignmentRevision.objects.count() == 1
    assert "3 move, at most 3.048 m" in text
    assert "Every test was looked at" in text
    assert 'http-equiv="refresh"' not in text
    reader = sign_in("o.lake")
    assert "Put the revision in force" not in reader.get(asked["Location"]).content.decode()
    assert reader.post(asked["Location"] + "/make").status_code == 403
    for _ in range(2):  # pressed twice: one revision
        assert engineer.post(asked["Location"] + "/make").status_code == 302
    assert AlignmentRevision.objects.count() == 2
    sweep.run_until_idle()


def test_a_smaller_area_names_what_leaves_it(filled: Filled, sign_in) -> None:
    engineer = sign_in("e.stone")
    asked = engineer.post(f"{filled.root}set-up/area", AREA)
    text = engineer.get(asked["Location"]).content.decode()
    assert re.search(r"1 change their zone", text)  # the sand cone at 14+00
    assert AreaRevision.objects.count() == 1


def test_while_it_is_going_on_nothing_can_be_put_in_force(filled: Filled, sign_in, monkeypatch) -> None:
    monkeypatch.setattr(geometry_previews, "AT_ONCE", 1)
    engineer = sign_in("e.stone")
    asked = engineer.post(f"{filled.root}set-up/baseline", LINE)
    text = engineer.get(asked["Location"]).content.decode()
    assert "Looking at the tests" in text
    assert 'http-equiv="refresh"' in text
    refused = engineer.post(asked["Location"] + "/make")
    assert refused.status_code == 409
    assert "still being looked at" in refused.content.decode()
    sweep.run_until_idle()
    assert GeometryPreview.objects.get().looked_at == 3
    engineer.post(f"{filled.root}set-up/area", AREA)
    out_of_date = GeometryPreview.objects.get(kind="alignment")
    GeometryPreview.objects.filter(pk=out_of_date.pk).update(setup_seq=out_of_date.setup_seq - 1)
    assert "has changed since" in engineer.post(asked["Location"] + "/make").content.decode()


@pytest.mark.django_db
def test_somebody_elses_run_is_not_found(filled: Filled, sign_in) -> None:
    address = sign_in("e.stone").post(f"{filled.root}set-up/baseline", LINE)["Location"]
    assert sign_in("x.outside").get(address).status_code == 404


def test_the_profile_shows_design_and_tests(filled: Filled, sign_in) -> None:
    reader = sign_in("m.dale")
    page = reader.get(f"{filled.root}profile?lift=4").content.decode()
    assert "profile.svg?alignment=main&amp;lift=4" in page
    drawing = reader.get(f"{filled.root}profile.svg?alignment=main&lift=4")
    assert drawing["Content-Type"].startswith("image/svg+xml")
    assert "Dike baseline: lift 4" in drawing.content.decode()
    assert reader.get(f"{filled.root}profile.svg?alignment=none").status_code == 404
    assert sign_in("x.outside").get(f"{filled.root}profile.svg").status_code == 404
