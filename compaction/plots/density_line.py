"""Tests on a reference without a curve: dry densities in order, against its index densities or a strip's maximum."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.plots import drawing, marks
from compaction.plots.scale import Scale

MOST_TESTS: Final = 60


@dataclass(frozen=True)
class Level:
    """A density that a line is drawn at (kg/m3), and its words."""

    dry_density_kgm3: Decimal
    words: str
    strong: bool = True


@dataclass(frozen=True)
class Shown:
    """One test: dry density (kg/m3), mark, whether the drawing is about it."""

    dry_density_kgm3: Decimal
    mark: str
    label: str = ""
    chosen: bool = False


def draw(title: str, levels: Sequence[Level], tests: Sequence[Shown], *, scale: Scale) -> bytes:
    """The drawing as SVG: the last `MOST_TESTS` tests, oldest first."""
    made, axes = drawing.figure(width_in=7.2, height_in=4.6)
    shown = list(tests)[-MOST_TESTS:]
    axes.set_title(drawing.clean(title, longest=90), fontsize=11, color=drawing.INK, loc="left")
    axes.set_ylabel(scale.density_axis, color=drawing.INK)
    axes.set_xlabel("Test, in the order of testing", color=drawing.INK)
    axes.set_xticks([])
    said = []
    for number, level in enumerate(levels):
        words = f"{drawing.clean(level.words)}: {scale.density_text(level.dry_density_kgm3)}"
        axes.axhline(
            scale.density(level.dry_density_kgm3), color=drawing.INK, linewidth=1.6 if level.strong else 1.0,
            linestyle=("-", (0, (6, 2)), ":", (0, (3, 1, 1, 1)))[number % 4], label=words, zorder=2,
        )  # fmt: skip
        said.append(f"{words}.")
    entries = marks.plot(
        axes, [(place, scale.density(one.dry_density_kgm3), one.mark) for place, one in enumerate(shown)], size=7.5
    )
    for place, one in enumerate(shown):
        if one.chosen:
            y = scale.density(one.dry_density_kgm3)
            axes.plot(
                [place], [y], linestyle="none", marker="o", markersize=19, markerfacecolor="none",
                markeredgecolor=drawing.INK, markeredgewidth=1.4, zorder=7,
            )  # fmt: skip
            axes.annotate(
                f"{drawing.clean(one.label, longest=24)}\n{scale.density_text(one.dry_density_kgm3)}", (place, y),
                xytext=(14, 0), textcoords="offset points", fontsize=9, color=drawing.INK, va="center", zorder=8,
                bbox={"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": drawing.GREY, "alpha": 0.9},
            )  # fmt: skip
    axes.set_xlim(-0.8, max(len(shown) - 0.2, 3))
    densities = [scale.density(one.dry_density_kgm3) for one in levels]
    densities += [scale.density(one.dry_density_kgm3) for one in shown]
    if densities:
        air = max((max(densities) - min(densities)) * 0.12, 1e-6 * max(densities))
        axes.set_ylim(min(densities) - air, max(densities) + air)
    said.append(f"{len(shown)} tests are shown." if shown else "No test stands on it yet.")
    drawing.legend(made, axes, entries)
    return drawing.svg(made, title=title, description=" ".join(said))
