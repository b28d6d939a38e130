"""The supervisor's page and the page of observed areas: what they show to whom, and their forms."""

import json
import re
import uuid
from collections.abc import Callable

from django.test import Client

from api.examples.supervision import EXAMPLES
from compaction.actions import observed_areas, placements, specifications, sweep
from compaction.models import Decision, ObservedArea, SpecificationRevision
from compaction.queries import coverage
from tests.builders import SPECIFICATION, gauge_body
from tests.pages.conftest import Filled
from tests.pages.hidden_fields import hidden_of
from tests.pages.test_specification_data import SENT


def test_a_finding_is_explained_and_dismissed(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    address = f"{filled.root}supervision"
    for who in ("t.moss", "m.dale", "o.lake"):
        assert sign_in(who).get(address).status_code == 403
        assert "supervision" not in sign_in(who).get(filled.root).content.decode()
    reader = sign_in("s.hale")
    page = reader.get(address).content.decode()
    assert "Gauge G-1187: used for tests 101 and 102, and no standard count of that day is on record." in page
    assert "no test is changed by what stands here" in page
    assert "sand cone 15 min, nuclear gauge 2 min" in page  # common practice, where the specification says nothing
    assert "at most 2952.76 ft in a minute" in page
    assert re.search(r"\son[a-z]+\s*=|\sstyle\s*=", page) is None
    action = re.search(r'action="([^"]+/seen)"', page)
    assert action is not None
    fields = hidden_of(page, action.group(1))
    refused = reader.post(action.group(1), {**fields, "reason": ""})
    assert refused.status_code == 422
    moved = reader.post(action.group(1), {**fields, "basis_digest": "0" * 64, "reason": "seen"})
    assert (moved.status_code, Decision.objects.filter(meaning="finding_seen").count()) == (422, 0)
    assert "The figures have moved" in moved.content.decode()
    done = reader.post(action.group(1), {**fields, "reason": "Count stands in the gauge's own book."})
    assert done.status_code == 302
    again = reader.get(done["Location"]).content.decode()
    assert "looked at</span>" in again
    assert "Count stands in the gauge&#x27;s own book." in again


def test_a_kind_is_switched_off_by_the_engineer_only(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    address, switch = f"{filled.root}supervision", f"{filled.root}supervision-switches/no-count"
    assert switch not in sign_in("s.hale").get(address).content.decode()
    assert sign_in("s.hale").post(switch, {}).status_code == 403
    engineer = sign_in("e.stone")
    fields = hidden_of(engineer.get(address).content.decode(), switch)
    assert engineer.post(switch, {**fields, "reason": ""}).status_code == 422
    assert engineer.post(switch, {**fields, "reason": "counts are kept on paper"}).status_code == 302
    assert "no standard count of that day" not in engineer.get(address).content.decode()
    fields = hidden_of(engineer.get(address).content.decode(), switch)
    assert fields["on"] == "true"


def test_a_day_without_tests_and_a_day_that_is_none(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    reader = sign_in("s.hale")
    assert "Nothing stands out on this day" in reader.get(f"{filled.root}supervision?day=2026-01-01").content.decode()
    assert reader.get(f"{filled.root}supervision?day=yesterday").status_code == 404
    assert sign_in("x.outside").get(f"{filled.root}supervision").status_code == 404


def test_an_observation_is_recorded_listed_and_drawn(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    address, crew = f"{filled.root}observed-areas", sign_in("t.moss")
    page = crew.get(address).content.decode()
    assert "Nothing was recorded as observed yet." in page
    given = {
        **hidden_of(page, ""),
        "kind": "proof_roll",
        "area": "core",
        "lift": "4",
        "observed_at": "2026-06-03T10:00",
        "alignment": "main",
        "station_from": "12+00",
        "station_to": "13+00",
        "offset_from": "10 L",
        "offset_to": "10 R",
        "equipment": "loaded tandem dumper",
        "passes": "2",
        "verdict": "rutting",
        "watched_by": "t.moss",
    }
    refused = crew.post(address, given)
    assert refused.status_code == 422
    assert "Say how deep it moved or rutted" in refused.content.decode()
    done = crew.post(address, {**given, "deflection": "2", "deflection_unit": "in"})
    assert done.status_code == 302, re.findall(r'class="error[^>]*>([^<]+)', done.content.decode())
    shown = crew.get(address).content.decode()
    for text in ("proof roll", "rutting", "loaded tandem dumper", "12+00 to 13+00"):
        assert text in shown
    assert ObservedArea.objects.get().verdict == "rutting"
    drawn = json.loads(crew.get(f"{filled.root}map/observations.geojson").content)
    [feature] = drawn["features"]
    assert feature["geometry"]["type"] == "Polygon"
    assert (feature["properties"]["words"], feature["properties"]["sound"]) == ("proof roll, rutting", False)
    assert json.loads(crew.get(f"{filled.root}map/observations.geojson?lift=5").content)["features"] == []
    assert "Record an observation" not in sign_in("o.lake").get(address).content.decode()
    assert sign_in("c.pike").post(address, given).status_code == 403


def test_a_lift_shows_what_was_observed_on_it(filled: Filled, sign_in: Callable[[str], Client]) -> None:
    filled.site.post(gauge_body(label="120"))
    for name in ("proof_roll", "observed_only"):
        body = {**EXAMPLES["ObservedArea"][name], "lift": 4}
        observed_areas.record(
            opened=filled.site.opened("t.moss"), client_uuid=uuid.uuid4(), body=body, now=filled.site.now
        )
    limits = {key: EXAMPLES["ObservedArea"]["proof_roll"][key] for key in ("alignment", "station_from", "station_to")}
    placed = {
        "area": "core", "lift": 4, "placed_at": "2026-06-03T07:00:00-06:00", **limits,
        "offset_from": "20 L", "offset_to": "20 R",
    }  # fmt: skip
    placements.record(opened=filled.site.opened("t.moss"), client_uuid=uuid.uuid4(), body=placed, now=filled.site.now)
    sweep.run_until_idle()
    before = coverage.lift_rows(filled.site.opened(), "core")
    page = sign_in("m.dale").get(f"{filled.root}lifts/core/4").content.decode()
    assert "pumping" in page
    assert "rock fill: no hole or gauge measures it" in page
    assert "none of it counts as one" in page
    assert coverage.lift_rows(filled.site.opened(), "core") == before


def test_a_revision_at_the_page_keeps_where_observation_is_taken(
    filled: Filled, sign_in: Callable[[str], Client]
) -> None:
    site = filled.site
    body = {**SPECIFICATION, "observation_accepts": ["core"]}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    address, manager = f"{filled.root}specifications/S-1/revise", sign_in("m.dale")
    assert 'name="observation_accepts" value="core"' in manager.get(address).content.decode()
    sent = {**SENT, "code": "S-1", "reason": "clause text", "observation_accepts": "core"}
    answer = manager.post(address, sent)
    assert answer.status_code == 302, re.findall(r'class="error[^>]*>([^<]+)', answer.content.decode())
    revised = SpecificationRevision.objects.get(code="S-1", rev=3)
    assert json.loads(revised.content)["observation_accepts"] == ["core"]
