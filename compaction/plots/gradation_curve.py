"""Gradation curve: percent passing over grain size on a logarithmic axis, with the boundaries of D2487."""

from collections.abc import Sequence
from decimal import Decimal

from compaction.calculations.gradation import COBBLES_MM, FINES_MM, GRAVEL_MM, Passing
from compaction.plots import drawing

#: name of each range, its ends in mm
_RANGES = (
    ("cobbles", COBBLES_MM, Decimal(300)),
    ("gravel", GRAVEL_MM, COBBLES_MM),
    ("sand", FINES_MM, GRAVEL_MM),
    ("fines", Decimal("0.001"), FINES_MM),
)


def draw(gradation: Sequence[Passing], *, title: str, sizes: Sequence[tuple[str, Decimal]] = ()) -> bytes:
    """The drawing as SVG; `sizes` are D60, D30, D10 in mm where they are known."""
    made, axes = drawing.figure(width_in=7.2, height_in=4.2)
    ordered = sorted(gradation, key=lambda one: one.size_mm, reverse=True)
    xs = [float(one.size_mm) for one in ordered]
    ys = [float(one.passing_pct) for one in ordered]
    coarsest = max(xs, default=75.0) * 1.5
    finest = min(min(xs, default=0.075) * 0.6, 0.05)
    axes.set_xscale("log")
    axes.set_xlim(coarsest, finest)
    axes.set_ylim(0, 103)
    axes.set_xlabel("Grain size (mm)", color=drawing.INK)
    axes.set_ylabel("Percent passing", color=drawing.INK)
    axes.set_title(drawing.clean(title), fontsize=11, color=drawing.INK, loc="left", pad=18)
    axes.xaxis.set_major_formatter(_plain)
    for name, low, high in _RANGES:
        left, right = min(float(high), coarsest), max(float(low), finest)
        if left <= right:
            continue
        axes.text(
            (left * right) ** 0.5, 1.01, name, transform=axes.get_xaxis_transform(), fontsize=8.5, ha="center",
            va="bottom", color=drawing.GREY,
        )  # fmt: skip
        if finest < float(low) < coarsest:
            axes.axvline(float(low), color=drawing.GREY, linewidth=0.9, linestyle=(0, (5, 3)))
    axes.plot(
        xs, ys, color=drawing.BLUE, linewidth=1.8, marker="o", markersize=5.5, markerfacecolor="white",
        markeredgecolor=drawing.BLUE, label="percent passing",
    )  # fmt: skip
    for name, size in sizes:
        percent = float(name.removeprefix("D"))
        axes.plot([float(size)], [percent], linestyle="none", marker="D", markersize=5, color=drawing.INK, label="_")
        axes.annotate(
            f"{name} {size:.3g} mm", (float(size), percent), xytext=(7, 3), textcoords="offset points", fontsize=8.5,
            color=drawing.INK, va="bottom",
        )  # fmt: skip
    said = "; ".join(f"{one.passing_pct:f} % pass {one.size_mm:f} mm" for one in ordered)
    return drawing.svg(made, title=title, description=f"{said}.")


def _plain(value: float, _: float) -> str:
    return f"{value:g}"
