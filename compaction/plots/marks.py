"""The marks of results in drawings: the same shapes and colours as on the map."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from compaction.register import LOOKS, MARK_WORDS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Entry = tuple[tuple[Any, ...], str]

#: What lies on top: the failing ones.
_ORDER = (
    "voided",
    "no_result",
    "pass",
    "provisional",
    "passed_on_retest",
    "accepted",
    "on_hold",
    "fail",
    "buried_failure",
)


def plot(
    axes: "Axes", points: Sequence[tuple[float, float, str]], *, size: float = 8.0, faint: bool = False
) -> list[Entry]:
    """Points (x, y, mark); returns a legend entry for each mark that occurs."""
    entries: list[Entry] = []
    for level, mark in enumerate(_ORDER):
        chosen = [(x, y) for x, y, of in points if of == mark]
        if not chosen:
            continue
        xs, ys = [x for x, _ in chosen], [y for _, y in chosen]
        drawn = stack(axes, xs, ys, mark, size=size, zorder=5 + level / 10, alpha=0.75 if faint else 1)
        entries.append((drawn, f"{MARK_WORDS[mark]} ({len(chosen)})"))
    return entries


def stack(
    axes: "Axes", xs: Sequence[float], ys: Sequence[float], mark: str, *, size: float, zorder: float, alpha: float = 1
) -> tuple[Any, ...]:
    """Draw the layers of one mark over one another; together they are its legend entry."""
    return tuple(
        axes.plot(xs, ys, linestyle="none", zorder=zorder + number / 100, alpha=alpha, label="_", **layer)[0]
        for number, layer in enumerate(layers(mark, size))
    )


def layers(mark: str, size: float) -> list[dict[str, Any]]:
    """What is laid over one another to make the mark, as keywords of matplotlib's plot."""
    look = LOOKS[mark]
    colour = look.colour
    ring = {"marker": "o", "markerfacecolor": "white", "markeredgecolor": colour}
    square = {"marker": "s", "markerfacecolor": "white", "markersize": size}
    cross = {"marker": "x", "markeredgecolor": colour}
    shapes: dict[str, list[dict[str, Any]]] = {
        "disc": [
            {"marker": "o", "markersize": size, "markerfacecolor": colour, "markeredgecolor": "white",
             "markeredgewidth": 0.7}
        ],
        "saltire": [{**cross, "markersize": size * 0.95, "markeredgewidth": size * 0.32}],
        "half_disc": [
            {"marker": "o", "markersize": size, "fillstyle": "left", "markerfacecolor": colour,
             "markerfacecoloralt": "white", "markeredgecolor": colour, "markeredgewidth": 1.2}
        ],
        "barred_disc": [
            {"marker": "o", "markersize": size * 1.1, "markerfacecolor": colour, "markeredgecolor": "white",
             "markeredgewidth": 0.5},
            {"marker": _bars(), "markersize": size * 0.6, "markerfacecolor": "white", "markeredgecolor": "none"},
        ],
        "ringed_disc": [
            {**ring, "markersize": size * 1.15, "markeredgewidth": 1.4},
            {"marker": "o", "markersize": size * 0.55, "markerfacecolor": colour, "markeredgecolor": "none"},
        ],
        "open_square": [{**square, "markeredgecolor": colour, "markeredgewidth": 1.5}],
        "boxed_saltire": [
            {**square, "markersize": size * 1.2, "markeredgecolor": "black", "markeredgewidth": 1.3},
            {**cross, "markersize": size * 0.7, "markeredgewidth": size * 0.25},
        ],
        "struck_circle": [
            {**ring, "markersize": size * 0.65, "markeredgewidth": 1},
            {"marker": _stroke(), "markersize": size, "markeredgecolor": colour, "markeredgewidth": 1},
        ],
        "open_circle": [{**ring, "markersize": size * 0.8, "markeredgewidth": 1.2}],
    }  # fmt: skip
    return shapes[look.shape]


def _bars() -> Any:
    from matplotlib.path import Path

    left = [(-0.9, -1), (-0.3, -1), (-0.3, 1), (-0.9, 1), (-0.9, -1)]
    right = [(0.3, -1), (0.9, -1), (0.9, 1), (0.3, 1), (0.3, -1)]
    corner = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
    return Path([*left, *right], [*corner, *corner])


def _stroke() -> Any:
    from matplotlib.path import Path

    return Path([(-1, -1), (1, 1)], [Path.MOVETO, Path.LINETO])
