"""The mark of a test: what decides first, and that every mark has its words."""

from dataclasses import fields
from datetime import UTC, datetime
from typing import Any

import pytest

from compaction.register import MARK_WORDS, TestRow, mark

MOMENT = datetime(2026, 6, 3, tzinfo=UTC)
PLAIN = {"str": "", "bool": False, "int": 0, "datetime": MOMENT}


def row(**changes: Any) -> TestRow:
    """A passing, final test; every other member empty."""
    empty: dict[str, Any] = {}
    for field in fields(TestRow):
        kind = field.type if isinstance(field.type, str) else getattr(field.type, "__name__", "")
        empty[field.name] = () if "tuple" in str(field.type) else PLAIN.get(kind)
    return TestRow(**empty | {"result": "pass", "basis": "final"} | changes)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, "pass"),
        ({"basis": "provisional"}, "provisional"),
        ({"result": "pending"}, "provisional"),
        ({"result": "fail"}, "fail"),
        ({"result": "fail", "basis": "provisional"}, "fail"),
        ({"result": "fail", "failure_state": "open"}, "fail"),
        ({"result": "fail", "failure_state": "reworked"}, "fail"),
        ({"result": "fail", "failure_state": "passed_on_retest"}, "passed_on_retest"),
        ({"result": "fail", "failure_state": "closed"}, "passed_on_retest"),
        ({"result": "fail", "failure_state": "accepted_as_is"}, "accepted"),
        ({"result": "fail", "failure_state": "removed_and_replaced"}, "accepted"),
        ({"result": "fail", "failure_state": "withdrawn"}, "accepted"),
        ({"result": "pass", "failure_state": "closed", "attempt": 1}, "pass"),
        ({"open_holds": ("impossible-mass",)}, "on_hold"),
        ({"result": "fail", "open_holds": ("impossible-mass",)}, "on_hold"),
        ({"result": "fail", "open_holds": ("x",), "buried": True}, "buried_failure"),
        ({"result": "fail", "open_holds": ("x",), "buried": True, "voided": True}, "voided"),
    ],
)
def test_the_mark(changes: dict[str, Any], expected: str) -> None:
    assert mark(row(**changes)) == expected
    assert expected in MARK_WORDS
