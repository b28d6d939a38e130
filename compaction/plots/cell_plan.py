"""The cells of a lift with its planned locations and tests: station to the right, left of the line up."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from compaction.plots import drawing, marks
from compaction.register import LOOKS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: more cells than this are numbered only
MANY = 24
_GOOD, _BAD = LOOKS["pass"].colour, LOOKS["fail"].colour
#: state -> pattern first, colour second, words
STATES: dict[str, tuple[dict[str, Any], str]] = {
    "untested": ({"facecolor": "white", "hatch": "//", "edgecolor": drawing.GREY}, "untested"),
    "tested": ({"facecolor": "#d8efe6", "edgecolor": _GOOD}, "tested"),
    "failing": ({"facecolor": "#f7dccb", "hatch": "xx", "edgecolor": _BAD}, "failing"),
}
_SPOTS: dict[str, tuple[dict[str, Any], str]] = {
    "open": ({"marker": "D", "markersize": 9, "markerfacecolor": "white", "markeredgewidth": 2}, "location to do"),
    "done": ({"marker": "D", "markersize": 8, "markerfacecolor": drawing.BLUE, "markeredgewidth": 1}, "location done"),
    "cell_tested": (
        {"marker": "D", "markersize": 6, "markerfacecolor": "none", "markeredgewidth": 1},
        "location not needed, cell tested elsewhere",
    ),
}


@dataclass(frozen=True)
class CellShape:
    """A cell as pieces of the fill; corners are (station, offset), metres, or easting and northing."""

    number: int
    state: str
    pieces: tuple[tuple[tuple[float, float], ...], ...]

    @property
    def middle(self) -> tuple[float, float]:
        corners = [corner for piece in self.pieces for corner in piece]
        firsts, seconds = [first for first, _ in corners], [second for _, second in corners]
        return (min(firsts) + max(firsts)) / 2, (min(seconds) + max(seconds)) / 2


@dataclass(frozen=True)
class PlanSpot:
    """A location (state of `locations`) or a test (mark of the register) at its place."""

    first_m: float
    second_m: float
    state: str
    name: str = ""


def draw(
    *,
    shapes: Sequence[CellShape],
    locations: Sequence[PlanSpot],
    tests: Sequence[PlanSpot],
    title: str,
    station_text: Callable[[float], str] | None,
    unit: str,
    unit_m: float,
) -> bytes:
    """The drawing. `station_text` None: fill given by corners, easting to the right and northing up."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    made, axes = drawing.figure(width_in=8.5, height_in=4.4)
    title = drawing.clean(title, longest=90)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    up = -1.0 if station_text else 1.0  # the left of the line is up, as it is seen looking ahead
    entries = _cells(axes, shapes, unit_m, up)
    entries += marks.plot(
        axes, [(one.first_m / unit_m, up * one.second_m / unit_m, one.state) for one in tests], size=6, faint=True
    )
    entries += _locations(axes, locations, unit_m, up)
    axes.margins(0.03, 0.08)
    if station_text:
        axes.set_xlabel("Station", color=drawing.INK)
        axes.set_ylabel(f"Offset, {drawing.clean(unit)} (other scale)", color=drawing.INK)
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: station_text(float(value) * unit_m)))
        axes.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: _side(float(value))))
    else:
        axes.set_xlabel(f"Easting, {drawing.clean(unit)}", color=drawing.INK)
        axes.set_ylabel(f"Northing, {drawing.clean(unit)}", color=drawing.INK)
        axes.ticklabel_format(style="plain", useOffset=False)
        axes.set_aspect("equal", adjustable="datalim")
    drawing.legend(made, axes, entries, columns=3)
    return drawing.svg(made, title=title, description=_say(shapes, locations, tests))


def _side(value: float) -> str:
    return f"{abs(value):g}" + (" L" if value > 0 else " R" if value < 0 else "")


def _cells(axes: "Axes", shapes: Sequence[CellShape], unit_m: float, up: float) -> list[marks.Entry]:
    from matplotlib.patches import Patch, Polygon

    entries: list[marks.Entry] = []
    for state, (look, words) in STATES.items():
        chosen = [shape for shape in shapes if shape.state == state]
        for shape in chosen:
            for piece in shape.pieces:
                corners = [(first / unit_m, up * second / unit_m) for first, second in piece]
                axes.add_patch(Polygon(corners, closed=True, linewidth=1.1, zorder=1, **look))
        if chosen:
            entries.append(((Patch(linewidth=1.1, **look),), f"cell {words} ({len(chosen)})"))
    for shape in shapes:
        first, second = shape.middle
        said = str(shape.number) if len(shapes) > MANY else f"{shape.number}\n{STATES[shape.state][1]}"
        axes.annotate(
            said, (first / unit_m, up * second / unit_m), ha="center", va="center", fontsize=8, color=drawing.INK,
            zorder=3, bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
        )  # fmt: skip
    if shapes:
        axes.autoscale_view()
    return entries


def _locations(axes: "Axes", spots: Sequence[PlanSpot], unit_m: float, up: float) -> list[marks.Entry]:
    entries: list[marks.Entry] = []
    for state, (look, words) in _SPOTS.items():
        chosen = [spot for spot in spots if spot.state == state]
        if chosen:
            xs, ys = [one.first_m / unit_m for one in chosen], [up * one.second_m / unit_m for one in chosen]
            [drawn] = axes.plot(
                xs, ys, linestyle="none", markeredgecolor=drawing.BLUE, zorder=4.5, label="_", **look
            )  # fmt: skip
            entries.append(((drawn,), f"{words} ({len(chosen)})"))
    return entries


def _say(shapes: Sequence[CellShape], locations: Sequence[PlanSpot], tests: Sequence[PlanSpot]) -> str:
    told = []
    for state, (_, words) in STATES.items():
        numbers = [str(shape.number) for shape in shapes if shape.state == state]
        if numbers:
            told.append(f"{words}: {', '.join(numbers)}")
    open_ones = [spot.name for spot in locations if spot.state == "open"]
    to_do = f" Locations to do: {', '.join(open_ones)}." if open_ones else ""
    return f"{len(shapes)} cells of equal area; {'; '.join(told)}.{to_do} {len(tests)} tests."
