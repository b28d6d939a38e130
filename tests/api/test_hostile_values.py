"""Nothing that a client sends gives a 500, on either database, and nothing of it is stored as something else."""

import copy
import json
import os
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection

from api.errors import Problem
from api.parsing import read_json
from compaction.actions import sweep
from compaction.models import Test, TestVersion
from projects.models import StaleWork
from tests import builders
from tests.api.conftest import Caller
from tests.api.operations_table import CALLS, ID
from tests.builders import Site

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

#: raw JSON, so that what Python's own writer cannot write is there too
VALUES = [
    "NaN",
    "Infinity",
    "-Infinity",
    "1e400",
    "-1e400",
    "1e-400",
    "1" * 5000,
    "0.1",
    "12.0",
    "-0",
    "0",
    "1e2",
    "true",
    "false",
    "null",
    "[]",
    "{}",
    "[[]]",
    '{"a": 1}',
    '""',
    '" "',
    '"\\t"',
    '"NaN"',
    '"Infinity"',
    '"nan"',
    '"1e400"',
    '"1e2"',
    '"١٢.٣"',
    '"１２"',
    '"1_2.5"',
    '"1_0"',
    '" 12 "',
    '"+5"',
    '"-0"',
    '"007"',
    '"12,4"',
    '"0x10"',
    '"12"',
    '"12.4 %"',
    '"12.4%"',
    '"12.4  %"',
    '"12.4 pcf"',
    '"-12.4 g"',
    '"0 g"',
    '"9999999.999999 kg"',
    '"99999999 g"',
    '"1.0000000 g"',
    '"\\u0000"',
    '"a\\u0000b"',
    '"\\ud800"',
    '"\\udc00x"',
    '"\\u001b[31m"',
    '"\\u202e"',
    '"\\u2028"',
    '"\\ufeff"',
    '"e\\u0301"',
    '"😀"',
    '"' + "x" * 100_000 + '"',
    '"' + "9" * 5000 + ' g"',
    '"2026-06-03T09:15:00"',
    '"2026-06-03"',
    '"2026-06-03T09:15:60Z"',
    '"2026-02-30T00:00:00Z"',
    '"0001-01-01T00:00:00+14:00"',
    '"9999-12-31T23:59:59-14:00"',
    '"2026-03-08T02:30:00-07:00"',
    '"1780000000"',
    "1780000000",
    '"2026-06-03T09:15:00+99:00"',
    '"2026-06-03T09:15:00Z"',
    '"2126-06-03T09:15:00Z"',
    '"1926-06-03T09:15:00Z"',
    '"0001-01-01T00:00:00Z"',
    '"9999-12-31T23:59:59Z"',
    '"2026-W23-3"',
    "1000000000000000000000000000000",
    "9223372036854775808",
    "-1",
    "99999999",
    '"3F0C0A52-6A3E-4D5B-9A55-1F6F4F8F7A10"',
    '"{3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10}"',
    f'"{ID}"',
    '"\'; DROP TABLE compaction_test; --"',
    '"<script>alert(1)</script>"',
    '"=1+1"',
    '"${7*7}"',
    '"../../etc/passwd"',
    '"%s%n"',
    '"9999999.999999 m"',
    '"-9999999.999999 m"',
    '"9999999 km"',
    '"9999999.999999 %"',
    '"-9999999.999999 %"',
    '"9999999.999999 pcf"',
    '"0 pcf"',
    '"9999999.999999"',
    '"0.000001 kg"',
    '"0.000001 g/cm3"',
    '"-9999999.999999 kg"',
    '"9999999.999999 yd3"',
    '"0 %"',
    '"0.000001 m"',
    '"99999+99.99"',
    '"9999999+00 L"',
    "[" * 3000 + "]" * 3000,
    '{"a":' * 30 + "1" + "}" * 30,
    '{"n": 1, "n": 2}',
    '{"__class__": "x"}',
    '["12.4 %"]',
]


def is_strict_json(text: str) -> bool:
    try:
        read_json(text)
    except Problem:
        return False
    return True


