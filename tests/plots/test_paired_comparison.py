"""Gauge beside direct tests, drawn: outliers are named in text, marks differ by shape, one figure gives one file."""

import re

from compaction.plots import paired_comparison
from compaction.plots.paired_comparison import COUNTS, OUTLIER, TAKEN_OUT, Limits, Line, PairedPoint

POINTS = [
    PairedPoint("201", 125.4, 125.0),
    PairedPoint("202", 126.1, 126.6),
    PairedPoint("203", 121.0, 125.6, OUTLIER),
    PairedPoint("204", 127.9, 127.5, COUNTS),
    PairedPoint("2$05", 124.0, 122.0, TAKEN_OUT),
]
LIMITS = Limits(mean=-0.5, confidence_low=-2.0, confidence_high=1.0, agreement_low=-4.0, agreement_high=3.0)


def text_of(drawn: bytes) -> str:
    return drawn.decode("utf-8")


def test_sides_say_what_they_show_and_name_the_outlier() -> None:
    drawn = text_of(
        paired_comparison.draw_sides(
            POINTS, title="Gauge G-1", quantity="wet density", unit="pcf", line=Line(slope=0.97, intercept=3.0)
        )
    )
    words = (
        "5 pairs of wet density; 4 count. On average the gauge reads -1.07 pcf from the reference; outliers: test 203."
    )
    assert words in drawn
    for shown in ("gauge = reference", "fitted, both scatter: slope 0.97", "outlier, named and kept in (1)", ">203<"):
        assert shown in drawn, shown
    assert "2$05" in drawn, "a dollar sign is no formula"
    assert re.search(r"<script|https?://(?!www\.w3\.org)", drawn) is None


def test_differences_show_mean_interval_and_limits() -> None:
    drawn = text_of(
        paired_comparison.draw_differences(POINTS, title="Gauge G-1", quantity="wet density", unit="pcf", limits=LIMITS)
    )
    for shown in ("mean -0.50", "95 % of differences: -4.00 to +3.00", "95 % confidence interval of the mean", ">203<"):
        assert shown in drawn, shown


def test_the_same_pairs_give_the_same_file_and_none_says_so() -> None:
    one, other = (
        paired_comparison.draw_differences(POINTS, title="G", quantity="wet density", unit="pcf", limits=LIMITS)
        for _ in range(2)
    )
    assert one == other
    for draw in (paired_comparison.draw_sides, paired_comparison.draw_differences):
        assert "No pair has both sides yet." in text_of(draw([], title="G", quantity="wet density", unit="pcf"))


def test_equal_pairs_and_one_alone_are_drawn() -> None:
    alone = [PairedPoint("1", 100.0, 100.0)]
    for draw in (paired_comparison.draw_sides, paired_comparison.draw_differences):
        assert draw(alone, title="G", quantity="moisture", unit="%").startswith(b"<?xml")
        assert draw(alone * 3, title="G", quantity="moisture", unit="%").startswith(b"<?xml")
