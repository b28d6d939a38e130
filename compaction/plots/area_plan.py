"""An area in plan, among the lines and the other areas of the project, before it is put in force."""

from collections.abc import Sequence
from dataclasses import dataclass

from compaction.plots import drawing

Line = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Outline:
    """A named line or outline; points in the unit of the axes."""

    name: str
    points: Line


def draw(area: Outline, *, lines: Sequence[Outline], others: Sequence[Outline], unit: str) -> bytes:
    """The drawing, north up, one scale both ways, cut to the area with half its size around."""
    made, axes = drawing.figure(width_in=7.0, height_in=5.0)
    title = f"Area {drawing.clean(area.name)} as entered"
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(f"Easting, {drawing.clean(unit)}", color=drawing.INK)
    axes.set_ylabel(f"Northing, {drawing.clean(unit)}", color=drawing.INK)
    axes.ticklabel_format(style="plain", useOffset=False)
    axes.tick_params(axis="x", labelrotation=20)
    axes.set_aspect("equal", adjustable="box")
    eastings, northings = zip(*area.points, strict=True)
    axes.fill(
        eastings, northings, facecolor="#cfe3f0", edgecolor=drawing.BLUE, linewidth=2.2, hatch="///", zorder=3,
        label="this area",
    )  # fmt: skip
    corners = area.points if len(area.points) <= 40 else ()
    for number, (easting, northing) in enumerate(corners, start=1):
        axes.annotate(
            str(number), (easting, northing), textcoords="offset points", xytext=(5, 5), fontsize=8.5,
            color=drawing.INK, zorder=6,
        )  # fmt: skip
    for number, other in enumerate(others):
        label = "other areas" if number == 0 else None
        _closed(axes, other, label)
    for number, line in enumerate(lines):
        axes.plot(*zip(*line.points, strict=True), color=drawing.INK, linewidth=1.6, zorder=4,
                  label="alignments" if number == 0 else None)  # fmt: skip
    spans = max(eastings) - min(eastings), max(northings) - min(northings)
    half = max(spans[0] / 1.4, spans[1], 1e-6)  # a drawing a little wider than high
    middle = (max(eastings) + min(eastings)) / 2, (max(northings) + min(northings)) / 2
    axes.set_xlim(middle[0] - 1.4 * half, middle[0] + 1.4 * half)
    axes.set_ylim(middle[1] - half, middle[1] + half)
    drawing.legend(made, axes, columns=3)
    said = f"The area has {len(area.points)} corners. Beside it: {', '.join(one.name for one in others) or 'no area'}."
    return drawing.svg(made, title=title, description=said)


def _closed(axes: object, other: Outline, label: str | None) -> None:
    eastings, northings = zip(*[*other.points, other.points[0]], strict=True)
    axes.plot(  # type: ignore[attr-defined]
        eastings, northings, color=drawing.GREY, linewidth=1.2, linestyle=(0, (4, 2)), zorder=2, label=label
    )
    axes.annotate(  # type: ignore[attr-defined]
        drawing.clean(other.name), other.points[0], textcoords="offset points", xytext=(4, -11), fontsize=8.5,
        color=drawing.GREY, clip_on=True, annotation_clip=True, zorder=5,
    )  # fmt: skip
