"""A family of moisture-density curves in one drawing: its curves, the line through their peaks, one point if any."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from compaction.calculations import family_of_curves
from compaction.calculations.errors import NotEnoughReadings
from compaction.calculations.zero_air_voids import zero_air_voids_dry_density_kgm3
from compaction.facts import ReferenceFacts
from compaction.plots import drawing, fitted_line
from compaction.plots.scale import Scale, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ASSUMED_SPECIFIC_GRAVITY: Final = Decimal("2.70")
#: told apart by dashes and marks as much as by shade
_LINES: Final = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (6, 2, 1, 2)), (0, (3, 1, 1, 1, 1, 1)))
_MARKS: Final = ("^", "s", "D", "v", "o", "P", "X")


@dataclass(frozen=True)
class OnePointMark:
    """One compacted specimen and the peak that it indicates; percent and kg/m3."""

    water_content_pct: Decimal
    dry_density_kgm3: Decimal
    optimum_water_content_pct: Decimal | None = None
    maximum_dry_density_kgm3: Decimal | None = None
    label: str = "one point"


def draw(
    code: str,
    members: Sequence[ReferenceFacts],
    *,
    scale: Scale,
    one_point: OnePointMark | None = None,
    specific_gravity: Decimal | None = None,
    water_density_kgm3: Decimal = Decimal(1000),
) -> bytes:
    """The drawing as SVG; a family whose curves are not there yet is an empty frame that says so."""
    made, axes = drawing.figure(width_in=7.2, height_in=5.4)
    title = f"Family of curves {drawing.clean(code)}"
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    axes.set_xlabel(scale.water_axis, color=drawing.INK)
    axes.set_ylabel(scale.density_axis, color=drawing.INK)
    ordered = sorted(members, key=lambda member: -member.maximum_dry_density_kgm3)
    for place, member in enumerate(ordered):
        _draw_member(axes, member, place, scale)
    said = [f"{len(ordered)} curves: {', '.join(member.code for member in ordered)}."]
    said.append(_draw_spine(axes, ordered, scale))
    if ordered:
        gravity = specific_gravity or ASSUMED_SPECIFIC_GRAVITY
        _draw_voids(axes, scale, gravity, specific_gravity is None, water_density_kgm3)
    if one_point is not None:
        said.append(_draw_one_point(axes, one_point, scale))
    if not ordered:
        nothing = "None of its curves is known yet."
        axes.text(0.5, 0.5, nothing, transform=axes.transAxes, ha="center", color=drawing.INK)
    if ordered or one_point is not None:
        drawing.legend(made, axes)
    return drawing.svg(made, title=title, description=" ".join(filter(None, said)))


def _draw_member(axes: "Axes", member: ReferenceFacts, place: int, scale: Scale) -> None:
    mark, dashes = _MARKS[place % len(_MARKS)], _LINES[place % len(_LINES)]
    used = [point for point in member.points if not point.rejected]
    line = fitted_line.through(member.points)
    if line is not None:
        axes.plot(
            line.water_contents_pct, [scale.density(value) for value in line.dry_densities_kgm3],
            color=drawing.BLUE, linewidth=1.5, linestyle=dashes, zorder=3,
        )  # fmt: skip
    axes.plot(
        [float(point.water_content_pct) for point in used], [scale.density(point.dry_density_kgm3) for point in used],
        linestyle="none", marker=mark, markersize=5.5, markerfacecolor="white", markeredgecolor=drawing.BLUE, zorder=4,
    )  # fmt: skip
    peak = f"{scale.density_text(member.maximum_dry_density_kgm3)} at {plain(member.optimum_water_content_pct)} %"
    axes.plot(
        [float(member.optimum_water_content_pct)], [scale.density(member.maximum_dry_density_kgm3)],
        linestyle="none", marker=mark, markersize=9, markerfacecolor=drawing.BLUE, markeredgecolor=drawing.INK,
        zorder=5, label=f"{drawing.clean(member.code, longest=20)}: {peak}",
    )  # fmt: skip


def _draw_spine(axes: "Axes", members: Sequence[ReferenceFacts], scale: Scale) -> str:
    peaks = [(member.maximum_dry_density_kgm3, member.optimum_water_content_pct) for member in members]
    try:
        spine = family_of_curves.spine(peaks)
    except NotEnoughReadings as error:
        return error.sentence
    ends = [max(maximum for maximum, _ in peaks), min(maximum for maximum, _ in peaks)]
    axes.plot(
        [float(spine.optimum_pct(end)) for end in ends], [scale.density(end) for end in ends],
        color=drawing.INK, linewidth=1.2, linestyle=":", zorder=4.5,
        label=f"line through the peaks, {spine.residual_sd_pct:.1f} % scatter",
    )  # fmt: skip
    return f"The peaks scatter by {spine.residual_sd_pct:.1f} points about a straight line."


def _draw_voids(axes: "Axes", scale: Scale, gravity: Decimal, assumed: bool, water_density_kgm3: Decimal) -> None:
    left, right = (float(end) for end in axes.get_xlim())
    low, high = axes.get_ylim()
    along = [max(left, 0.1) + (right - max(left, 0.1)) * step / 40 for step in range(41)]
    line = [
        scale.density(
            zero_air_voids_dry_density_kgm3(
                water_content_pct=Decimal(repr(water)), specific_gravity=gravity, water_density_kgm3=water_density_kgm3
            )
        )
        for water in along
    ]
    axes.plot(
        along, line, color=drawing.INK, linewidth=1.1, linestyle=(0, (7, 3)),
        label=f"zero air voids, Gs {plain(gravity)}{' assumed' if assumed else ''}",
    )  # fmt: skip
    axes.set_xlim(left, right)
    axes.set_ylim(low, high + (high - low) * 0.08)


def _draw_one_point(axes: "Axes", one: OnePointMark, scale: Scale) -> str:
    x, y = float(one.water_content_pct), scale.density(one.dry_density_kgm3)
    words = f"{drawing.clean(one.label)}: {scale.density_text(one.dry_density_kgm3)} at {one.water_content_pct:.1f} %"
    axes.plot(
        [x], [y], linestyle="none", marker="*", markersize=15, markerfacecolor="white", markeredgecolor=drawing.INK,
        markeredgewidth=1.4, zorder=7, label=words,
    )  # fmt: skip
    maximum, optimum = one.maximum_dry_density_kgm3, one.optimum_water_content_pct
    if maximum is None or optimum is None:
        return f"{words}; it gives no maximum within the family."
    indicated = f"indicated: {scale.density_text(maximum)} at {optimum:.1f} %"
    axes.plot(
        [x, float(optimum)], [y, scale.density(maximum)], color=drawing.INK, linewidth=0.9, linestyle=(0, (2, 2)),
        zorder=6,
    )  # fmt: skip
    axes.plot(
        [float(optimum)], [scale.density(maximum)], linestyle="none", marker="+", markersize=15,
        markeredgecolor=drawing.INK, markeredgewidth=1.6, zorder=7, label=indicated,
    )  # fmt: skip
    return f"{words}; {indicated}."