#: what gets past the parser; the rest never reaches a record (test_parsing has it value by value)
READABLE = [value for value in VALUES if is_strict_json(value)]
#: A place gets each fourth value on PostgreSQL and each eighth elsewhere, by turns; HOSTILE_VALUES_EACH=1 gives it all.
EACH = int(os.environ.get("HOSTILE_VALUES_EACH", "4" if connection.vendor == "postgresql" else "8"))
TURN = 1 if connection.vendor == "postgresql" else 0
MARK = "@@here@@"
FULL_GAUGE = builders.gauge_body(
    oversize={
        "sieve": "no4",
        "basis": "this_hole",
        "percent": "18 %",
        "bulk_specific_gravity": "2.62",
        "water_content": "1.5 %",
    },
    maximum_particle="25 mm",
    apparatus={"gauge": "G-1187"},
    printed={"dry_density": "106.0 pcf", "percent_compaction": "96.4 %"},
    retest_of=ID,
    notified={"person": "grading foreman", "at": "2026-06-03T09:40:00-06:00", "how": "spoken"},
    soil="clay",
    weather="dry",
    witness="x",
    remarks="y",
)
FULL_GAUGE["readings"].update(
    count_time="1 min", density_count=1200, water_offset={"value": "0.4 %", "in_display": True}
)
FULL_GAUGE["position"]["gps"] = {
    "latitude": "41.123456",
    "longitude": "-81.123456",
    "accuracy": "4.9 m",
    "confidence": "68 %",
}
FULL_CONE = builders.sand_cone_body(
    water_contents=[
        {
            "method": "oven",
            "fraction": "total",
            "cans": [{"can": "A1", "wet_and_can": "180.2 g", "dry_and_can": "160.1 g", "can_mass": "30.0 g"}],
        }
    ],
    position={"easting": "20400 ft", "northing": "10010 ft", "depth_below_grade": "0.38 ft"},
    check_of=ID,
)


