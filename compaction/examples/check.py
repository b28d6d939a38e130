"""What comes of working one example: a line for every figure, the findings, and a verdict."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import CalculationError
from compaction.calculations.rounding import plain_number
from compaction.examples import figures
from compaction.facts import Finding

MET: Final = "met"
DEVIATES: Final = "deviates"
WRONG_PRINT: Final = "print is wrong"
EXPLAINED: Final = "explained"
NOT_WORKED: Final = "not worked"


@dataclass(frozen=True)
class Line:
    """One figure: as the example has it, as worked here, and what lies between them at most."""

    quantity: str
    printed: str
    computed: str
    tolerance: str
    verdict: str


@dataclass(frozen=True)
class Checked:
    """One example, worked. `verdict` is "met", "error found" or "deviates"; `remarks` say what deviates."""

    id: str
    lines: tuple[Line, ...]
    findings: tuple[str, ...]
    verdict: str
    remarks: tuple[str, ...] = ()


class Check:
    """Takes what a topic works out of one example, and holds it against what the example says."""

    def __init__(self, example: Mapping[str, Any]) -> None:
        self._example = example
        self._within: Mapping[str, str] = example.get("within", {})
        self._wrong_print = example.get("kind") == "published-with-error"
        self._lines: list[Line] = []
        self._findings: list[str] = []
        self._remarks: list[str] = []
        self._error: CalculationError | None = None

    def expected(self, worked: Mapping[str, Decimal], *, but: Iterable[str] = ()) -> None:
        """Hold every figure under `printed` and `recomputed` against what was worked (SI), by name."""
        for name, text in self._example.get("printed", {}).items():
            if name not in but:
                self.figure(name, text, worked.get(name), otherwise=self.where_print_differs)
        for name, text in self._example.get("recomputed", {}).items():
            if name not in but:
                self.figure(f"{name}, recomputed", text, worked.get(name), within=self._within.get(name, ""))

    @property
    def where_print_differs(self) -> str:
        """The verdict on a printed figure that differs: in `published-with-error` it may, and a finding says so."""
        return WRONG_PRINT if self._wrong_print else DEVIATES

    def figure(
        self,
        quantity: str,
        text: str,
        worked_si: Decimal | None,
        *,
        within: str = "",
        otherwise: str = DEVIATES,
    ) -> None:
        """One figure (SI) against its text; `otherwise` is the verdict where it is not met."""
        within = within or self._within.get(quantity, "")
        unit = text.partition(" ")[2]
        figures.stated_si(text, quantity)
        tolerance = within or f"{plain_number(figures.half_digit(text))} {unit}".strip()
        if worked_si is None:
            verdict = NOT_WORKED if otherwise != DEVIATES else DEVIATES
            self._line(Line(quantity, text, "", tolerance, verdict))
            return
        same = figures.met(text, worked_si, within, key=quantity)
        verdict = MET if same else otherwise
        self._line(Line(quantity, text, figures.shown(worked_si, text), tolerance, verdict))

    def number(
        self, quantity: str, expected: float, found: float, *, within: float, unit: str, otherwise: str = DEVIATES
    ) -> None:
        """One figure of geometry: both as numbers in the unit named, with the tolerance of the example."""
        verdict = MET if abs(found - expected) <= within else otherwise
        computed = f"{figures.shown_number(found, within)} {unit}".strip()
        self._line(Line(quantity, f"{expected} {unit}".strip(), computed, f"{within:g} {unit}".strip(), verdict))

    def same(self, quantity: str, expected: object, found: object) -> None:
        """Something that is the same or not: a count, a result, a limit."""
        self._line(Line(quantity, str(expected), str(found), "none", MET if expected == found else DEVIATES))

    def found(self, findings: Iterable[Finding | str]) -> None:
        """Findings in the order in which they came."""
        self._findings += [finding if isinstance(finding, str) else finding.code for finding in findings]

    def raised(self, error: CalculationError) -> None:
        """An error that ended the calculation."""
        self._error = error

    def finish(self) -> Checked:
        """The verdict, once everything was worked."""
        expected, findings, error = self._example.get("findings", []), self._findings, self._error
        if error is not None and error.code != self._example.get("error"):
            self._remarks.append(f"the calculation refuses: {error.sentence} ({error.code})")
        if error is None and "error" in self._example:
            self._remarks.append(f"the error {self._example['error']} should have been raised")
        if error is None and findings != expected:
            self._remarks.append(
                f"findings should be: {', '.join(expected) or 'none'}; they are: {', '.join(findings) or 'none'}"
            )
        if not self._lines and not findings and error is None:
            self._remarks.append("the example states no figure, finding or error that could be compared")
        codes = tuple(findings) if error is None else (*findings, error.code)
        deviates = bool(self._remarks) or any(line.verdict == DEVIATES for line in self._lines)
        verdict = DEVIATES if deviates else "error found" if self._wrong_print else MET
        return Checked(str(self._example["id"]), tuple(self._lines), codes, verdict, tuple(self._remarks))

    def _line(self, line: Line) -> None:
        self._lines.append(line)
