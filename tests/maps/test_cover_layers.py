"""Coverage on the map: fill by state, tests as columns, the story by address, where a square of the table leads."""

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from compaction.maps.test_columns import Numbered
from tests.builders import Site
from tests.maps.busy_site import make_busy_site
from tests.maps.covered_site import make_covered_site
from tests.maps.test_layers import layer, signed_in


def columns_of(client: Client, site: Site, lift: str) -> dict[str, Any]:
    answer = client.get(reverse("layer-test-columns", args=[site.project.code]), {"lift": lift})
    assert answer.status_code == 200
    return json.loads(answer.content)


def put_together(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What the page makes of the columns, by label; written here a second time, to be compared with the other layer."""
    columns, rows = found["columns"], {}
    uuids = [found["uuids"][start : start + 32] for start in range(0, len(found["uuids"]), 32)]
    for number in range(found["count"]):
        parent = found["retest_of"].get(str(number))
        rows[columns["label"][number]] = {
            "uuid": uuids[number],
            "place": [found["origin"][axis] + columns[name][number] * found["step"] for axis, name in enumerate("xy")],
            "mark": found["marks"][columns["mark"][number]],
            "day": found["days"][columns["day"][number]],
            "time": f"{columns['minute'][number] // 60:02d}:{columns['minute'][number] % 60:02d}",
            "lift": columns["lift"][number],
            "percent": columns["percent"][number],
            "limit": found["limits"][columns["limit"][number]],
            "station": found["stations"][columns["station"][number]],
            "offset": found["offsets"][columns["offset"][number]],
            "fails_until": found["fails_until"].get(str(number)),
            "retest_of": uuids[parent] if isinstance(parent, int) else parent,
        }
    return rows


@pytest.mark.parametrize("epsg_code", [None, 32613])
def test_columns_say_what_the_geojson_layer_says(db: None, epsg_code: int | None) -> None:
    site = make_busy_site(epsg_code=epsg_code)
    client = signed_in(site)
    for lift in ("4", "all"):
        full = {one["properties"]["label"]: one for one in layer(client, site, "layer-tests", lift=lift)["features"]}
        rows = put_together(columns_of(client, site, lift))
        assert set(rows) == set(full)
        for label, row in rows.items():
            said, place = full[label]["properties"], full[label]["geometry"]["coordinates"]
            close = 6e-8 if epsg_code else 0.006  # half a step, a little more
            assert row["place"] == pytest.approx(place, abs=close)
            for name in ("mark", "day", "time", "lift", "station", "offset"):
                assert row[name] == said.get(name), (label, name)
            assert ("" if row["percent"] is None else str(row["percent"])) == said.get("percent", "")
            assert row["fails_until"] == said.get("fails_until")
            assert row["uuid"] == said["uuid"].replace("-", "")
            assert (row["retest_of"] or "") == said.get("retest_of", "").replace("-", "")


def test_reading_columns_costs_the_same_however_many_tests(busy_site: Site, django_assert_max_num_queries: Any) -> None:
    client = signed_in(busy_site)
    with django_assert_max_num_queries(9):
        columns_of(client, busy_site, "all")


def test_a_lift_that_is_no_number_is_not_there(busy_site: Site) -> None:
    address = reverse("layer-test-columns", args=[busy_site.project.code])
    assert signed_in(busy_site).get(address, {"lift": "x"}).status_code == 404
    assert signed_in(busy_site, "x.outside").get(address).status_code == 404
    assert Client().get(address).status_code == 401


def test_the_story_of_a_test_comes_by_address(busy_site: Site) -> None:
    client, code = signed_in(busy_site), busy_site.project.code
    feature = layer(client, busy_site, "layer-tests", lift="4")["features"][0]
    uuid = feature["properties"]["uuid"]
    assert json.loads(client.get(reverse("map-story", args=[code, uuid])).content) == feature["properties"]
    assert client.get(reverse("map-story", args=[code, "00000000-0000-4000-8000-000000000000"])).status_code == 404
    assert signed_in(busy_site, "x.outside").get(reverse("map-story", args=[code, uuid])).status_code == 404


def test_fill_says_how_it_stands(db: None) -> None:
    site = make_covered_site()
    client = signed_in(site)
    found = layer(client, site, "layer-placements", lift="all")["features"]
    names = ("lift", "state", "passing", "required", "short", "buried", "over_unreleased")
    assert [tuple(one["properties"][name] for name in names) for one in found] == [
        (1, "released", 4, 4, 0, 0, False),
        (2, "failed", 3, 4, 1, 1, False),
        (3, "short", 2, 4, 2, 0, True),
        (4, "open", 0, 4, 4, 0, True),
    ]


def test_the_address_of_a_square_makes_bounds_and_nonsense_makes_none(db: None) -> None:
    site = make_covered_site()
    client = signed_in(site)

    def look(at: str) -> str | None:
        return client.get(reverse("map", args=[site.project.code]), {"lift": "3", "at": at}).context["look"]

    # The line runs east from 20,000 ft at station 10+00 (304.8 m); 15 m to either side
    [[south, west], [north, east]] = json.loads(look("main,335.3,365.8") or "")
    assert (west, east) == (pytest.approx(6096 + 30.5, abs=0.01), pytest.approx(6096 + 61.0, abs=0.01))
    assert (south, north) == (pytest.approx(3048 - 15, abs=0.01), pytest.approx(3048 + 15, abs=0.01))
    for at in ("", "main", "main,1", "none,1,2", "main,nan,inf", "main,365.8,335.3", "main,9000,9999", "main,<b>,2"):
        assert look(at) == ""


def test_values_are_numbered_in_the_order_in_which_they_come() -> None:
    found = Numbered()
    assert [found.of(value) for value in ("a", "b", "a", None, "b")] == [0, 1, 0, 2, 1]
    assert found.values == ["a", "b", None]


def test_tests_without_a_place_are_counted(busy_site: Site) -> None:
    from compaction.models import Test

    client = signed_in(busy_site)
    before = columns_of(client, busy_site, "4")
    Test.objects.filter(project=busy_site.project, label="401").update(easting_m=None)
    after = columns_of(client, busy_site, "4")
    assert (after["without_place"], after["count"]) == (1, before["count"] - 1)
    assert columns_of(client, busy_site, "77")["count"] == 0
