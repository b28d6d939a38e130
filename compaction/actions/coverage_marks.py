"""Which lifts have to be looked at again: those of the tests that changed, or all of them."""

from collections.abc import Iterable

from compaction.models import Test
from projects import stale

KIND = "lift"
#: the key that stands for every lift of a project: placements move what is beside, below and after them
EVERYTHING = "*"


def marks(tests: Iterable[Test], cause: str) -> list[stale.Mark]:
    """Marks for the lifts that tests were made on; costs no statement. A test without a lift speaks for none."""
    lifts = {test.lift for test in tests if test.lift is not None}
    return [stale.Mark(KIND, str(lift), cause) for lift in sorted(lifts)]


def everything(cause: str) -> stale.Mark:
    """The mark for all lifts."""
    return stale.Mark(KIND, EVERYTHING, cause)
