"""Standard counts of a gauge over time: each with its band, the certificate's decay, what was not accepted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from compaction.plots import drawing

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_COUNTS = 400
_MOST_TICKS, _MOST_LABELS = 8, 12
_GOOD, _BAD, _NONE = "#009e73", "#d55e00", "#595959"


@dataclass(frozen=True)
class CountPoint:
    """One count: its mean, what it was compared with, the limits on either side, whether it stands."""

    taken_at: datetime
    count: float
    reference: float | None
    low: float | None
    high: float | None
    accepted: bool


def draw(
    points: Sequence[CountPoint], *, decay: Sequence[tuple[date, float]] = (), title: str, kind: str = "Density"
) -> bytes:
    """The last `MOST_COUNTS` of the counts, oldest first. `decay` is the certificate's count brought forward."""
    made, axes = drawing.figure(width_in=9.0, height_in=4.2)
    shown = list(points)[-MOST_COUNTS:]
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_ylabel(f"{kind} standard count", color=drawing.INK)
    if not shown:
        axes.set_xticks([])
        axes.set_yticks([])
        axes.text(0.5, 0.5, "No count is on file yet.", ha="center", transform=axes.transAxes)
        return drawing.svg(made, title=title, description="No count is on file yet.")
    _draw_band(axes, shown)
    _draw_decay(axes, decay, shown)
    _draw_points(axes, shown)
    _ticks(axes, shown)
    drawing.legend(made, axes, columns=3)
    return drawing.svg(made, title=title, description=_say(shown))


def _x(moment: datetime) -> float:
    """Days, with their fraction, by the clock that the moment is told in."""
    return moment.toordinal() + (moment.hour * 60 + moment.minute) / 1440


def _draw_band(axes: "Axes", shown: Sequence[CountPoint]) -> None:
    compared = [point for point in shown if point.reference is not None]
    if not compared:
        return
    xs = [_x(point.taken_at) for point in compared]
    nan = float("nan")
    lows = [nan if point.low is None else point.low for point in compared]
    highs = [nan if point.high is None else point.high for point in compared]
    axes.fill_between(
        xs, lows, highs, step="mid", color=drawing.BLUE, alpha=0.12, linewidth=0, label="allowed", zorder=2
    )
    references = [nan if point.reference is None else point.reference for point in compared]
    axes.step(
        xs, references, where="mid", color=drawing.BLUE, linewidth=1.2, linestyle=(0, (6, 2)), zorder=3,
        label="what it is compared with",
    )  # fmt: skip


def _draw_decay(axes: "Axes", decay: Sequence[tuple[date, float]], shown: Sequence[CountPoint]) -> None:
    """Only where it lies among the counts: far from them it would flatten everything else."""
    if not decay:
        return
    first, last = shown[0].taken_at.date() - timedelta(days=3), shown[-1].taken_at.date() + timedelta(days=3)
    part = [(day, count) for day, count in decay if first <= day <= last]
    if part:
        axes.plot(
            [day.toordinal() + 0.5 for day, _ in part], [count for _, count in part], color=drawing.GREY,
            linewidth=1.2, linestyle=(0, (1, 2)), zorder=3, label="certificate, brought forward by decay",
        )  # fmt: skip


def _draw_points(axes: "Axes", shown: Sequence[CountPoint]) -> None:
    good = [point for point in shown if point.accepted]
    bad = [point for point in shown if not point.accepted]
    first = [point for point in good if point.reference is None]
    compared = [point for point in good if point.reference is not None]
    looks = (
        (compared, {"marker": "o", "markerfacecolor": _GOOD, "markeredgecolor": "white"}, "accepted"),
        (first, {"marker": "o", "markerfacecolor": "white", "markeredgecolor": _NONE}, "accepted, nothing before it"),
        (bad, {"marker": "x", "markeredgecolor": _BAD, "markeredgewidth": 2.4}, "not accepted"),
    )
    for chosen, look, words in looks:
        if chosen:
            axes.plot(
                [_x(point.taken_at) for point in chosen], [point.count for point in chosen], linestyle="none",
                markersize=7.5, zorder=5, label=f"{words} ({len(chosen)})", **look,
            )  # fmt: skip
    for point in bad[-_MOST_LABELS:]:
        axes.annotate(
            f"{point.count:.0f} not accepted", (_x(point.taken_at), point.count), xytext=(6, 6),
            textcoords="offset points", fontsize=8.5, color=drawing.INK, zorder=6,
        )  # fmt: skip


def _ticks(axes: "Axes", shown: Sequence[CountPoint]) -> None:
    first, last = shown[0].taken_at.toordinal(), shown[-1].taken_at.toordinal()
    every = max(1, -(-(last - first + 1) // _MOST_TICKS))
    ticks = range(first, last + 1, every)
    axes.set_xticks([tick + 0.3 for tick in ticks])
    axes.set_xticklabels([date.fromordinal(tick).strftime("%Y-%m-%d") for tick in ticks])
    axes.set_xlim(first - 0.4, last + 1.4)


def _say(shown: Sequence[CountPoint]) -> str:
    bad = [point for point in shown if not point.accepted]
    told = "; ".join(f"{point.count:.0f} on {point.taken_at:%Y-%m-%d}" for point in bad[-_MOST_LABELS:])
    refused = f"Not accepted: {told}." if bad else "All accepted."
    return (
        f"{len(shown)} counts from {shown[0].taken_at:%Y-%m-%d} to {shown[-1].taken_at:%Y-%m-%d}, the last "
        f"{shown[-1].count:.0f}. {refused}"
    )
