"""Tests for the map as columns of short values: what 20,000 of them need stays far below a megabyte on the wire.

Places are whole numbers of `step` from `origin` (a centimetre; 1e-7 degree is 1.1 cm), days and marks are numbers in
lists that are sent once. `map_plan.js` puts them together again.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from typing import Any
from uuid import UUID

from compaction.maps.layers import Json
from compaction.register import ACCEPTED, MARK_WORDS, PASSED_ON_RETEST, MapTest, mark

_STEPS = {True: 1e-7, False: 0.01}


class Numbered:
    """Values by their number, each sent once."""

    def __init__(self) -> None:
        self.values: list[Any] = []
        self._numbers: dict[Any, int] = {}

    def of(self, value: Any) -> int:
        number = self._numbers.get(value)
        if number is None:
            number = self._numbers[value] = len(self.values)
            self.values.append(value)
        return number


def tests(rows: Sequence[MapTest], *, degrees: bool, zone_info: tzinfo, closed_at: Mapping[str, datetime]) -> Json:
    """Columns of the tests that have a place. `closed_at` holds closings by failure."""
    placed: list[MapTest] = [row for row in rows if row.x is not None and row.y is not None]
    step = _STEPS[degrees]
    origin = (placed[0].x or 0.0, placed[0].y or 0.0) if placed else (0.0, 0.0)
    marks = {name: number for number, name in enumerate(MARK_WORDS)}
    days, limits, stations, offsets = Numbered(), Numbered(), Numbered(), Numbered()
    here = {row.uuid: number for number, row in enumerate(placed)}
    passed_at = _passing_retests(rows)
    columns: dict[str, list[Any]] = {name: [] for name in (
        "label", "x", "y", "mark", "day", "minute", "lift", "percent", "limit", "relative_density",
        "relative_density_limit", "station", "offset",
    )}  # fmt: skip
    until: dict[int, str] = {}
    retests: dict[int, Any] = {}
    for number, row in enumerate(placed):
        drawn = mark(row)
        local = row.performed_at.astimezone(zone_info)
        found = (
            row.label, round(((row.x or 0.0) - origin[0]) / step), round(((row.y or 0.0) - origin[1]) / step),
            marks[drawn], days.of(local.date().isoformat()), local.hour * 60 + local.minute, row.lift,
            _short(row.percent), limits.of(_short(row.percent_minimum)), _short(row.relative_density),
            limits.of(_short(row.relative_density_minimum)), stations.of(row.station), offsets.of(row.offset),
        )  # fmt: skip
        for name, value in zip(columns, found, strict=True):
            columns[name].append(value)
        if row.retest_of is not None:
            retests[number] = here.get(row.retest_of, str(row.retest_of))
        ended = _until(row, drawn, passed_at, closed_at)
        if ended is not None:
            until[number] = ended.astimezone(zone_info).date().isoformat()
    if not any(value is not None for value in columns["relative_density"]):
        del columns["relative_density"], columns["relative_density_limit"]
    return {
        "without_place": len(rows) - len(placed),
        "count": len(placed),
        "origin": origin,
        "step": step,
        "marks": list(marks),
        "days": days.values,
        "limits": limits.values,
        "stations": stations.values,
        "offsets": offsets.values,
        "uuids": "".join(row.uuid.hex for row in placed),
        "columns": columns,
        "fails_until": until,
        "retest_of": retests,
    }


def _short(value: float | None) -> float | int | None:
    """To a hundredth, half to even as everywhere (figures are kept to a thousandth), without idle zeros.

    >>> _short(96.455), _short(95.0), _short(93.125)
    (96.46, 95, 93.12)
    """
    if value is None:
        return None
    hundredths, rest = divmod(round(value * 1000), 10)
    hundredths += rest > 5 or (rest == 5 and hundredths % 2 == 1)
    return hundredths // 100 if hundredths % 100 == 0 else hundredths / 100


def _passing_retests(rows: Sequence[MapTest]) -> dict[UUID, datetime]:
    """Failure -> when its last passing retest was made."""
    found: dict[UUID, datetime] = {}
    for row in rows:
        if row.failure is not None and row.attempt and row.result == "pass" and not row.voided:
            known = found.get(row.failure)
            found[row.failure] = row.performed_at if known is None else max(known, row.performed_at)
    return found


def _until(
    row: MapTest, drawn: str, passed_at: Mapping[UUID, datetime], closed_at: Mapping[str, datetime]
) -> datetime | None:
    """Up to when the replay shows a mended failure as failing."""
    if row.failure is None:
        return None
    if drawn == PASSED_ON_RETEST:
        return passed_at.get(row.failure)
    return closed_at.get(str(row.failure)) if drawn == ACCEPTED else None
