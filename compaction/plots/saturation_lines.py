"""Lines of equal saturation below the zero-air-voids line, each with its percentage written on it."""

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from compaction.calculations.zero_air_voids import zero_air_voids_dry_density_kgm3
from compaction.plots import drawing
from compaction.plots.scale import Scale

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: The peak of a curve usually lies between these two (common practice, no source).
SATURATIONS_PCT: Final = (Decimal(90), Decimal(80))


def draw(
    axes: "Axes", waters: Iterable[float], *, specific_gravity: Decimal, water_density_kgm3: Decimal, scale: Scale
) -> str:
    """Both lines over the water contents (%), once the limits of the axes are set; returns what they are in words."""
    along = [float(water) for water in waters]
    bottom, top = sorted(axes.get_ylim())
    for number, saturation in enumerate(SATURATIONS_PCT):
        values = [
            scale.density(
                zero_air_voids_dry_density_kgm3(
                    water_content_pct=Decimal(repr(water)),
                    specific_gravity=specific_gravity,
                    water_density_kgm3=water_density_kgm3,
                    saturation_pct=saturation,
                )
            )
            for water in along
        ]
        axes.plot(
            along, values, color=drawing.GREY, linewidth=0.8, linestyle=(0, (2, 2)), zorder=2,
            label="_" if number else "saturation 90 and 80 %",
        )  # fmt: skip
        inside = [(x, y) for x, y in zip(along, values, strict=True) if bottom < y < top]
        if inside:
            axes.annotate(
                f"{saturation} %", inside[-1], fontsize=8, color=drawing.GREY, ha="right", va="bottom",
                xytext=(-2, 2), textcoords="offset points", zorder=2,
            )  # fmt: skip
    return "Thin lines of 90 and 80 % saturation."
