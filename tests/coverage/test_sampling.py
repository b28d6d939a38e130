"""Figures on the places of tests: against a hand-worked case, a lattice, simulation, scipy; nothing is a result."""

from math import sqrt
from random import Random

import pytest
from scipy import stats

from compaction.coverage import sampling
from compaction.coverage.ground import Corner, Ground, lay_together, rectangle
from compaction.coverage.sampling import (
    Neighbours,
    binomial_at_least,
    nearest_neighbours,
    pattern,
    perimeter_m,
)
from compaction.coverage.spacing import spacing


def ground(*outlines: tuple[Corner, ...]) -> Ground:
    return lay_together(outlines, alignment="main")


def looks(shape: Ground, points: list[Corner], edge_m: float = 2.0) -> sampling.Pattern:
    return pattern(shape, points, edge_m=edge_m, notable=0.01, station_word=lambda station: f"{station:.0f}")


def at_random(dice: Random, *, count: int, length: float, width: float) -> list[Corner]:
    return [(dice.uniform(0, length), dice.uniform(0, width)) for _ in range(count)]


def test_four_points_by_hand() -> None:
    """Corners of a 10 m square in a field of 20 m by 20 m: every nearest distance is 10 m; the rest by pencil."""
    found = nearest_neighbours([(5, 5), (15, 5), (5, 15), (15, 15)], area_m2=400, perimeter_m=80)
    assert found.mean_m == 10
    assert found.expected_m == pytest.approx(0.5 * 10 + (0.0514 + 0.041 / 2) * 80 / 4)  # 5 + 1.438
    assert found.expected_m == pytest.approx(6.438)
    assert found.ratio == pytest.approx(1.5533, abs=1e-4)
    assert found.z == pytest.approx((10 - 6.438) / sqrt(0.070 * 400 / 16 + 0.037 * 80 * sqrt(400 / 1024)))


def test_a_triangular_lattice_nears_the_published_maximum() -> None:
    """Clark and Evans (1954): R of an even hexagonal arrangement is 2.1491, without an edge."""
    points = [(column + (row % 2) / 2, row * sqrt(3) / 2) for row in range(60) for column in range(60)]
    found = nearest_neighbours(points, area_m2=60 * 60 * sqrt(3) / 2, perimeter_m=0)
    assert found.ratio == pytest.approx(2.1491, abs=1e-3)


@pytest.mark.parametrize(("length", "width"), [(60.0, 60.0), (120.0, 40.0), (130.0, 26.0)])
def test_expectation_and_spread_hold_by_simulation(length: float, width: float) -> None:
    """3,000 lifts with 12 tests at random: the mean of z is near 0, its spread near 1, false alarms near the 1 %."""
    dice = Random(f"sampling {length}")
    found: list[Neighbours] = [
        nearest_neighbours(
            at_random(dice, count=12, length=length, width=width),
            area_m2=length * width,
            perimeter_m=2 * (length + width),
        )
        for _ in range(3000)
    ]
    scores = [one.z for one in found]
    mean = sum(scores) / len(scores)
    assert abs(mean) < 0.12
    assert sqrt(sum((score - mean) ** 2 for score in scores) / len(scores)) == pytest.approx(1, abs=0.1)
    assert sum(one.probability_of_closer < 0.01 for one in found) / len(found) < 0.02


def test_nearest_distances_are_those_of_all_pairs() -> None:
    dice = Random("pairs")
    for count in (2, 3, 17, 90):
        points = at_random(dice, count=count, length=300, width=12)
        brute = [
            min(sqrt((x - a) ** 2 + (y - b) ** 2) for j, (a, b) in enumerate(points) if j != i)
            for i, (x, y) in enumerate(points)
        ]
        assert sampling._nearest_distances(points, cell_m=6.3) == pytest.approx(brute)


@pytest.mark.parametrize(("successes", "of", "share"), [(0, 9, 0.2), (7, 9, 0.5), (12, 12, 0.25), (9, 40, 0.1)])
def test_the_binomial_is_that_of_scipy(successes: int, of: int, share: float) -> None:
    assert binomial_at_least(successes, of=of, share=share) == pytest.approx(stats.binom.sf(successes - 1, of, share))


def test_perimeters() -> None:
    assert perimeter_m(ground(rectangle(0, 60, 0, 20))) == pytest.approx(160)
    ell = ground(rectangle(0, 60, 0, 20), rectangle(60, 80, 0, 10))
    assert perimeter_m(ell) == pytest.approx(2 * (80 + 20))
    apart = ground(rectangle(0, 60, 0, 20), rectangle(100, 120, 0, 20))
    assert perimeter_m(apart) == pytest.approx(160 + 80)


def test_convenience_shows() -> None:
    """Twelve tests along the shoulder near the haul road: closer together, at the edge, one side, one end."""
    dice = Random("convenient")
    points = [(dice.uniform(0, 25), dice.uniform(0, 1.5)) for _ in range(12)]
    found = looks(ground(rectangle(0, 120, 0, 30)), points)
    assert found.neighbours is not None
    assert found.neighbours.ratio < 0.5
    text = " ".join(found.sentences)
    for words in (
        "closer together than chance",
        "12 of 12 tests lie within 2 m of a side",
        "in the left half",
        "before 30",
    ):
        assert words in text
    assert "There may be good reasons" in found.sentences[-1]


def test_honest_places_are_seldom_pointed_out() -> None:
    """Of 400 lifts with 12 random tests; six looks at 1 % each, some of them one-sided pairs: at most 6 %."""
    dice = Random("honest")
    shape = ground(rectangle(0, 120, 0, 30))
    told = sum(
        "Nothing in the places" not in looks(shape, at_random(dice, count=12, length=120, width=30)).sentences[0]
        for _ in range(400)
    )
    assert told / 400 <= 0.06


def test_uneven_spacing_along_long_fill_shows_and_seldom_without_reason() -> None:
    """Greenwood's statistic of three even gaps is 4 times 1/16; its mean over 400 lifts is 2 / (n + 2)."""
    road = ground(rectangle(0, 900, 0, 10))
    assert spacing(road, [(225, 5), (450, 5), (675, 5)]).unevenness == pytest.approx(0.25)
    dice = Random("along")
    found = [spacing(road, at_random(dice, count=12, length=900, width=10)) for _ in range(400)]
    assert sum(one.unevenness for one in found) / 400 == pytest.approx(2 / 14, rel=0.05)
    assert sum(one.probability < 0.05 for one in found) / 400 == pytest.approx(0.05, abs=0.025)
    near = looks(road, [(300 + 10 * number, 5) for number in range(12)])
    assert near.along is not None
    assert near.along.probability < 0.01
    assert "unevenly along the fill" in near.sentences[0]


def test_few_tests_have_no_pattern_and_long_fill_no_neighbour_figure() -> None:
    few = looks(ground(rectangle(0, 100, 0, 10)), [(5, 5)] * 6)
    assert (few.neighbours, few.shares, few.sentences) == (None, (), ("6 tests; a pattern shows from 7 tests on.",))
    dice = Random("long")
    long = looks(ground(rectangle(0, 900, 0, 10)), at_random(dice, count=20, length=900, width=10))
    assert long.neighbours is None
    assert long.along is not None
    assert len(long.shares) == 5
    outside = looks(ground(rectangle(0, 100, 0, 10)), [(5, 50)] * 9)
    assert outside.tests == 0
