"""A figure of matplotlib without its global state, written as SVG that is the same for the same figure.

matplotlib is imported when the first drawing is asked for: a posted test never waits for it. Texts stay texts, so
they can be searched and read aloud; none is read as a formula, whatever signs people write.
"""

import io
import re
import textwrap
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, GRID, BLUE, GREY = "#1d2730", "#d9d5cb", "#0072B2", "#595959"
_SETTINGS: dict[Any, Any] = {
    "svg.hashsalt": "liftledger",  # ids in the file follow from the figure, not from chance
    "svg.fonttype": "none",
    "text.parse_math": False,  # "$" in a label is a dollar sign
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "sans-serif"],
    "hatch.linewidth": 0.5,
}
_METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)
_LEADING = re.compile(r"\A.*?(?=<svg)", re.DOTALL)
LONGEST_TEXT = 60
LEGEND_WIDTH = 88  # characters in all columns together


def figure(*, width_in: float, height_in: float) -> "tuple[Figure, Axes]":
    """An empty figure with one set of axes, in our look."""
    import matplotlib
    from matplotlib.figure import Figure

    matplotlib.rcParams.update(_SETTINGS)
    made = Figure(figsize=(width_in, height_in), layout="constrained")
    axes = made.add_subplot()
    axes.grid(color=GRID, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(GREY)
    axes.tick_params(colors=INK, labelsize=9)
    return made, axes


def svg(made: "Figure", *, title: str, description: str) -> bytes:
    """The figure as an SVG file that says what it shows, without the name of any host."""
    out = io.StringIO()
    made.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    text = _LEADING.sub("", _METADATA.sub("", out.getvalue()))
    said = (
        f'<title id="drawing-title">{escape(clean(title, longest=200))}</title>'
        f'<desc id="drawing-desc">{escape(clean(description, longest=2000))}</desc>'
    )
    text = re.sub(
        r"<svg([^>]*)>",
        lambda found: f'<svg role="img" aria-labelledby="drawing-title drawing-desc"{found[1]}>{said}',
        text,
        count=1,
    )
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + text.encode()


def clean(text: str, *, longest: int = LONGEST_TEXT) -> str:
    """A text that XML can carry and that fits: control signs and lone surrogates become blanks."""
    shown = "".join(" " if unicodedata.category(sign) in ("Cc", "Cs", "Cn") or sign in "￾￿" else sign for sign in text)
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def legend(
    made: "Figure", axes: "Axes", marks: Sequence[tuple[tuple[Any, ...], str]] = (), *, columns: int = 2
) -> None:
    """The legend below the axes, where it hides no point: what has a label, then the marks, each in all its layers."""
    from matplotlib.legend_handler import HandlerTuple

    named, labels = axes.get_legend_handles_labels()
    handles: list[Any] = [*named, *(drawn for drawn, _ in marks)]
    labels = [*labels, *(words for _, words in marks)]
    made.legend(
        handles=handles,
        labels=[textwrap.fill(label, width=LEGEND_WIDTH // columns) for label in labels],
        handler_map={tuple: HandlerTuple(ndivide=1)},
        loc="outside lower center",
        ncols=columns,
        fontsize=8.5,
        frameon=False,
        labelcolor=INK,
    )
