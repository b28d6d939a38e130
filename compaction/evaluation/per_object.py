"""What follows from a reference or a specification alone, made once for all the tests that share it."""

from collections.abc import Callable
from typing import Generic, TypeVar

Thing = TypeVar("Thing")
Made = TypeVar("Made")

_MOST = 1024


class PerObject(Generic[Thing, Made]):
    """A function that remembers its answer for as long as the very same frozen object comes back.

    `lru_cache` would hash the whole object on every call, with all points of a curve; here its identity is enough. The
    object is kept beside the answer, so that its number cannot pass to another one.
    """

    def __init__(self, make: Callable[[Thing], Made]) -> None:
        self._make = make
        self._known: dict[int, tuple[Thing, Made]] = {}

    def __call__(self, thing: Thing) -> Made:
        """The answer for this object, made on the first call."""
        known = self._known.get(id(thing))
        if known is not None:
            return known[1]
        made = self._make(thing)
        if len(self._known) >= _MOST:
            self._known.clear()
        self._known[id(thing)] = (thing, made)
        return made
