"""Strict JSON: what plain `json.loads` takes and a record may not."""

import json
from decimal import Decimal

import pytest

from api.errors import Problem
from api.parsing import DEEPEST, read_json


def refused(text: str) -> Problem:
    with pytest.raises(Problem) as caught:
        read_json(text)
    assert caught.value.code == "body-not-json"
    json.dumps(caught.value.content("1")).encode()  # can be sent, whatever was in it
    return caught.value


def test_fractions_are_decimals_and_keep_every_digit() -> None:
    assert read_json('{"a": 0.10, "b": 12, "c": "12.40 %"}') == {"a": Decimal("0.10"), "b": 12, "c": "12.40 %"}
    assert str(read_json("0.10")) == "0.10"


@pytest.mark.parametrize(
    "text", ["NaN", "[Infinity]", '{"a": -Infinity}', "1e400", "[1e-400]", "-1E99", "1" * 5000, "0." + "1" * 80]
)
def test_numbers_that_no_reading_can_be(text: str) -> None:
    refused(text)


def test_a_name_given_twice_is_pointed_at() -> None:
    assert [error[0] for error in refused('{"a": {"n/1": 1, "n/1": 2}, "b": [{"x": 1, "x": 1}]}').errors] == [
        "/a/n~11",
        "/b/0/x",
    ]


@pytest.mark.parametrize(
    ("text", "pointer"),
    [
        ('{"a": "x\\u0000y"}', "/a"),
        ('{"a": ["ok", "\\ud800"]}', "/a/1"),
        ('{"\\u0000": 1}', "/\\u0000"),
        ('{"a": {"b\\udfff": 1}}', "/a/b\\udfff"),
        ('["\\u001b[2J"]', "/0"),
        ('"\\u0085"', ""),
    ],
)
def test_characters_that_cannot_be_kept_are_pointed_at(text: str, pointer: str) -> None:
    assert refused(text).errors[0][:2] == (pointer, "control-character")


def test_tab_and_line_feed_are_text() -> None:
    assert read_json('"a\\tb\\nc"') == "a\tb\nc"


def test_depth() -> None:
    assert read_json("[" * DEEPEST + "]" * DEEPEST)
    assert refused("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1)).errors[0][1] == "too-deep"
    refused("[" * 100_000 + "]" * 100_000)
    refused("[" * 100_000)
    refused('{"a":' * 50_000 + "1" + "}" * 50_000)


@pytest.mark.parametrize(
    "text", ["", "{", "{'a': 1}", '{"a": 1,}', "\ufeff{}", "01", "+1", "1_0", '{"a": undefined}', '"\x01"', "nul"]
)
def test_what_is_not_json(text: str) -> None:
    refused(text)


def test_many_faults_are_told_together_but_not_without_end() -> None:
    content = json.dumps({f"k{number}": "\x00" for number in range(500)})
    assert len(refused(content).errors) == 50
