"""Which lifts have to be looked at again: of the tests that changed, of fill that was placed, or all of them."""

from collections.abc import Iterable

from compaction.models import Test
from compaction.queries.work_left import EVERY_LIFT, LIFT, PLACED
from projects import stale

KIND, EVERYTHING = LIFT, EVERY_LIFT


def marks(tests: Iterable[Test], cause: str) -> list[stale.Mark]:
    """Marks for the lifts that tests were made on; costs no statement. A test without a lift speaks for none."""
    lifts = {test.lift for test in tests if test.lift is not None}
    return [stale.Mark(KIND, str(lift), cause) for lift in sorted(lifts)]


def placed(lift: int, cause: str) -> stale.Mark:
    """The mark for fill that was placed on a lift, or of which more is known now."""
    return stale.Mark(KIND, f"{PLACED}{lift}", cause)


def everything(cause: str) -> stale.Mark:
    """The mark for all lifts."""
    return stale.Mark(KIND, EVERYTHING, cause)


def lift_of(key: str) -> int:
    """The lift that a key names."""
    return int(key.removeprefix(PLACED))
