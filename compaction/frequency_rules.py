"""How often to test, as a specification says it: rules and their counters, in m3, m2, m and numbers of things."""

from dataclasses import dataclass
from decimal import Decimal

#: what a counter counts up: quantities of fill, or things
BASES = ("volume", "area", "length", "height", "lift", "day", "visit", "side", "material", "tests")
#: over what it counts before it is rounded up
WITHIN = ("lift", "day", "area", "lot", "material")


@dataclass(frozen=True)
class Counter:
    """One test for every `interval` of the basis (m3, m2, m, or a number of things), at least `minimum`."""

    basis: str
    interval: Decimal
    within: str = "lift"
    minimum: int = 0
    unit: str = ""  # of the interval as written: sentences speak in it


@dataclass(frozen=True)
class Reduced:
    """After so many passes in a row only one of `one_in` groups has to be tested; a failure ends it."""

    after_passes: int
    one_in: int


@dataclass(frozen=True)
class FrequencyRule:
    """How often to test. Several counters: whichever gives more."""

    name: str
    counters: tuple[Counter, ...]
    zone: str = ""  # empty: everywhere
    material: str = ""
    methods: tuple[str, ...] = ()  # methods that count; empty: all
    counts: str = "tests"  # tests | references (laboratory curves per quantity)
    purposes: tuple[str, ...] = ("acceptance",)
    reduced: Reduced | None = None
    signed_release: bool = False  # a lift is released by signature, not by its tests alone
    clause: str = ""