def places(content: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every member and item of a body."""
    items = content.items() if isinstance(content, dict) else enumerate(content) if isinstance(content, list) else ()
    for name, value in items:
        yield (*path, name)
        yield from places(value, (*path, name))


def with_value(content: Any, path: tuple[Any, ...], value: str) -> str:
    """The body as text, with raw JSON in one place."""
    changed = copy.deepcopy(content)
    at = changed
    for name in path[:-1]:
        at = at[name]
    at[path[-1]] = MARK
    return json.dumps(changed).replace(f'"{MARK}"', value)


def test_the_full_bodies_are_taken_as_they_are(site: Site, crew: Caller) -> None:
    for body in (FULL_GAUGE, FULL_CONE):
        answer = crew.put_test(body)
        assert answer.status_code == 201, answer.content


GAUGE_PLACES = list(places(FULL_GAUGE))
CONE_PLACES = [place for place in places(FULL_CONE) if place not in GAUGE_PLACES]


@pytest.mark.parametrize("part", range(4))
def test_every_member_of_a_gauge_test(crew: Caller, part: int) -> None:
    for place in GAUGE_PLACES[part::4]:
        go_through(crew, FULL_GAUGE, place)


@pytest.mark.parametrize("part", range(2))
def test_every_member_that_only_a_sand_cone_test_has(crew: Caller, part: int) -> None:
    for place in CONE_PLACES[part::2]:
        go_through(crew, FULL_CONE, place)


#: members that take nearly every text: a quarter of the values each, another quarter each
FREE_TEXT = (
    "label",
    "technician",
    "soil",
    "weather",
    "witness",
    "remarks",
    "person",
    "gauge",
    "can",
    "serial",
    "reference",
)


def go_through(crew: Caller, body: dict[str, Any], place: tuple[Any, ...]) -> None:
    """Every readable value in one batch; what is taken is stored exactly as written and can be read again."""
    step = EACH * (4 if place[-1] in FREE_TEXT else 1)
    values = READABLE[(len(str(place)) + TURN) % step :: step]
    items = [{"id": str(uuid.uuid4()), "test": json.loads(with_value(body, place, value))} for value in values]
    answer = crew.post("tests:batch", {"items": items})
    assert answer.status_code == 200
    for value, item, result in zip(values, items, answer.json()["results"], strict=True):
        assert result["status"] in (201, 422), (place, value[:60], str(result)[:300])
        stored = TestVersion.objects.filter(test__client_uuid=item["id"]).first()
        assert (stored is not None) == (result["status"] == 201)
        if stored is not None:
            assert json.loads(stored.content) == json.loads(stored.raw_body) == item["test"]
    listed = crew.get("tests?limit=200")
    assert listed.status_code == 200, (place, poisoned())
    taken = [item for item, result in zip(items, answer.json()["results"], strict=True) if result["status"] == 201]
    for item in taken[:2]:
        again = crew.put(f"tests/{item['id']}", item["test"])
        assert (again.status_code, crew.get(f"tests/{item['id']}").status_code) == (200, 200)
    sweep.run_until_idle()
    assert StaleWork.objects.filter(attempts__gt=0).count() == 0


def poisoned() -> list[str]:
    """The tests whose row can be written but not read: what SQLite keeps and a column's digits can't hold."""
    found = []
    for pk in Test.objects.values_list("pk", flat=True):
        try:
            Test.objects.get(pk=pk)
        except ArithmeticError:
            found.append(TestVersion.objects.get(test_id=pk, version=1).raw_body)
    return found


def test_what_the_parser_refuses_is_stored_nowhere(crew: Caller) -> None:
    for place in (("label",), ("readings", "wet_density"), ("lift",), ("position",)):
        for value in set(VALUES) - set(READABLE):
            answer = crew.put_test(with_value(FULL_GAUGE, place, value))  # type: ignore[arg-type]
            assert answer.status_code == 400, (place, value[:60], answer.content[:300])
    assert Test.objects.count() == 0


@pytest.mark.parametrize(
    "name", ["", " ", "\\u0000", "\\ud800", "__proto__", "a/b~c", "x" * 5000, "performed_at ", "Method", "\\u0442"]
)
def test_names_that_nobody_asked_for(crew: Caller, name: str) -> None:
    for where in (("readings",), ("position",), ()):
        body = copy.deepcopy(builders.gauge_body())
        at = body
        for part in where:
            at = at[part]
        at[MARK] = 1
        answer = crew.put_test(json.dumps(body).replace(MARK, name))  # type: ignore[arg-type]
        assert answer.status_code in (400, 422), answer.content[:300]
    assert Test.objects.count() == 0


def test_items_of_a_batch(crew: Caller) -> None:
    body = {"items": [{"id": ID, "test": builders.gauge_body()}]}
    for place in (("items",), ("items", 0), ("items", 0, "id"), ("items", 0, "test"), ("items", 0, "test", "readings")):
        for value in READABLE:
            answer = crew.post("tests:batch", with_value(body, place, value))
            assert answer.status_code in (200, 400, 422), (place, value[:60], answer.content[:300])
            if answer.status_code == 200:
                assert all(result["status"] < 500 for result in answer.json()["results"]), (
                    place,
                    value[:60],
                    answer.content[:500],
                )


@pytest.mark.parametrize(
    "call", [call for call in CALLS if call.body is not None], ids=lambda call: f"{call.method} {call.tail}"
)
def test_every_member_of_every_other_body(site: Site, by_session: Any, call: Any) -> None:
    """With a record to act upon behind each id, so that the body is looked at."""
    technician, engineer = by_session("t.moss"), by_session("e.stone")
    technician.put(f"tests/{ID}", builders.failing_body())
    sweep.run_until_idle()
    failure = engineer.get("failures").json()["items"][0]["uuid"]
    tail = call.tail.replace("failures/{id}", f"failures/{failure}")
    call = type(call)(call.method, tail, call.needs, call.body)
    members = [path for path in places(call.body) if path[0] != "items" or len(path) < 4]
    if call.tail.startswith("tests"):
        members = [path for path in members if len(path) < 3 and path[:1] != ("test",)]
    for place in members:
        step = EACH * (1 if len(members) < 4 else 6)
        for value in READABLE[(len(str(place)) + TURN) % step :: step]:
            answer = engineer.call(call.method, call.fresh_tail, with_value(call.body, place, value))
            assert answer.status_code < 500, (call, place, value[:60], answer.content[:300])
    sweep.run_until_idle()
    for tail in ("tests", "failures", "placements", "references", "specifications", "journal"):
        assert engineer.get(tail).status_code == 200, tail


def test_queries(crew: Caller) -> None:
    for name in (
        "lift",
        "result",
        "zone",
        "technician",
        "reference",
        "date_from",
        "date_to",
        "failures_only",
        "limit",
        "cursor",
        "x",
    ):
        for value in [
            "%00",
            "a%00b",
            "%ff",
            "%ed%a0%80",
            "1e400",
            "NaN",
            "-1",
            "9" * 400,
            "%D9%A1",
            "'",
            "%27%3B--",
            "%25",
            "_",
            "[]",
            "true",
            "%0a",
            "",
        ]:
            answer = crew.get(f"tests?{name}={value}")
            assert answer.status_code in (200, 400), (name, value, answer.content[:300])


def test_truncated_and_mangled_bodies(crew: Caller) -> None:
    text = json.dumps(builders.gauge_body()).encode()
    for cut in range(0, len(text), 37):
        assert crew.put_test(text[:cut]).status_code in (400, 422)  # type: ignore[arg-type]
    for position in range(0, len(text), 53):
        for byte in (0, 0x1F, 0x80, 0xFF, 0x22, 0x5C):
            mangled = text[:position] + bytes([byte]) + text[position + 1 :]
            assert crew.put_test(mangled).status_code in (201, 400, 422)  # type: ignore[arg-type]
