"""Do the tests of a lift look as if somebody chose the easy places? Figures for a reader, never a result.

Four looks: are tests closer together than chance would put them (nearest neighbours), are they at the edges, on one
side, at one end of the fill? Each is compared with what places at random over the same fill would give.

* Nearest neighbours: P. J. Clark and F. C. Evans, "Distance to nearest neighbor as a measure of spatial relationships
  in populations", Ecology 35 (1954), 445-453: R = mean distance / (0.5 / sqrt(n/A)). A boundary makes the distances of
  its points too long; the expectation and spread are those of K. Donnelly (1978) for a bounded area (from memory;
  checked by simulation in the tests): 0.5 sqrt(A/n) + (0.0514 + 0.041/sqrt(n)) P/n and
  sqrt(0.070 A/n^2 + 0.037 P sqrt(A/n^5)). Valid for shapes that are not very long and narrow, n of 7 or more.
* Where the fill is longer than that, how evenly the tests lie along it instead (`spacing`).
* Shares: exact binomial probability of so many or more.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import comb, erfc, floor, hypot, sqrt

from compaction.coverage.draws import within
from compaction.coverage.ground import Ground
from compaction.coverage.spacing import Spacing, spacing

#: fewer tests than this have no pattern to speak of (Donnelly, from memory)
FEWEST = 7
#: above this ratio of length to width the nearest-neighbour expectation no longer holds (by simulation, see tests)
LONGEST = 5.0


@dataclass(frozen=True)
class Neighbours:
    """Mean distance to the nearest other test against chance. R below 1 is closer together, above 1 more even."""

    mean_m: float
    expected_m: float
    ratio: float
    z: float
    probability_of_closer: float  # how often chance puts them so close together or closer


@dataclass(frozen=True)
class Share:
    """How many tests lie in a part of the fill, against the part's share of its area."""

    what: str
    tests: int
    of: int
    expected_share: float
    probability: float  # of so many or more by chance

    @property
    def share(self) -> float:
        return self.tests / self.of


@dataclass(frozen=True)
class Pattern:
    """Every look at one lift, and what is worth a second look in words."""

    tests: int
    neighbours: Neighbours | None
    shares: tuple[Share, ...]
    sentences: tuple[str, ...]
    along: Spacing | None = None  # in place of neighbours, on long and narrow fill


def pattern(
    ground: Ground,
    points: Sequence[tuple[float, float]],
    *,
    edge_m: float,
    notable: float,
    station_word: Callable[[float], str],
    edge_word: str = "",
) -> Pattern:
    """The looks at tests (along, across) on a ground; points outside it are left out.

    `edge_m` is how near to a side is near, `edge_word` how that is written; a figure is pointed out that chance gives
    less often than `notable`.
    """
    inside = [point for point in points if ground.contains(*point)]
    if len(inside) < FEWEST or ground.area_m2 <= 0:
        return Pattern(len(inside), None, (), (f"{len(inside)} tests; a pattern shows from {FEWEST} tests on.",))
    neighbours = along = None
    if ground.length_m**2 <= LONGEST * ground.area_m2:
        neighbours = nearest_neighbours(inside, area_m2=ground.area_m2, perimeter_m=perimeter_m(ground))
    else:
        along = spacing(ground, inside)
    shares = (
        *_at_the_edges(ground, inside, edge_m, edge_word or f"{edge_m:g} m"),
        *_sides(ground, inside),
        *_ends(ground, inside, station_word),
    )
    return Pattern(len(inside), neighbours, shares, _sentences(neighbours, along, shares, notable), along)


def nearest_neighbours(points: Sequence[tuple[float, float]], *, area_m2: float, perimeter_m: float) -> Neighbours:
    """Clark and Evans' ratio with Donnelly's expectation. Two points at least."""
    count = len(points)
    mean = sum(_nearest_distances(points, cell_m=max(sqrt(area_m2 / count), 1e-9))) / count
    expected = 0.5 * sqrt(area_m2 / count) + (0.0514 + 0.041 / sqrt(count)) * perimeter_m / count
    spread = sqrt(0.070 * area_m2 / count**2 + 0.037 * perimeter_m * sqrt(area_m2 / count**5))
    z = (mean - expected) / spread
    return Neighbours(mean, expected, mean / expected, z, 0.5 * erfc(-z / sqrt(2)))


def _nearest_distances(points: Sequence[tuple[float, float]], *, cell_m: float) -> list[float]:
    """By squares of a grid: a ring of squares is looked at only while something nearer could lie in it."""
    squares: dict[tuple[int, int], list[int]] = {}
    for number, (x, y) in enumerate(points):
        squares.setdefault((floor(x / cell_m), floor(y / cell_m)), []).append(number)
    columns, rows = [square[0] for square in squares], [square[1] for square in squares]
    farthest = max(max(columns) - min(columns), max(rows) - min(rows)) + 1
    found = []
    for number, (x, y) in enumerate(points):
        column, row = floor(x / cell_m), floor(y / cell_m)
        best, ring = float("inf"), 0
        while ring <= farthest and (ring - 1) * cell_m < best:
            for square in _ring(column, row, ring):
                for other in squares.get(square, ()):
                    if other != number:
                        best = min(best, hypot(points[other][0] - x, points[other][1] - y))
            ring += 1
        found.append(best)
    return found


