"""The histogram in words: first tests and retests apart, the limit at the edge of a class."""

from decimal import Decimal
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from compaction.plots import histogram, run_chart
from compaction.plots.run_chart import RunPoint
from compaction.plots.scale import Scale

D = Decimal


def said(drawn: bytes) -> str:
    return "\n".join(text.strip() for text in ElementTree.fromstring(drawn).itertext() if text.strip())


def test_first_tests_and_retests_are_told_apart() -> None:
    drawn = histogram.draw(
        [D("94.9"), D("95"), D("97.2")], [D("96.1")], axis="Percent compaction (%)", title="Lot L-1", limit=D(95)
    )
    words = said(drawn)
    assert "3 first tests and 1 retests, from 94.9 to 97.2, in classes of 1." in words
    assert "Below 95: 1 first tests and 0 retests." in words
    assert "first tests (3)" in words
    assert "retests (1)" in words
    assert "lower limit 95" in words
    assert b"pattern" in drawn  # the retests are hatched
    assert b"pattern" not in histogram.draw([D(95)], [], axis="x", title="y")


def test_what_just_meets_the_limit_stands_in_no_bar_with_what_misses_it() -> None:
    found = histogram.classes([D("94.99"), D("95.00"), D("95.99")], [], limit=D(95))
    assert found.edges == (D(94), D(95), D(96))
    assert found.first == (1, 2)
    assert histogram.classes([D("94.6"), D("95.4")], [], limit=D("94.5")).edges == (D("94.5"), D("95.5"))


@given(st.lists(st.integers(-500, 12000).map(lambda n: D(n) / 100), min_size=1, max_size=40), st.integers(0, 100))
def test_every_test_is_counted_once_in_few_classes(values: list[Decimal], limit: int) -> None:
    found = histogram.classes(values, values[:3], limit=D(limit))
    assert (sum(found.first), sum(found.retests)) == (len(values), len(values[:3]))
    assert len(found.edges) - 1 == len(found.first) <= histogram.MOST_CLASSES
    assert found.edges[0] <= min(values) < found.edges[-1]
    assert max(values) < found.edges[-1]


def test_without_tests_it_says_so() -> None:
    assert "No test has this figure yet." in said(histogram.draw([], [], axis="x", title="y", limit=D(95)))


def test_a_run_chart_with_its_spread_and_mean_of_any_number() -> None:
    points = [RunPoint(str(n), "2026-06-01", D(95 + n % 4), D(95), "pass", "P-1") for n in range(12)]
    words = said(
        run_chart.draw(points, scale=Scale("pcf", D("0.1")), title="t", mean_of=5, spread=True, axis="Dry (pcf)")
    )
    assert "mean of the last 5" in words
    assert "mean ± 2 s (s 1.2)" in words
    assert "mean 96.5" in words
    assert "Dry (pcf)" in words
