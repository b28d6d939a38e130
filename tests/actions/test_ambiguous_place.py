"""Coordinates between two lines: the test is kept and held, the page asks, an amendment answers."""

import uuid

import pytest

from compaction.actions import amendments, place
from compaction.models import Test
from compaction.queries.previous_place import previous_place
from compaction.queries.rows import TestFilter, test_rows
from tests.builders import BASELINE, gauge_body, make_project

pytestmark = pytest.mark.django_db


def test_a_place_between_two_lines_is_held_until_the_line_is_named():
    site = make_project()
    ramp = {**BASELINE, "points": [[east, str(int(north) + 100)] for east, north in BASELINE["points"]]}
    place.issue_alignment(opened=site.opened(), code="ramp", rev=1, name="Ramp", content=ramp, now=site.now)
    site.post(gauge_body(label="7"))
    here = {"easting": "22000 ft", "northing": "10045 ft", "elevation": "5100.5 ft", "elevation_from": "level"}
    body = gauge_body(performed_at="2026-06-03T11:15:00-06:00", label="8", position=here)
    site.post(body)
    test = Test.objects.get(label="8")
    assert (test.open_holds, test.alignment, test.station_m, test.zone) == ("station-ambiguous", "", None, "core")
    assert test.easting_m is not None
    [row] = test_rows(site.opened(), TestFilter(uuids=(str(test.client_uuid),)), limit=1)
    assert "The test before on that day, 7, was on main 12+50.00" in previous_place(site.opened(), row)
    amendments.amend(
        opened=site.opened("t.moss"), test_uuid=test.client_uuid, client_uuid=uuid.uuid4(), replaces=1,
        content={**body, "position": {**here, "station": "ramp 30+00"}}, reason_code="position", reason="Line named.",
        raw="", now=site.now,
    )  # fmt: skip
    test.refresh_from_db()
    assert (test.open_holds, test.alignment, test.station_text, test.offset_text) == (
        "", "ramp", "30+00.00", "55.00 ft R",
    )  # fmt: skip
