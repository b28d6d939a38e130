"""Station against elevation: grade line, subgrade and ground, fill as placed, and every test with its mark."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from compaction.plots import drawing, marks

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: more tests than this are drawn small
MANY = 400
_LINES = {
    "finished grade": {"color": drawing.INK, "linewidth": 1.6},
    "subgrade": {"color": drawing.INK, "linewidth": 1.1, "linestyle": (0, (6, 2))},
    "original ground": {"color": "#5f4924", "linewidth": 1.2, "linestyle": (0, (3, 2, 1, 2))},
}


@dataclass(frozen=True)
class Band:
    """Fill of one lift between two stations, up to an elevation; the thickness is None where nobody said."""

    lift: int
    station_from_m: float
    station_to_m: float
    top_m: float
    thickness_m: float | None


@dataclass(frozen=True)
class Spot:
    """A test: where, how marked, what people call it."""

    station_m: float
    elevation_m: float
    mark: str
    name: str = ""


@dataclass(frozen=True)
class Untested:
    """Elevations of a stretch without a test, with its number in the list under the drawing."""

    number: int
    station_from_m: float
    station_to_m: float
    bottom_m: float
    top_m: float


def draw(
    *,
    lines: Sequence[tuple[str, Sequence[tuple[float, float]]]],
    bands: Sequence[Band],
    spots: Sequence[Spot],
    title: str,
    station_text: Callable[[float], str],
    unit: str,
    unit_m: float,
    datum: str = "",
    without_height: int = 0,
    missing: Sequence[Untested] = (),
) -> bytes:
    """The drawing. `lines` are (name, [(station, elevation)]) in metres; both axes are in the unit of the alignment."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    made, axes = drawing.figure(width_in=10.5, height_in=4.0)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_ylabel(drawing.clean(f"Elevation, {unit}" + (f" ({datum})" if datum else "")), color=drawing.INK)
    axes.set_xlabel("Station", color=drawing.INK)
    _bands(axes, bands, unit_m)
    _missing(axes, missing, unit_m)
    for name, points in lines:
        if points:
            xs, ys = [station / unit_m for station, _ in points], [elevation / unit_m for _, elevation in points]
            axes.plot(xs, ys, label=name, zorder=3, **_LINES[name])  # type: ignore[arg-type]
    entries = marks.plot(
        axes,
        [(spot.station_m / unit_m, spot.elevation_m / unit_m, spot.mark) for spot in spots],
        size=8 if len(spots) <= MANY else 4,
    )
    for collected in axes.lines if len(spots) > MANY else ():
        if collected.get_linestyle() == "None":
            collected.set_rasterized(True)  # thousands of marks as one picture instead of thousands of paths
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: station_text(float(value) * unit_m)))
    axes.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    if not (spots or bands or any(points for _, points in lines)):
        axes.set_xticks([])
        axes.set_yticks([])
        axes.text(0.5, 0.5, "No test here has an elevation yet.", ha="center", transform=axes.transAxes)
    elif entries or any(points for _, points in lines):
        drawing.legend(made, axes, entries, columns=3)
    drawn = bool(spots or bands or any(points for _, points in lines))
    if drawn and (times := _exaggeration(made, axes)):
        said = f"heights drawn {times} times as large as lengths"
        axes.set_title(said, fontsize=8.5, color=drawing.GREY, loc="right")
    return drawing.svg(made, title=title, description=_say(spots, bands, without_height, len(missing)))


def _exaggeration(made: "Figure", axes: "Axes") -> str:
    """How much larger a height is drawn than a length, in two figures; empty where both are drawn alike."""
    axes.set_title("heights", fontsize=8.5, loc="right")  # takes its room before the axes are measured
    engine = made.get_layout_engine()
    if engine is not None:
        engine.execute(made)
        made.set_layout_engine("none")  # it stays as measured, and is not laid out a second time
    box = axes.get_window_extent()
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    times = float((box.height / (high - low)) / (box.width / (right - left)))
    axes.set_title("", loc="right")
    shown = float(f"{times:.2g}")
    return "" if shown == 1 else f"{shown:.0f}" if shown >= 10 else f"{shown:g}"


def _bands(axes: "Axes", bands: Sequence[Band], unit_m: float) -> None:
    """Placements as boxes of their thickness; without one, a line at the top. Each lift says its number once."""
    from matplotlib.collections import LineCollection
    from matplotlib.patches import Rectangle

    tops = []
    for band in bands:
        top, start, end = band.top_m / unit_m, band.station_from_m / unit_m, band.station_to_m / unit_m
        if band.thickness_m is None:
            tops.append([(start, top), (end, top)])
            continue
        height = band.thickness_m / unit_m
        axes.add_patch(
            Rectangle(
                (start, top - height),
                end - start,
                height,
                facecolor="#eee7da",
                edgecolor="#5f4924",
                linewidth=0.6,
                zorder=1,
            )
        )
    axes.add_collection(LineCollection(tops, colors="#5f4924", linewidths=1.4, zorder=1))
    if bands:
        axes.autoscale_view()
    for lift in sorted({band.lift for band in bands})[:40]:
        first = min((band for band in bands if band.lift == lift), key=lambda band: band.station_from_m)
        axes.annotate(
            str(lift),
            (first.station_from_m / unit_m, first.top_m / unit_m),
            xytext=(-3, -1),
            textcoords="offset points",
            ha="right",
            va="top",
            fontsize=7.5,
            color="#5f4924",
        )


def _missing(axes: "Axes", missing: Sequence[Untested], unit_m: float) -> None:
    """Bands without a test: hatched, outlined and numbered, so that nothing rests on the colour."""
    from matplotlib.patches import Rectangle

    for band in missing:
        start, end = band.station_from_m / unit_m, band.station_to_m / unit_m
        bottom, top = band.bottom_m / unit_m, band.top_m / unit_m
        axes.add_patch(
            Rectangle(
                (start, bottom),
                end - start,
                top - bottom,
                fill=False,
                edgecolor="#0072B2",
                linestyle=(0, (4, 3)),
                linewidth=1.1,
                hatch="///",
                zorder=2,
            )
        )
        axes.annotate(
            str(band.number),
            ((start + end) / 2, (bottom + top) / 2),
            ha="center",
            va="center",
            fontsize=8,
            fontweight="bold",
            color="#004a73",
            zorder=5,
            bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
        )


def _say(spots: Sequence[Spot], bands: Sequence[Band], without_height: int, without_test: int) -> str:
    counts: dict[str, int] = {}
    for spot in spots:
        counts[spot.mark] = counts.get(spot.mark, 0) + 1
    told = ", ".join(f"{number} {marks.MARK_WORDS[mark]}" for mark, number in counts.items())
    lifts = sorted({band.lift for band in bands})
    placed = f" Fill placed in lifts {lifts[0]} to {lifts[-1]}." if lifts else ""
    missing = f" {without_height} tests here have no elevation and are not drawn." if without_height else ""
    untested = f" {without_test} stretches of elevation have no test; the list has them." if without_test else ""
    return f"{len(spots)} tests{': ' + told if told else ''}.{placed}{missing}{untested}"
