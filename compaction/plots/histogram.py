"""How often which figure was found: first tests plain, retests hatched, side by side, so that neither hides the other.

The limit is the edge of a class: what just meets it never stands in one bar with what just misses it. No curve is
laid over the bars: the results of a lot need not be normal.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING, Any

from compaction.plots import drawing
from compaction.plots.scale import plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Common practice (no source): classes of one percent, wider where there would be more than so many.
CLASS_WIDTH = Decimal(1)
MOST_CLASSES = 30


@dataclass(frozen=True)
class Classes:
    """Counts by class; class i goes from `edges[i]` up to, not including, `edges[i + 1]`."""

    edges: tuple[Decimal, ...]
    first: tuple[int, ...]
    retests: tuple[int, ...]


def classes(first: Sequence[Decimal], retests: Sequence[Decimal], *, limit: Decimal | None = None) -> Classes:
    """Sort figures into classes of equal width with the limit (else a whole number) at an edge."""
    everything = [*first, *retests]
    if not everything:
        return Classes((), (), ())
    zero = Decimal(0) if limit is None else limit
    width = CLASS_WIDTH
    while (max(everything) - min(everything)) / width > MOST_CLASSES - 1:
        width *= 2
    lowest = _class_of(min(everything), zero, width)
    count = _class_of(max(everything), zero, width) - lowest + 1
    found = []
    for group in (first, retests):
        bars = [0] * count
        for value in group:
            bars[_class_of(value, zero, width) - lowest] += 1
        found.append(tuple(bars))
    edges = tuple(zero + width * (lowest + number) for number in range(count + 1))
    return Classes(edges, *found)


def _class_of(value: Decimal, zero: Decimal, width: Decimal) -> int:
    return int(((value - zero) / width).to_integral_value(rounding=ROUND_FLOOR))


def draw(
    first: Sequence[Decimal],
    retests: Sequence[Decimal],
    *,
    axis: str,
    title: str,
    limit: Decimal | None = None,
    upper_limit: Decimal | None = None,
) -> bytes:
    """The histogram as SVG. `axis` names quantity and unit."""
    from matplotlib.ticker import MaxNLocator

    made, axes = drawing.figure(width_in=7.0, height_in=4.2)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(drawing.clean(axis), color=drawing.INK)
    axes.set_ylabel("Tests", color=drawing.INK)
    sorted_out = classes(first, retests, limit=limit)
    if not sorted_out.edges:
        axes.set_xticks([])
        axes.set_yticks([])
        axes.text(0.5, 0.5, "No test has this figure yet.", ha="center", transform=axes.transAxes)
        return drawing.svg(made, title=title, description="No test has this figure yet.")
    _bars(axes, sorted_out, len(first), len(retests))
    for value, words, dashes in ((limit, "lower limit", "solid"), (upper_limit, "upper limit", (0, (5, 2)))):
        if value is not None:
            axes.axvline(
                float(value),
                color=drawing.INK,
                linewidth=1.6,
                linestyle=dashes,
                zorder=4,
                label=f"{words} {plain(value)}",
            )
    most = max([*sorted_out.first, *sorted_out.retests])
    axes.set_ylim(0, most * 1.15 + 0.3)
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    drawing.legend(made, axes, columns=2)
    return drawing.svg(made, title=title, description=_say(first, retests, sorted_out, limit))


def _bars(axes: "Axes", found: Classes, first: int, retests: int) -> None:
    left = [float(edge) for edge in found.edges[:-1]]
    width = float(found.edges[1] - found.edges[0])
    sides: list[tuple[tuple[int, ...], float, str, dict[str, Any]]] = [
        (found.first, 0.04, f"first tests ({first})", {"color": drawing.BLUE})
    ]
    if retests:
        hatched = {"facecolor": "white", "edgecolor": drawing.INK, "hatch": "////"}
        sides.append((found.retests, 0.5, f"retests ({retests})", hatched))
    share = 0.46 if retests else 0.92
    for counts, shift, label, look in sides:
        bars = axes.bar(
            [at + shift * width for at in left],
            counts,
            width=share * width,
            align="edge",
            label=label,
            zorder=3,
            **look,
        )
        for bar, count in zip(bars, counts, strict=True):
            if count:
                middle = bar.get_x() + bar.get_width() / 2
                axes.annotate(
                    str(count), (middle, count), xytext=(0, 2), textcoords="offset points", ha="center", va="bottom",
                    fontsize=7.5, color=drawing.INK, zorder=5,
                )  # fmt: skip


def _say(first: Sequence[Decimal], retests: Sequence[Decimal], found: Classes, limit: Decimal | None) -> str:
    width = plain(found.edges[1] - found.edges[0])
    ends = f"from {plain(min([*first, *retests]))} to {plain(max([*first, *retests]))}"
    said = f"{len(first)} first tests and {len(retests)} retests, {ends}, in classes of {width}."
    if limit is not None:
        below = [sum(1 for value in group if value < limit) for group in (first, retests)]
        said += f" Below {plain(limit)}: {below[0]} first tests and {below[1]} retests."
    return said
