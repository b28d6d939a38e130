"""The errors a calculation may raise: each carries a code and a sentence fit for the person who sent the reading."""

from collections.abc import Iterable, Sequence
from decimal import Decimal


class CalculationError(ValueError):
    """A figure that cannot be worked out. `sentence` says what, where, the limit and the remedy."""

    def __init__(
        self,
        code: str,
        sentence: str,
        *,
        value: Decimal | None = None,
        limit: Decimal | None = None,
        unit: str = "",
    ) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.value = value
        self.limit = limit
        self.unit = unit


class OutsideValidity(CalculationError):
    """A formula asked beyond the range that its source states."""


class ImpossibleReading(CalculationError):
    """Readings that cannot be true together: a jar lighter with sand than empty, a negative hole."""


class NotEnoughReadings(CalculationError):
    """Figures are missing; `missing` names them as the reading names them."""

    def __init__(self, code: str, sentence: str, *, missing: Sequence[str] = ()) -> None:
        super().__init__(code, sentence)
        self.missing = tuple(missing)


class ReadingError(ValueError):
    """One thing that cannot be read. `pointer` is a JSON pointer relative to the readings."""

    def __init__(self, pointer: str, code: str, sentence: str) -> None:
        super().__init__(f"{pointer or '/'}: {sentence}")
        self.pointer = pointer
        self.code = code
        self.sentence = sentence


class ReadingsError(ValueError):
    """Everything that could not be read in one set of readings, together, so that it is corrected in one go."""

    def __init__(self, errors: Iterable[ReadingError]) -> None:
        self.errors: tuple[ReadingError, ...] = tuple(errors)
        super().__init__("; ".join(str(error) for error in self.errors))
