"""Figures of many tests beside the pictures: how many, mean, spread, ends, and how many fail at the first attempt."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.acceptance_statistics import mean, standard_deviation
from compaction.register import TestRow

#: quantity -> column of the row
QUANTITIES: Final = {
    "percent_compaction": "percent_compaction",
    "water_content_deviation": "water_content_deviation",
}
#: tests of these purposes say something about the fill
PURPOSES: Final = frozenset({"acceptance", "quality_control", "verification", "resolution"})
GROUPS: Final[dict[str, Callable[[TestRow], str]]] = {
    "area": lambda row: row.zone or "off every area",
    "technician": lambda row: row.technician or "nobody named",
    "reference": lambda row: row.reference_code or "none named",
}


@dataclass(frozen=True)
class Summary:
    """Tests of one group: all numbers unrounded; None where there are too few."""

    name: str
    tests: int
    failing: int
    mean: Decimal | None
    standard_deviation: Decimal | None
    lowest: Decimal | None
    highest: Decimal | None

    @property
    def failing_pct(self) -> Decimal | None:
        """Share of the tests that fail."""
        return Decimal(100 * self.failing) / self.tests if self.tests else None


@dataclass(frozen=True)
class Apart:
    """First tests and retests, never mixed."""

    first: tuple[TestRow, ...]
    retests: tuple[TestRow, ...]


def figure(row: TestRow, quantity: str) -> Decimal | None:
    """The row's figure of a quantity, unrounded."""
    value: Decimal | None = getattr(row, QUANTITIES[quantity])
    return value


def apart(rows: Iterable[TestRow]) -> Apart:
    """Oldest first; voids, checks beside, and tests for information or assurance left out."""
    ordered = sorted(
        (row for row in rows if not row.voided and not row.check_of and row.purpose in PURPOSES),
        key=lambda row: (row.performed_at, row.uuid),
    )
    return Apart(tuple(row for row in ordered if not row.retest_of), tuple(row for row in ordered if row.retest_of))


def summary(name: str, rows: Sequence[TestRow], quantity: str) -> Summary:
    """The figures of one group."""
    values = [value for row in rows if (value := figure(row, quantity)) is not None]
    return Summary(
        name=name,
        tests=len(rows),
        failing=sum(1 for row in rows if row.result == "fail"),
        mean=mean(values) if values else None,
        standard_deviation=standard_deviation(values) if len(values) > 1 else None,
        lowest=min(values, default=None),
        highest=max(values, default=None),
    )


def by_group(rows: Sequence[TestRow], quantity: str) -> dict[str, list[Summary]]:
    """First tests by area, technician and reference; the names in order."""
    found: dict[str, list[Summary]] = {}
    for group, name_of in GROUPS.items():
        sorted_out: dict[str, list[TestRow]] = {}
        for row in rows:
            sorted_out.setdefault(name_of(row), []).append(row)
        found[group] = [summary(name, sorted_out[name], quantity) for name in sorted(sorted_out)]
    return found
