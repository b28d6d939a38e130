"""The bars of a budget: the longest first, the rest together, and the same in words."""

from decimal import Decimal
from xml.etree import ElementTree

from compaction.plots.uncertainty_budget import Share, draw

D = Decimal


def texts(drawn: bytes) -> list[str]:
    return [
        "".join(node.itertext()).strip() for node in ElementTree.fromstring(drawn).iter() if node.tag.endswith("text")
    ]


def test_the_longest_bar_comes_first_and_its_share_is_written() -> None:
    drawn = draw(
        [Share("soil wet mass", D("0.3")), Share("sand bulk density", D("61.2")), Share("cone <and> plate", D("38.5"))],
        title="Test 201",
        figure_text="96.4 % ± 2.6 points (k = 2)",
    )
    shown = texts(drawn)
    assert {"61 %", "38 %", "under 1 %"} <= set(shown)
    assert [one for one in shown if one in ("sand bulk density", "cone <and> plate", "soil wet mass")] == [
        "sand bulk density", "cone <and> plate", "soil wet mass",
    ]  # fmt: skip
    description = next(node.text for node in ElementTree.fromstring(drawn).iter() if node.tag.endswith("desc"))
    assert "Shares of the variance: sand bulk density 61 %" in (description or "")


def test_more_than_ten_inputs_end_in_one_bar_of_the_rest() -> None:
    shown = texts(draw([Share(f"input {n}", D(100) / 12) for n in range(12)], title="t", figure_text="f"))
    assert "all others" in shown
    assert sum(text.startswith("input ") for text in shown) == 9


def test_nothing_uncertain_is_said() -> None:
    assert b"No input of this figure is uncertain." in draw([], title="t", figure_text="f")
