"""What reading the elements of a file gives: rows, closures, remarks, and the directions that were written."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from projects.geometry.elements import Element

# In the file's unit: what rounding explains, what is worth a warning, what makes the file unusable.
ROUNDING, WARNING, ERROR = 0.002, 0.02, 0.5
Remark = tuple[str, str, str]  # code, severity (information, warning, error), sentence


@dataclass(frozen=True)
class ElementClosure:
    """How far an element, built from its start and its own figures, ends from the end point that the file states."""

    number: int
    kind: str
    stated_length: Decimal | None
    computed_length: float
    misclosure: float | None  # file's unit; None where the file gives nothing to compare
    compared: str


@dataclass
class PlanReading:
    """Rows for `ElementTable`, closures, remarks, and the true azimuths of what had a direction written on it."""

    rows: list[dict[str, Any]] = field(default_factory=list)
    closures: list[ElementClosure] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    directions: list[tuple[str, float]] = field(default_factory=list)  # as written, true azimuth (radians)
    before: Element | None = None

    @property
    def length(self) -> float:
        """Sum of the elements, in the file's unit."""
        return sum(closure.computed_length for closure in self.closures)
