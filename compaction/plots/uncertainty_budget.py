"""Which input makes a figure uncertain: one bar an input, longest first, with its share in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from compaction.plots import drawing

_MOST_BARS = 10


@dataclass(frozen=True)
class Share:
    """An input in words and its share of the variance, percent."""

    words: str
    share_pct: Decimal


def draw(shares: Sequence[Share], *, title: str, figure_text: str) -> bytes:
    """The bars; beyond the longest nine there is one of the rest. `figure_text`: the figure with its uncertainty."""
    shown = sorted(shares, key=lambda one: -one.share_pct)
    if len(shown) > _MOST_BARS:
        rest = sum((one.share_pct for one in shown[_MOST_BARS - 1 :]), Decimal(0))
        shown = [*shown[: _MOST_BARS - 1], Share("all others", rest)]
    made, axes = drawing.figure(width_in=7.2, height_in=1.3 + 0.36 * max(len(shown), 1))
    title = drawing.clean(title, longest=90)
    axes.set_title(f"{title}\n{drawing.clean(figure_text, longest=90)}", fontsize=10, color=drawing.INK, loc="left")
    said = [f"{drawing.clean(one.words)} {_percent(one.share_pct)}" for one in shown]
    if not shown:
        axes.set_axis_off()
        return drawing.svg(made, title=title, description="No input of this figure is uncertain.")
    places = range(len(shown))
    values = [float(one.share_pct) for one in shown]
    axes.barh(places, values, color=drawing.BLUE, edgecolor=drawing.INK, linewidth=0.6, height=0.62)
    for place, value in zip(places, values, strict=True):
        axes.annotate(
            _percent(Decimal(repr(value))), (value, place), xytext=(4, 0), textcoords="offset points", va="center",
            fontsize=8.5, color=drawing.INK,
        )  # fmt: skip
    axes.set_yticks(list(places))
    axes.set_yticklabels([drawing.clean(one.words, longest=40) for one in shown])
    axes.invert_yaxis()
    axes.set_xlim(0, 112)
    axes.set_xlabel("Share of the variance (%)", color=drawing.INK, fontsize=9)
    return drawing.svg(made, title=title, description=f"{figure_text}. Shares of the variance: {'; '.join(said)}.")


def _percent(share: Decimal) -> str:
    return "under 1 %" if share < 1 else f"{share:.0f} %"
