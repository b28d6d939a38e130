"""A gauge beside direct tests: side against side with the line of agreement, and differences over means with limits.

Values come in the unit that they are shown in. Which pair is meant is told by shape and by the number of the test.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from compaction.plots import drawing

if TYPE_CHECKING:
    from matplotlib.axes import Axes

COUNTS, OUTLIER, TAKEN_OUT = "counts", "outlier", "taken_out"
#: state -> (marker, size, filled, words)
_LOOKS: Final = {
    COUNTS: ("o", 7.0, True, "pair"),
    OUTLIER: ("D", 8.0, False, "outlier, named and kept in"),
    TAKEN_OUT: ("x", 7.5, False, "taken out by a person"),
}


@dataclass(frozen=True)
class PairedPoint:
    """One pair: number of the gauge test, gauge, reference, and whether it counts."""

    label: str
    gauge: float
    reference: float
    state: str = COUNTS

    @property
    def mean(self) -> float:
        """Middle of the two sides."""
        return (self.gauge + self.reference) / 2

    @property
    def difference(self) -> float:
        """Gauge less reference."""
        return self.gauge - self.reference


@dataclass(frozen=True)
class Limits:
    """Mean difference with its confidence interval, and the limits of agreement, in the unit of the points."""

    mean: float
    confidence_low: float
    confidence_high: float
    agreement_low: float
    agreement_high: float


@dataclass(frozen=True)
class Line:
    """gauge = intercept + slope x reference."""

    slope: float
    intercept: float


def draw_sides(
    points: Sequence[PairedPoint], *, title: str, quantity: str, unit: str, line: Line | None = None
) -> bytes:
    """Gauge over reference with the line on which both agree; the fitted line where there is one."""
    made, axes = drawing.figure(width_in=5.2, height_in=5.0)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(f"Reference: {quantity} ({unit})", color=drawing.INK)
    axes.set_ylabel(f"Gauge: {quantity} ({unit})", color=drawing.INK)
    if not points:
        return _empty(made, axes, title)
    values = [value for point in points for value in (point.gauge, point.reference)]
    room = max((max(values) - min(values)) * 0.1, 1e-6)
    low, high = min(values) - room, max(values) + room
    axes.set_xlim(low, high)
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    axes.plot([low, high], [low, high], color=drawing.INK, linewidth=1.2, label="gauge = reference", zorder=2)
    if line is not None:
        ends = [line.intercept + line.slope * end for end in (low, high)]
        axes.plot(
            [low, high], ends, color=drawing.BLUE, linewidth=1.2, linestyle=(0, (6, 2)), zorder=3,
            label=f"fitted, both scatter: slope {line.slope:.2f}",
        )  # fmt: skip
    entries = _plot(axes, points, lambda point: (point.reference, point.gauge))
    drawing.legend(made, axes, entries, columns=1)
    return drawing.svg(made, title=title, description=_say(points, quantity, unit))


def draw_differences(
    points: Sequence[PairedPoint], *, title: str, quantity: str, unit: str, limits: Limits | None = None
) -> bytes:
    """Difference over mean of each pair, with the mean difference, its confidence interval and limits of agreement."""
    made, axes = drawing.figure(width_in=6.4, height_in=5.0)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(f"Mean of gauge and reference ({unit})", color=drawing.INK)
    axes.set_ylabel(f"Gauge less reference ({unit})", color=drawing.INK)
    if not points:
        return _empty(made, axes, title)
    axes.axhline(0, color=drawing.INK, linewidth=1.0, zorder=2)
    if limits is not None:
        axes.axhspan(
            limits.confidence_low, limits.confidence_high, color=drawing.BLUE, alpha=0.15, linewidth=0, zorder=1,
            label="95 % confidence interval of the mean",
        )  # fmt: skip
        axes.axhline(limits.mean, color=drawing.BLUE, linewidth=1.4, label=f"mean {limits.mean:+.2f}", zorder=3)
        words = f"95 % of differences: {limits.agreement_low:+.2f} to {limits.agreement_high:+.2f}"
        for number, level in enumerate((limits.agreement_low, limits.agreement_high)):
            axes.axhline(
                level, color=drawing.GREY, linewidth=1.2, linestyle=(0, (5, 3)), zorder=2,
                label="_" if number else words,
            )  # fmt: skip
    entries = _plot(axes, points, lambda point: (point.mean, point.difference))
    axes.margins(x=0.12, y=0.15)
    drawing.legend(made, axes, entries, columns=1)
    return drawing.svg(made, title=title, description=_say(points, quantity, unit))


def _empty(made: Any, axes: "Axes", title: str) -> bytes:
    axes.set_xticks([])
    axes.set_yticks([])
    said = "No pair has both sides yet."
    axes.text(0.5, 0.5, said, ha="center", transform=axes.transAxes)
    return drawing.svg(made, title=title, description=said)


def _plot(axes: "Axes", points: Sequence[PairedPoint], at: Any) -> list[tuple[tuple[Any, ...], str]]:
    entries = []
    for state, (marker, size, filled, words) in _LOOKS.items():
        chosen = [point for point in points if point.state == state]
        if not chosen:
            continue
        xs, ys = zip(*(at(point) for point in chosen), strict=True)
        colour = drawing.GREY if state == TAKEN_OUT else drawing.BLUE if state == COUNTS else "#D55E00"
        face = colour if filled else "white"
        drawn = axes.plot(
            xs, ys, linestyle="none", marker=marker, markersize=size, markerfacecolor=face, markeredgecolor=colour,
            markeredgewidth=1.6, zorder=6, label="_",
        )  # fmt: skip
        entries.append((tuple(drawn), f"{words} ({len(chosen)})"))
        if state != COUNTS:
            for point, x, y in zip(chosen, xs, ys, strict=True):
                axes.annotate(
                    drawing.clean(point.label, longest=12), (x, y), xytext=(7, 5), textcoords="offset points",
                    fontsize=9, color=drawing.INK, zorder=7,
                )  # fmt: skip
    return entries


def _say(points: Sequence[PairedPoint], quantity: str, unit: str) -> str:
    counted = [point for point in points if point.state != TAKEN_OUT]
    named = [drawing.clean(point.label, longest=12) for point in points if point.state == OUTLIER]
    mean = sum(point.difference for point in counted) / len(counted) if counted else 0.0
    outliers = f"outliers: test {', '.join(named)}" if named else "no outlier"
    return (
        f"{len(points)} pairs of {quantity}; {len(counted)} count. On average the gauge reads {mean:+.2f} {unit} from "
        f"the reference; {outliers}."
    )
