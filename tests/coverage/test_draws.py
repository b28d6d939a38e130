"""Random places: repeatable by anybody, even over the cell, one in each, off the edges."""

import hashlib
from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import stats

from compaction.coverage import cells, draws
from compaction.coverage.draws import NoRoom, uniform
from compaction.coverage.ground import Corner, lay_together, rectangle

#: a sound generator is refused once in a million
RISK = 1e-6


def divided(*outlines: tuple[Corner, ...], count: int, alignment: str = "main") -> cells.Division:
    return cells.divide([lay_together(outlines, alignment=alignment)], count=count, area="core", lift=4)


def test_a_number_can_be_worked_out_with_sha256_alone() -> None:
    """Worked with `printf %s 7d9f/3/0/1 | sha256sum` and a calculator: first 13 digits over 16^13."""
    first_52_bits = int(hashlib.sha256(b"7d9f/3/0/1").hexdigest()[:13], 16)
    assert uniform("7d9f", cell=3, attempt=0, axis=1) == round((first_52_bits + 0.5) / 16**13, 9)
    assert uniform("7d9f", cell=3, attempt=0, axis=1) == 0.973640525


def test_the_same_seed_gives_the_same_places() -> None:
    division = divided(rectangle(0, 300, -6, 6), count=3)
    first = draws.draw(division, seed="2f6b", edge_margin_m=0.5)
    assert first == draws.draw(division, seed="2f6b", edge_margin_m=0.5)
    assert first != draws.draw(division, seed="2f6c", edge_margin_m=0.5)
    again = draws.draw(division, seed="2f6b", edge_margin_m=0.5, numbers=[2], attempt=1)
    assert [place.cell.number for place in again] == [2]
    assert again[0].station_m != first[1].station_m


def test_station_and_offset_follow_from_u1_and_u2_by_hand() -> None:
    division = divided(rectangle(100, 300, -6, 6), count=2)
    for place in draws.draw(division, seed="2f6b", edge_margin_m=0.5):
        start = 100 if place.cell.number == 1 else 200
        assert place.station_m == pytest.approx(start + place.u1 * 100, abs=1e-4)
        assert place.offset_m == pytest.approx(-5.5 + place.u2 * 11, abs=1e-4)


def chi_square(numbers: list[float], bins: int = 20) -> float:
    counts = [0] * bins
    for number in numbers:
        counts[min(int(number * bins), bins - 1)] += 1
    expected = len(numbers) / bins
    return sum((count - expected) ** 2 / expected for count in counts)


def drawn(axis: int) -> list[float]:
    return [uniform(f"seed {seed}", cell=cell, attempt=0, axis=axis) for seed in range(200) for cell in range(1, 51)]


@pytest.mark.parametrize("axis", [1, 2])
def test_the_numbers_are_even(axis: int) -> None:
    assert chi_square(drawn(axis)) < stats.chi2.isf(RISK, 19)


def test_the_two_numbers_of_a_place_are_independent() -> None:
    squares = [int(one * 10) * 10 + int(other * 10) for one, other in zip(drawn(1), drawn(2), strict=True)]
    assert chi_square([(square + 0.5) / 100 for square in squares], bins=100) < stats.chi2.isf(RISK, 99)


@pytest.mark.parametrize("bend", [lambda u: u**1.2, lambda u: min(u, 0.94), lambda u: int(u * 8) / 8])
def test_a_bent_generator_would_be_noticed(bend: Callable[[float], float]) -> None:
    assert chi_square([bend(number) for number in drawn(1)]) > stats.chi2.isf(RISK, 19)


def test_places_are_even_over_a_cell_of_any_shape() -> None:
    """A triangle: so many places must lie before the station behind which a quarter of its area lies."""
    triangle = ((0.0, 0.0), (100.0, -30.0), (100.0, 30.0))
    division = divided(triangle, count=1)
    stations = [draws.draw(division, seed=str(number), edge_margin_m=0)[0].station_m for number in range(2000)]
    shares = [(station / 100) ** 2 for station in stations]  # area behind x is x^2 of the whole
    assert chi_square(shares) < stats.chi2.isf(RISK, 19)


SHAPES = st.sampled_from(
    [
        (rectangle(0, 200, -8, 8),),
        (rectangle(0, 80, -8, 8), rectangle(60, 200, 0, 12), rectangle(300, 310, -2, 2)),
        (((0.0, 0.0), (60.0, 5.0), (90.0, 40.0), (30.0, 55.0)), ((50.0, -10.0), (120.0, 10.0), (70.0, 30.0))),
    ]
)


@settings(max_examples=60, deadline=None)
@example((rectangle(0, 200, -8, 8),), 13, "263704643f33")  # rounded to 0.1 mm it would lie in the next cell
@given(SHAPES, st.integers(1, 20), st.text("0123456789abcdef", min_size=1, max_size=12))
def test_every_place_lies_in_its_own_cell(outlines: tuple[tuple[Corner, ...], ...], count: int, seed: str) -> None:
    division = divided(*outlines, count=count)
    field = division.fields[0]
    places = draws.draw(division, seed=seed, edge_margin_m=0)
    assert [field.number_at(place.station_m, place.offset_m) for place in places] == list(range(1, count + 1))


def test_a_margin_keeps_off_the_sides_only() -> None:
    division = divided(rectangle(0, 60, 0, 60), count=4)
    for seed in range(100):
        places = draws.draw(division, seed=str(seed), edge_margin_m=2)
        assert all(2 <= place.offset_m <= 58 for place in places)
    near_the_middle = [
        place.offset_m for seed in range(100) for place in draws.draw(division, seed=str(seed), edge_margin_m=2)
    ]
    assert any(28 < offset < 30 for offset in near_the_middle)
    assert any(30 < offset < 32 for offset in near_the_middle)


def test_a_margin_that_leaves_no_room_is_told() -> None:
    with pytest.raises(NoRoom, match=r"A margin of 3\.00 m at either side leaves nothing of cell 1 \(6\.00 m across\)"):
        draws.draw(divided(rectangle(0, 60, -3, 3), count=2), seed="1", edge_margin_m=3)
