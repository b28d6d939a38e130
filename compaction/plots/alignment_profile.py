"""A design profile: the grade line over stations, with PVIs, tangents, curves and grades."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from compaction.plots import drawing

Line = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Vertex:
    """A PVI: station, elevation, and what is written beside it."""

    station: float
    elevation: float
    words: str


def draw(
    grade: Line,
    *,
    vertices: Sequence[Vertex],
    grades: Sequence[tuple[float, float, str]],
    title: str,
    unit: str,
    station_text: Callable[[float], str],
) -> bytes:
    """The drawing. `grade` is the grade line as points; `grades` are (station, elevation, words) of the tangents."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    made, axes = drawing.figure(width_in=9.0, height_in=3.6)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_ylabel(f"Elevation, {drawing.clean(unit)}", color=drawing.INK)
    axes.set_xlabel("Station, along the line", color=drawing.INK)
    axes.xaxis.set_major_locator(MaxNLocator(9))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda station, _: station_text(float(station))))
    axes.ticklabel_format(axis="y", style="plain", useOffset=False)
    axes.plot(
        [vertex.station for vertex in vertices], [vertex.elevation for vertex in vertices], color=drawing.GREY,
        linewidth=0.9, linestyle=(0, (4, 3)), marker="^", markersize=6, label="tangents and PVI", zorder=2,
    )  # fmt: skip
    axes.plot(
        [s for s, _ in grade], [e for _, e in grade], color=drawing.BLUE, linewidth=2.0, label="grade line", zorder=3
    )
    for vertex in vertices:
        axes.annotate(
            drawing.clean(vertex.words), (vertex.station, vertex.elevation), xytext=(0, 8), textcoords="offset points",
            fontsize=7.5, color=drawing.INK, ha="center",
        )  # fmt: skip
    for station, elevation, words in grades:
        axes.annotate(
            drawing.clean(words), (station, elevation), xytext=(0, -16), textcoords="offset points", fontsize=8,
            color=drawing.BLUE, ha="center", bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8},
        )  # fmt: skip
    axes.margins(x=0.03, y=0.25)
    drawing.legend(made, axes, columns=2)
    low, high = min(e for _, e in grade), max(e for _, e in grade)
    description = (
        f"Grade line from {station_text(grade[0][0])} to {station_text(grade[-1][0])}, elevations {low:.2f} to "
        f"{high:.2f}, {len(vertices)} points, heights drawn exaggerated."
    )
    return drawing.svg(made, title=title, description=description)
