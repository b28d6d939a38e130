"""The layers by address: what they hold, who may read them, what they cost."""

import json
from collections import Counter
from typing import Any

from django.test import Client
from django.urls import reverse

from compaction.models import Test
from tests.builders import Site
from tests.maps.busy_site import make_busy_site

NAMES = ("layer-tests", "layer-placements", "layer-areas", "layer-alignment")
ALL = (*NAMES, "map", "map-frame", "map-frame-script", "map-frame-style", "run-chart")


def layer(client: Client, site: Site, name: str, **query: str) -> dict[str, Any]:
    answer = client.get(reverse(name, args=[site.project.code]), query)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/geo+json"
    return json.loads(answer.content)


def signed_in(site: Site, username: str = "m.dale") -> Client:
    client = Client()
    client.force_login(site.user(username))
    return client


def by_label(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {feature["properties"]["label"]: feature for feature in found["features"]}


def test_tests_of_one_lift_with_their_marks(busy_site: Site) -> None:
    found = layer(signed_in(busy_site), busy_site, "layer-tests", lift="4")
    tests = by_label(found)
    assert len(tests) == 33
    marks = {label: feature["properties"]["mark"] for label, feature in tests.items()}
    assert marks["451"] == "fail"
    assert marks["452"] == "passed_on_retest"
    assert marks["452A"] == "pass"
    assert marks["453"] == marks["453A"] == "fail"
    assert marks["454"] == "accepted"
    assert marks["455"] == "voided"
    assert marks["456"] == "on_hold"
    assert marks["457"] == "provisional"
    assert Counter(marks.values())["pass"] == 23


def test_a_failure_under_a_later_lift_is_buried(busy_site: Site) -> None:
    tests = by_label(layer(signed_in(busy_site), busy_site, "layer-tests", lift="3"))
    assert tests["351"]["properties"]["mark"] == "buried_failure"


def test_a_test_carries_what_the_short_story_tells(busy_site: Site) -> None:
    tests = by_label(layer(signed_in(busy_site), busy_site, "layer-tests", lift="4"))
    feature = tests["451"]
    # Station 10+60, 2 ft right of a line that runs east from 20,000 ft, 10,000 ft: 60 ft ahead, 2 ft south.
    assert feature["geometry"]["coordinates"] == [round(20060 * 0.3048, 3), round(9998 * 0.3048, 3)]
    told = feature["properties"]
    assert told["percent"] == "90.9"
    assert told["limit"] == "95"
    assert told["words"] == "fails"
    assert told["lift"] == 4
    assert told["station"] == "10+60.00"
    assert told["offset"] == "2.00 ft R"
    assert (told["day"], told["time"]) == ("2026-06-04", "14:00")  # in the project's time, not in UTC
    assert told["technician"] == "t.moss"
    assert told["failure"] == "open"
    assert tests["452A"]["properties"]["retest_of"] == tests["452"]["properties"]["uuid"]


def test_the_replay_knows_until_when_a_mended_failure_failed(busy_site: Site) -> None:
    tests = by_label(layer(signed_in(busy_site), busy_site, "layer-tests", lift="4"))
    assert tests["452"]["properties"]["fails_until"] == "2026-06-05"  # its retest passed on that day
    assert tests["454"]["properties"]["fails_until"] == "2026-06-06"  # accepted on that day
    assert "fails_until" not in tests["451"]["properties"]


def test_tests_without_a_place_are_counted_not_dropped_in_silence(busy_site: Site) -> None:
    Test.objects.filter(project=busy_site.project, label="401").update(easting_m=None, northing_m=None)
    found = layer(signed_in(busy_site), busy_site, "layer-tests", lift="4")
    assert found["without_place"] == 1
    assert "401" not in by_label(found)


def test_placements_of_one_lift_and_of_all(busy_site: Site) -> None:
    client = signed_in(busy_site)
    assert len(layer(client, busy_site, "layer-placements", lift="4")["features"]) == 2
    found = layer(client, busy_site, "layer-placements", lift="all")["features"]
    assert {feature["properties"]["lift"] for feature in found} == {3, 4}
    ring = found[0]["geometry"]["coordinates"][0]
    assert ring[0] == ring[-1]
    assert [6096.0, round(10040 * 0.3048, 3)] in ring  # 10+00, 40 L


def test_areas_say_which_is_exempt(busy_site: Site) -> None:
    found = layer(signed_in(busy_site), busy_site, "layer-areas")["features"]
    kinds = {feature["properties"]["code"]: feature["properties"]["kind"] for feature in found}
    assert kinds == {"core": "zone", "outlet": "exempt"}


def test_the_alignment_has_a_tick_at_every_full_station(busy_site: Site) -> None:
    found = layer(signed_in(busy_site), busy_site, "layer-alignment")["features"]
    ticks = [feature for feature in found if feature["properties"]["kind"] == "tick"]
    assert [tick["properties"]["station"] for tick in ticks][:3] == ["10+00", "11+00", "12+00"]
    assert len(ticks) == 41  # 10+00 to 50+00
    # the second end lies one metre ahead along the line, here due east
    assert ticks[1]["geometry"]["coordinates"] == [[6126.48, 3048.0], [6127.48, 3048.0]]


def test_a_project_on_a_grid_gets_degrees(db: None) -> None:
    site = make_busy_site(epsg_code=32613)
    client = signed_in(site)
    for name in NAMES:
        found = layer(client, site, name)
        assert found["coordinates"] == "longitude and latitude, WGS 84"
        assert found["features"]
        first = found["features"][0]["geometry"]["coordinates"]
        while isinstance(first[0], list):
            first = first[0]
        assert -105.1 < first[0] < -104.9
        assert 5.3 < first[1] < 5.5  # 600 km north of the equator: the coordinates are invented


def test_an_outsider_and_a_stranger_get_nothing(busy_site: Site) -> None:
    outsider, member = signed_in(busy_site, "x.outside"), signed_in(busy_site)
    for name in ALL:
        address = reverse(name, args=[busy_site.project.code])
        assert outsider.get(address).status_code == 404, name
        assert Client().get(address).status_code in (302, 401), name
        assert member.post(address).status_code == 405, name


def test_a_lift_that_is_no_number_is_not_there(busy_site: Site) -> None:
    client, address = signed_in(busy_site), reverse("layer-tests", args=[busy_site.project.code])
    for lift in ("-1", "12345", "4 ", "٤", "4;5", "x", ""):
        assert client.get(address, {"lift": lift}).status_code == 404, lift


def test_statements_do_not_grow_with_the_number_of_tests(busy_site: Site, django_assert_max_num_queries: Any) -> None:
    client = signed_in(busy_site)
    client.get(reverse("layer-tests", args=[busy_site.project.code]))
    with django_assert_max_num_queries(6):  # session, person, role, tests, failures, closings
        layer(client, busy_site, "layer-tests", lift="all")
