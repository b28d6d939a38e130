"""An alignment in plan: lines, arcs and transitions each in its own stroke, station ticks, corners and gaps marked."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, sin
from typing import TYPE_CHECKING, Any

from compaction.plots import drawing

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_STROKES: dict[str, tuple[str, dict[str, Any]]] = {
    "line": ("straight", {"color": drawing.INK, "linewidth": 1.8}),
    "arc": ("circular arc", {"color": drawing.BLUE, "linewidth": 2.6}),
    "clothoid": ("transition (clothoid)", {"color": "#b3541e", "linewidth": 2.2, "linestyle": (0, (5, 2))}),
}
MOST_LABELS = 24
Line = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class PlanElement:
    """An element as points (easting, northing), in the unit of the axes."""

    kind: str
    points: Line


@dataclass(frozen=True)
class Tick:
    """A round station: its text, place, and the direction of the line there (radians from east)."""

    text: str
    easting: float
    northing: float
    direction_rad: float


def draw(
    elements: Sequence[PlanElement],
    *,
    ticks: Sequence[Tick],
    flaws: Line = (),
    title: str,
    unit: str,
) -> bytes:
    """The drawing, north up, one scale both ways. `flaws` are corners and gaps between elements."""
    made, axes = drawing.figure(width_in=8.0, height_in=5.2)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(f"Easting, {drawing.clean(unit)}", color=drawing.INK)
    axes.set_ylabel(f"Northing, {drawing.clean(unit)}", color=drawing.INK)
    axes.ticklabel_format(style="plain", useOffset=False)
    axes.set_aspect("equal", adjustable="datalim")
    axes.tick_params(axis="x", labelrotation=20)
    named: set[str] = set()
    for element in elements:
        words, stroke = _STROKES[element.kind]
        axes.plot(
            [east for east, _ in element.points], [north for _, north in element.points],
            label=None if words in named else words, zorder=3, **stroke,
        )  # fmt: skip
        named.add(words)
    axes.margins(0.12)
    _draw_ticks(axes, ticks)
    _draw_ends(axes, elements)
    if flaws:
        axes.plot(
            [east for east, _ in flaws], [north for _, north in flaws], linestyle="none", marker="X", markersize=9,
            markerfacecolor="#d55e00", markeredgecolor=drawing.INK, label="corner or gap", zorder=5,
        )  # fmt: skip
    drawing.legend(made, axes, columns=4)
    return drawing.svg(made, title=title, description=_say(elements, ticks, flaws))


def _draw_ticks(axes: "Axes", ticks: Sequence[Tick]) -> None:
    """A stroke across the line at every round station, as long as a fiftieth of the drawing; not all are named."""
    low, high = axes.get_xlim()
    reach = (high - low) / 60.0
    every = max(1, -(-len(ticks) // MOST_LABELS))
    written: list[tuple[float, float]] = []
    for number, tick in enumerate(ticks):
        across = -sin(tick.direction_rad) * reach, cos(tick.direction_rad) * reach
        axes.plot(
            [tick.easting - across[0], tick.easting + across[0]],
            [tick.northing - across[1], tick.northing + across[1]],
            color=drawing.GREY, linewidth=0.9, zorder=2,
        )  # fmt: skip
        near = any(hypot(tick.easting - east, tick.northing - north) < 3.5 * reach for east, north in written)
        if number % every == 0 and not near:
            written.append((tick.easting, tick.northing))
            axes.annotate(
                tick.text, (tick.easting + 1.6 * across[0], tick.northing + 1.6 * across[1]), fontsize=7.5,
                color=drawing.INK, ha="center", va="center", zorder=4,
            )  # fmt: skip


def _draw_ends(axes: "Axes", elements: Sequence[PlanElement]) -> None:
    first, last = elements[0].points[0], elements[-1].points[-1]
    axes.plot(*first, marker="o", markersize=7, color=drawing.INK, linestyle="none", label="start", zorder=5)
    axes.plot(
        *last,
        marker="s",
        markersize=7,
        markerfacecolor="white",
        color=drawing.INK,
        linestyle="none",
        label="end",
        zorder=5,
    )


def _say(elements: Sequence[PlanElement], ticks: Sequence[Tick], flaws: Line) -> str:
    counts = [
        f"{number} {words}"
        for kind, (words, _) in _STROKES.items()
        if (number := sum(element.kind == kind for element in elements))
    ]
    reach = f" Stations {ticks[0].text} to {ticks[-1].text}." if ticks else ""
    broken = f" {len(flaws)} corners or gaps between elements." if flaws else " Elements join smoothly."
    return f"Plan of the alignment: {', '.join(counts)}.{reach}{broken}"
