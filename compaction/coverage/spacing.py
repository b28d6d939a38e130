"""How evenly tests lie along a fill that is long and narrow, where distances in plan say little.

Behind each test lies a share of the fill's area; of places at random these shares are uniform between 0 and 1. The
statistic is the sum of squares of the gaps between them, ends included (M. Greenwood, "The statistical study of
infectious diseases", Journal of the Royal Statistical Society 109 (1946), from memory): large where tests lie close
together somewhere and leave the rest without. Its mean is 2 / (n + 2); how often chance gives so much is counted in
draws whose seed is the number of tests, so that anybody finds the same figure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from random import Random
from typing import Final

from compaction.coverage.ground import Ground

#: draws of as many tests at random; the smallest chance that they can tell is one in so many
DRAWS: Final = 1999


@dataclass(frozen=True)
class Spacing:
    """Unevenness of the tests along the fill, against that of places at random."""

    unevenness: float
    expected: float
    probability: float  # how often chance gives so much or more

    @property
    def ratio(self) -> float:
        """Above 1: less even than chance."""
        return self.unevenness / self.expected


def spacing(ground: Ground, points: Sequence[tuple[float, float]]) -> Spacing:
    """The spacing of tests (along, across) on a ground with an area."""
    start = ground.slabs[0].along_from
    behind = [sum(slab.area_m2 for slab in ground.between(start, along)) / ground.area_m2 for along, _ in points]
    found = unevenness(behind)
    as_much = sum(drawn >= found for drawn in _at_random(len(points)))
    return Spacing(found, 2 / (len(points) + 2), (as_much + 1) / (DRAWS + 1))


def unevenness(shares: Sequence[float]) -> float:
    """The sum of squares of the gaps between shares, and to 0 and 1.

    >>> unevenness([0.25, 0.5, 0.75])
    0.25
    """
    return sum((high - low) ** 2 for low, high in pairwise([0.0, *sorted(shares), 1.0]))


@lru_cache(maxsize=64)
def _at_random(count: int) -> tuple[float, ...]:
    dice = Random(count)  # draws for a figure of a page, nothing secret
    return tuple(unevenness([dice.random() for _ in range(count)]) for _ in range(DRAWS))
