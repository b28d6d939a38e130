"""The run of percent compaction, in words."""

from decimal import Decimal
from xml.etree import ElementTree

from compaction.plots import run_chart
from compaction.plots.run_chart import RunPoint
from compaction.plots.scale import Scale

D = Decimal
SCALE = Scale("pcf", D("0.1"), "us")


def point(
    number: int, percent: str, *, mark: str = "pass", reference: str = "P-1", limit: str | None = "95"
) -> RunPoint:
    minimum = None if limit is None else D(limit)
    return RunPoint(str(number), f"2026-06-{1 + number // 20:02d}", D(percent), minimum, mark, reference)


def said(points: list[RunPoint], title: str = "Kestrel Dike") -> str:
    root = ElementTree.fromstring(run_chart.draw(points, scale=SCALE, title=title))
    return "\n".join(text.strip() for text in root.itertext() if text.strip())


def test_it_tells_how_many_are_short_and_which_is_the_lowest() -> None:
    words = said([point(1, "96.4"), point(2, "94.9", mark="fail"), point(3, "95"), point(4, "90.10", mark="fail")])
    assert "4 tests from 2026-06-01 to 2026-06-01; 2 below what is required." in words
    assert "The lowest is 90.1 % (test 4)." in words
    assert "Percent compaction (%)" in words
    assert "fails (2)" in words


def test_a_change_of_reference_is_named() -> None:
    words = said([point(number, "97", reference="P-1" if number < 5 else "P-7") for number in range(10)])
    assert "P-1" in words
    assert "P-7" in words


def test_only_the_newest_are_drawn_and_that_is_said() -> None:
    points = [point(number, "97") for number in range(run_chart.MOST_TESTS + 25)]
    words = said(points)
    assert f"The newest {run_chart.MOST_TESTS} of {run_chart.MOST_TESTS + 25} tests" in words
    assert len(run_chart.draw(points, scale=SCALE, title="x")) < 100_000


def test_without_tests_it_says_so() -> None:
    assert "No test has a percent compaction yet." in said([])


def test_tests_without_a_limit_leave_a_gap_and_no_error() -> None:
    assert "3 tests" in said([point(1, "96", limit=None), point(2, "96"), point(3, "99", limit=None)])


def test_a_title_with_signs_of_formulas_and_markup_stays_a_title() -> None:
    assert r"$\alpha_{ <b>" in said([point(1, "96")], title=r"$\alpha_{ <b>")
