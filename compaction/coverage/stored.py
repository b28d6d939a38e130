"""A group's cover as it is stored and as it comes back: plain JSON, decimals and moments as text."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from compaction.coverage.facts import Count, Covered

_DECIMALS: Final = ("volume_m3", "elevation_top_m")
_FLOATS: Final = ("area_m2", "station_from_m", "station_to_m")
_MOMENTS: Final = ("first_placed_at", "last_placed_at")
_TUPLES: Final = ("below", "above", "tests", "overlaps")
#: came later: left out while it says nothing, so that covers on record stay as they are
_LATER: Final = ("overlaps",)
_COUNT_DECIMALS: Final = ("quantity", "interval")


def to_plain(covered: Covered) -> dict[str, Any]:
    """The fields, in a form that JSON keeps to the digit."""
    plain = {one.name: getattr(covered, one.name) for one in fields(covered)}
    for name in _DECIMALS:
        plain[name] = _text(plain[name])
    for name in _FLOATS:
        plain[name] = None if plain[name] is None else repr(float(plain[name]))
    for name in _MOMENTS:
        plain[name] = None if plain[name] is None else plain[name].isoformat()
    for name in _TUPLES:
        plain[name] = list(plain[name])
    for name in _LATER:
        if not plain[name]:
            del plain[name]
    plain["counts"] = [_count_plain(one) for one in covered.counts]
    return plain


def from_plain(plain: Mapping[str, Any]) -> Covered:
    """The same back. A field that came later than the row keeps its default."""
    known = {one.name for one in fields(Covered)}
    values = {name: value for name, value in plain.items() if name in known}
    for name in _DECIMALS:
        values[name] = _decimal(values.get(name))
    for name in _FLOATS:
        values[name] = None if values.get(name) is None else float(values[name])
    for name in _MOMENTS:
        values[name] = None if values.get(name) is None else datetime.fromisoformat(values[name])
    for name in _TUPLES:
        values[name] = tuple(values.get(name, ()))
    values["counts"] = tuple(_count(one) for one in values.get("counts", ()))
    return Covered(**values)


def _count_plain(count: Count) -> dict[str, Any]:
    plain = {one.name: getattr(count, one.name) for one in fields(count)}
    return {**plain, **{name: _text(plain[name]) for name in _COUNT_DECIMALS}}


def _count(plain: Mapping[str, Any]) -> Count:
    return Count(**{**plain, **{name: _decimal(plain[name]) for name in _COUNT_DECIMALS}})


def _text(value: Decimal | None) -> str | None:
    return None if value is None else format(value, "f")


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
