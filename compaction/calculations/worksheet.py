"""The worksheet of one test: every step with its numbers, so that each figure can be followed with a pencil."""

from collections.abc import Mapping
from decimal import Decimal

from compaction.calculations.quantities import quantise
from compaction.facts import Step


class Worksheet:
    """Collects steps in the order in which they were worked. Wording and formula live in `catalogue` by step id.

    Numbers are kept with nine decimals; the calculation itself goes on with all its digits.
    """

    #: False where nobody reads the lines, so that their words need not be made
    keeps = True

    def __init__(self) -> None:
        self._steps: list[Step] = []

    def add(self, id: str, *, result_name: str, result: Decimal, note: str = "", **numbers: Decimal) -> None:
        """Write one step: the numbers that went in, by name with unit, and the one that came out.

        Source: common practice (no source).

        >>> sheet = Worksheet()
        >>> sheet.add("void-ratio", result_name="void_ratio", result=Decimal("0.6"))
        >>> [step.id for step in sheet.steps]
        ['void-ratio']
        """
        self.add_named(id, numbers, result_name=result_name, result=result, note=note)

    def add_named(
        self, id: str, numbers: Mapping[str, Decimal], *, result_name: str, result: Decimal, note: str = ""
    ) -> None:
        """The same as `add` where the names are made up while working (can 1, can 2 ...)."""
        kept = {name: quantise(value) for name, value in numbers.items()}
        self._steps.append(Step(id=id, numbers=kept, result_name=result_name, result=quantise(result), note=note))

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps so far, in order."""
        return tuple(self._steps)


class NullSheet(Worksheet):
    """A worksheet that keeps nothing, where only the figures are wanted."""

    keeps = False

    def add(self, id: str, *, result_name: str, result: Decimal, note: str = "", **numbers: Decimal) -> None:
        """Nothing. Source: common practice (no source)."""

    def add_named(
        self, id: str, numbers: Mapping[str, Decimal], *, result_name: str, result: Decimal, note: str = ""
    ) -> None:
        """Nothing. Source: common practice (no source)."""


#: Shared by every call that wants no worksheet; it holds no state.
NO_SHEET = NullSheet()