def _ring(column: int, row: int, size: int) -> list[tuple[int, int]]:
    if size == 0:
        return [(column, row)]
    level = [(column + step, row + side) for step in range(-size, size + 1) for side in (-size, size)]
    return level + [(column + side, row + step) for step in range(-size + 1, size) for side in (-size, size)]


def perimeter_m(ground: Ground) -> float:
    """The length of the sides of the fill and of its ends."""
    total, before, end = 0.0, [], None
    for slab in ground.slabs:
        for span in slab.spans:
            total += hypot(slab.length_m, span.low_to - span.low_from)
            total += hypot(slab.length_m, span.high_to - span.high_from)
        opening = slab.spans_at(slab.along_from)
        total += _uncovered(before if end == slab.along_from else [], opening)
        if end is not None and end != slab.along_from:
            total += sum(high - low for low, high in before)
        before, end = slab.spans_at(slab.along_to), slab.along_to
    return total + sum(high - low for low, high in before)


def _uncovered(one: Sequence[tuple[float, float]], other: Sequence[tuple[float, float]]) -> float:
    """The length across that only one of the two has."""
    shared = sum(max(0.0, min(high, top) - max(low, bottom)) for low, high in one for bottom, top in other)
    return sum(high - low for low, high in one) + sum(high - low for low, high in other) - 2 * shared


def binomial_at_least(successes: int, *, of: int, share: float) -> float:
    """The probability of so many or more successes in `of` trials.

    >>> round(binomial_at_least(8, of=10, share=0.5), 6)  # (45 + 10 + 1) / 1024
    0.054688
    """
    return min(1.0, sum(comb(of, k) * share**k * (1 - share) ** (of - k) for k in range(successes, of + 1)))


def _share(what: str, tests: int, of: int, expected: float) -> Share:
    return Share(what, tests, of, expected, binomial_at_least(tests, of=of, share=min(max(expected, 0.0), 1.0)))


def _at_the_edges(ground: Ground, points: Sequence[tuple[float, float]], edge_m: float, edge_word: str) -> list[Share]:
    everywhere = (float("-inf"), float("inf"))
    inner = Ground(ground.alignment, within(ground, along=everywhere, across=everywhere, margin_m=edge_m))
    near = 1 - inner.area_m2 / ground.area_m2
    if not 0 < near < 1:
        return []
    found = sum(not inner.contains(*point) for point in points)
    return [_share(f"within {edge_word} of a side", found, len(points), near)]


def _sides(ground: Ground, points: Sequence[tuple[float, float]]) -> list[Share]:
    """Left and right of the middle of the fill at the test's own station: half of the area by definition."""
    starts = [slab.along_from for slab in ground.slabs]
    left = 0
    for along, across in points:
        slab = ground.slabs[max(bisect_right(starts, along) - 1, 0)]
        spans = slab.spans_at(min(max(along, slab.along_from), slab.along_to))
        behind = sum(min(max(across - low, 0.0), high - low) for low, high in spans)
        left += behind < sum(high - low for low, high in spans) / 2
    words = ("west", "east") if not ground.alignment and not ground.turned else ("left", "right")
    words = ("south", "north") if not ground.alignment and not ground.turned else words
    words = ("west", "east") if ground.turned else words
    return [
        _share(f"in the {word} half", number, len(points), 0.5)
        for word, number in zip(words, (left, len(points) - left), strict=True)
    ]


def _ends(ground: Ground, points: Sequence[tuple[float, float]], station_word: Callable[[float], str]) -> list[Share]:
    """The first and the last quarter of the area along the line: one of them is often where the haul road comes in."""
    first, last = ground.along_at(ground.area_m2 / 4), ground.along_at(ground.area_m2 * 3 / 4)
    return [
        _share(f"before {station_word(first)}", sum(along < first for along, _ in points), len(points), 0.25),
        _share(f"beyond {station_word(last)}", sum(along >= last for along, _ in points), len(points), 0.25),
    ]


def _sentences(
    neighbours: Neighbours | None, along: Spacing | None, shares: Sequence[Share], notable: float
) -> tuple[str, ...]:
    found = []
    if neighbours is not None and neighbours.probability_of_closer < notable:
        found.append(
            f"The tests lie closer together than chance would put them (nearest-neighbour ratio "
            f"{neighbours.ratio:.2f}; chance gives so little in {odds(neighbours.probability_of_closer)})."
        )
    if along is not None and along.probability < notable:
        found.append(
            f"The tests lie unevenly along the fill and leave long stretches without (chance gives so much in "
            f"{odds(along.probability)})."
        )
    found += [
        f"{one.tests} of {one.of} tests lie {one.what}, which has {one.expected_share:.0%} of the fill (chance gives "
        f"so many in {odds(one.probability)})."
        for one in shares
        if one.probability < notable
    ]
    if not found:
        return ("Nothing in the places of the tests stands out against chance.",)
    return (*found, "There may be good reasons; look at the plan and ask who chose the places.")


def odds(probability: float) -> str:
    """How often chance alone gives as much, in words."""
    if probability > 0.095:
        return f"{10 * probability:.0f} of 10 lifts"
    return "fewer than 1 of 10,000 lifts" if probability < 1e-4 else f"1 of {1 / probability:,.0f} lifts"
