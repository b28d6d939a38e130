"""Percent compaction in the order of testing, with the limit of each test: shows drift, and a change of reference."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import mean, stdev
from typing import TYPE_CHECKING

from compaction.plots import drawing, marks
from compaction.plots.scale import Scale, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Common practice (no source): a mean of four smooths single tests and still shows a shift within a day.
MEAN_OF = 4
MOST_TESTS = 400
_MOST_TICKS = 12


@dataclass(frozen=True)
class RunPoint:
    """One test: what was judged, what was required, how it is marked, and on which reference it stands."""

    label: str
    day: str
    percent_compaction: Decimal
    minimum_percent: Decimal | None
    mark: str
    reference: str = ""


def draw(
    points: Sequence[RunPoint],
    *,
    scale: Scale,
    title: str,
    mean_of: int = MEAN_OF,
    spread: bool = False,
    axis: str = "",
) -> bytes:
    """The last `MOST_TESTS` of the points, oldest first. Voided tests and repeats are the caller's to leave out.

    `mean_of` tests make the moving mean; `spread` adds the mean of all with two standard deviations to each side;
    `axis` names another quantity than percent compaction.
    """
    made, axes = drawing.figure(width_in=9.0, height_in=4.2)
    left_out = max(0, len(points) - MOST_TESTS)
    shown = list(points)[left_out:]
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_ylabel(drawing.clean(axis) or scale.percent_axis, color=drawing.INK)
    axes.set_xlabel("Test, in the order of testing", color=drawing.INK)
    if not shown:
        axes.set_xticks([])
        axes.set_yticks([])
        axes.text(0.5, 0.5, "No test has a percent compaction yet.", ha="center", transform=axes.transAxes)
        return drawing.svg(made, title=title, description="No test has a percent compaction yet.")
    values = [float(point.percent_compaction) for point in shown]
    limits = [float(point.minimum_percent) for point in shown if point.minimum_percent is not None]
    low, high = min([*values, *limits]), max([*values, *limits])
    axes.set_ylim(low - max(1.0, (high - low) * 0.08), high + max(1.0, (high - low) * 0.14))
    axes.set_xlim(-0.7, len(shown) - 0.3)
    _draw_limits(axes, shown)
    _draw_mean(axes, values, mean_of)
    if spread:
        _draw_spread(axes, values)
    _draw_references(axes, shown)
    entries = marks.plot(
        axes,
        [(number, value, point.mark) for number, (point, value) in enumerate(zip(shown, values, strict=True))],
        size=7.5 if len(shown) <= 120 else 5,
    )
    every = max(1, -(-len(shown) // _MOST_TICKS))
    ticks = range(0, len(shown), every)
    axes.set_xticks(list(ticks))
    axes.set_xticklabels([f"{drawing.clean(shown[at].label, longest=10)}\n{shown[at].day[5:]}" for at in ticks])
    drawing.legend(made, axes, entries, columns=3)
    return drawing.svg(made, title=title, description=_say(shown, left_out))


def _draw_limits(axes: "Axes", shown: Sequence[RunPoint]) -> None:
    """The limit of each test: it may differ by zone or revision. No risers, a hedge of which would hide tests."""
    runs: list[list[float]] = []  # limit, first, last
    for number, point in enumerate(shown):
        if point.minimum_percent is None:
            continue
        limit = float(point.minimum_percent)
        if runs and runs[-1][0] == limit and runs[-1][2] == number - 1:
            runs[-1][2] = number
        else:
            runs.append([limit, number, number])
    axes.hlines(
        [run[0] for run in runs],
        [run[1] - 0.5 for run in runs],
        [run[2] + 0.5 for run in runs],
        color=drawing.INK,
        linewidth=1.6,
        label="least required",
        zorder=3,
    )


def _draw_mean(axes: "Axes", values: Sequence[float], of: int) -> None:
    if len(values) < 2 * of:
        return
    means = [sum(values[at - of : at]) / of for at in range(of, len(values) + 1)]
    axes.plot(
        range(of - 1, len(values)), means, color=drawing.BLUE, linewidth=1.3, linestyle=(0, (6, 2)), zorder=4,
        label=f"mean of the last {of}",
    )  # fmt: skip


def _draw_spread(axes: "Axes", values: Sequence[float]) -> None:
    """Mean and mean +- 2 s of all tests shown: where most lie, no limit of acceptance."""
    if len(values) < 3:
        return
    middle, sd = mean(values), stdev(values)
    axes.axhline(middle, color=drawing.GREY, linewidth=1, zorder=2, label=f"mean {middle:.1f}")
    for number, side in enumerate((-2, 2)):
        label = f"mean ± 2 s (s {sd:.1f})" if number == 0 else "_"
        axes.axhline(middle + side * sd, color=drawing.GREY, linewidth=1, linestyle=(0, (2, 3)), zorder=2, label=label)
    low, high = axes.get_ylim()
    axes.set_ylim(min(low, middle - 2.3 * sd), max(high, middle + 2.6 * sd))


def _draw_references(axes: "Axes", shown: Sequence[RunPoint]) -> None:
    """A dotted line where the reference changes, unless it changes all the time."""
    changes = [at for at in range(1, len(shown)) if shown[at].reference != shown[at - 1].reference]
    if not changes or len(changes) > 8:
        return
    for at in changes:
        axes.axvline(at - 0.5, color=drawing.GREY, linewidth=0.9, linestyle=(0, (1, 2)), zorder=2)
    for at in (0, *changes):
        axes.annotate(
            drawing.clean(shown[at].reference, longest=16), (at - 0.4, 1), xycoords=("data", "axes fraction"),
            va="top", fontsize=8, color=drawing.GREY,
        )  # fmt: skip


def _say(shown: Sequence[RunPoint], left_out: int) -> str:
    short = [
        point
        for point in shown
        if point.minimum_percent is not None and point.percent_compaction < point.minimum_percent
    ]
    lowest = min(shown, key=lambda point: point.percent_compaction)
    first = f"The newest {len(shown)} of {len(shown) + left_out} tests" if left_out else f"{len(shown)} tests"
    return (
        f"{first} from {shown[0].day} to {shown[-1].day}; {len(short)} below what is required. "
        f"The lowest is {plain(lowest.percent_compaction)} % (test {drawing.clean(lowest.label)})."
    )
