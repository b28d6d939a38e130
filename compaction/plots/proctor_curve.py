"""Moisture-density curve: points, fit, zero-air-voids line, acceptance window, field tests."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from compaction.calculations.zero_air_voids import zero_air_voids_dry_density_kgm3
from compaction.facts import ReferenceFacts
from compaction.plots import drawing, fitted_line, marks, saturation_lines
from compaction.plots.scale import Scale, plain, signed
from compaction.register import MARK_WORDS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Common practice (no source): what is assumed for mineral soil where nobody measured; only the line is drawn with it.
ASSUMED_SPECIFIC_GRAVITY = Decimal("2.70")
_HUNDRED = Decimal(100)


@dataclass(frozen=True)
class FieldPoint:
    """A field test on the drawing; `label` is written only beside the highlighted one."""

    water_content_pct: Decimal
    dry_density_kgm3: Decimal
    mark: str
    label: str = ""


@dataclass(frozen=True)
class Window:
    """What is accepted: a least percent compaction, and water contents (absolute, %). None is open."""

    minimum_percent: Decimal | None = None
    water_from_pct: Decimal | None = None
    water_to_pct: Decimal | None = None
    note: str = ""  # which zone or clause it is of


@dataclass(frozen=True)
class Peak:
    """Maximum and optimum that a test was compared with; `oversize_pct` says why they differ from the curve's."""

    maximum_dry_density_kgm3: Decimal
    optimum_water_content_pct: Decimal
    oversize_pct: Decimal | None = None


def window_of(
    reference: ReferenceFacts,
    *,
    minimum_percent: Decimal | None,
    deviation_from: Decimal | None = None,
    deviation_to: Decimal | None = None,
    optimum_water_content_pct: Decimal | None = None,
    note: str = "",
) -> Window:
    """A window whose water contents are given as deviations from the optimum, as most specifications do."""
    optimum = reference.optimum_water_content_pct if optimum_water_content_pct is None else optimum_water_content_pct
    return Window(
        minimum_percent=minimum_percent,
        water_from_pct=None if deviation_from is None else optimum + deviation_from,
        water_to_pct=None if deviation_to is None else optimum + deviation_to,
        note=note,
    )


def draw(
    reference: ReferenceFacts,
    *,
    scale: Scale,
    window: Window | None = None,
    field: Sequence[FieldPoint] = (),
    test: FieldPoint | None = None,
    corrected: Peak | None = None,
    water_density_kgm3: Decimal = Decimal(1000),
) -> bytes:
    """The drawing as SVG. `field` are other tests on this reference, `test` the one it is about."""
    made, axes = drawing.figure(width_in=7.2, height_in=5.4)
    title = f"{scale.curve_name} {drawing.clean(reference.code)} rev {reference.rev}, {drawing.clean(reference.method)}"
    waters, densities = _extent(reference, window=window, field=field, test=test, corrected=corrected)
    axes.set_xlim(*waters)
    axes.set_ylim(scale.density(densities[0]), scale.density(densities[1]))
    axes.set_xlabel(scale.water_axis, color=drawing.INK)
    axes.set_ylabel(scale.density_axis, color=drawing.INK)
    axes.set_title(title, fontsize=11, color=drawing.INK, loc="left")
    said = [_say_reference(reference, scale)]

    gravity = reference.specific_gravity or ASSUMED_SPECIFIC_GRAVITY
    measured = reference.specific_gravity is not None and reference.specific_gravity_measured
    along = np.linspace(max(0.0, waters[0]), waters[1], 40)
    voids = [
        zero_air_voids_dry_density_kgm3(
            water_content_pct=Decimal(repr(float(water))),
            specific_gravity=gravity,
            water_density_kgm3=water_density_kgm3,
        )
        for water in along
    ]
    voids_words = f"zero air voids, Gs {_gravity_text(gravity)} {'measured' if measured else 'assumed'}"
    axes.plot(
        along, [scale.density(value) for value in voids], color=drawing.INK, linewidth=1.3, linestyle=(0, (7, 3)),
        label=voids_words,
    )  # fmt: skip
    said.append(f"Line of {voids_words}.")
    said.append(
        saturation_lines.draw(axes, along, specific_gravity=gravity, water_density_kgm3=water_density_kgm3, scale=scale)
    )

    if window is not None:
        governing = corrected or Peak(reference.maximum_dry_density_kgm3, reference.optimum_water_content_pct)
        said.append(_draw_window(axes, window, governing, scale, waters, densities, along, voids))
    _draw_curve(axes, reference, scale)
    if corrected is not None:
        said.append(_draw_corrected(axes, corrected, scale))
    entries = marks.plot(
        axes,
        [(float(one.water_content_pct), scale.density(one.dry_density_kgm3), one.mark) for one in field],
        size=6.5,
        faint=test is not None,
    )
    if field:
        said.append(f"{len(field)} field tests on this reference are shown.")
    if test is not None:
        entry, words = _draw_test(axes, test, scale)
        entries.append(entry)
        said.append(words)
    drawing.legend(made, axes, entries)
    return drawing.svg(made, title=title, description=" ".join(filter(None, said)))


def _say_reference(reference: ReferenceFacts, scale: Scale) -> str:
    return (
        f"Reported maximum {scale.density_text(reference.maximum_dry_density_kgm3)} at "
        f"{plain(reference.optimum_water_content_pct)} %; {len(reference.points)} laboratory points."
    )


def _gravity_text(gravity: Decimal) -> str:
    """A specific gravity with two decimals, or with the more that were written."""
    written = plain(gravity)
    return written if len(written.partition(".")[2]) >= 2 else f"{gravity:.2f}"


def _extent(
    reference: ReferenceFacts,
    *,
    window: Window | None,
    field: Sequence[FieldPoint],
    test: FieldPoint | None,
    corrected: Peak | None,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ranges of water content (%) and dry density (kg/m3) that hold everything, with some air."""
    waters = [reference.optimum_water_content_pct - 4, reference.optimum_water_content_pct + 5]
    densities = [reference.maximum_dry_density_kgm3 * Decimal("0.92"), reference.maximum_dry_density_kgm3]
    for shown in (*field, *([test] if test else [])):
        waters.append(shown.water_content_pct)
        densities.append(shown.dry_density_kgm3)
    for point in reference.points:
        waters.append(point.water_content_pct)
        densities.append(point.dry_density_kgm3)
    if window is not None:
        waters += [value for value in (window.water_from_pct, window.water_to_pct) if value is not None]
        if window.minimum_percent is not None:
            densities.append(window.minimum_percent / _HUNDRED * reference.maximum_dry_density_kgm3)
    if corrected is not None:
        waters.append(corrected.optimum_water_content_pct)
        densities.append(corrected.maximum_dry_density_kgm3)
    low, high = float(min(densities)), float(max(densities))
    air = (high - low) * 0.12
    return (max(0.0, float(min(waters)) - 1), float(max(waters)) + 1), (low - air, high + air)


def _draw_curve(axes: "Axes", reference: ReferenceFacts, scale: Scale) -> None:
    line = fitted_line.through(reference.points)
    if line is not None:
        axes.plot(
            line.water_contents_pct, [scale.density(value) for value in line.dry_densities_kgm3],
            color=drawing.BLUE, linewidth=1.8, label=line.words, zorder=3,
        )  # fmt: skip
    for rejected in (False, True):
        chosen = [point for point in reference.points if point.rejected is rejected]
        if chosen:
            axes.plot(
                [float(point.water_content_pct) for point in chosen],
                [scale.density(point.dry_density_kgm3) for point in chosen],
                linestyle="none", marker="1" if rejected else "^", markersize=8, markerfacecolor="white",
                markeredgecolor=drawing.GREY if rejected else drawing.BLUE, markeredgewidth=1.4, zorder=4,
                label="laboratory point, rejected" if rejected else "laboratory point",
            )  # fmt: skip
    axes.plot(
        [float(reference.optimum_water_content_pct)], [scale.density(reference.maximum_dry_density_kgm3)],
        linestyle="none", marker="+", markersize=15, markeredgecolor=drawing.INK, markeredgewidth=1.6, zorder=4,
        label=f"reported: {scale.density_text(reference.maximum_dry_density_kgm3)} at "
        f"{plain(reference.optimum_water_content_pct)} %",
    )  # fmt: skip


def _draw_window(
    axes: "Axes",
    window: Window,
    governing: Peak,
    scale: Scale,
    waters: tuple[float, float],
    densities: tuple[float, float],
    along: np.ndarray,
    voids: list[Decimal],
) -> str:
    """The accepted region, cut off at the zero-air-voids line; returns it in words."""
    low = waters[0] if window.water_from_pct is None else float(window.water_from_pct)
    high = waters[1] if window.water_to_pct is None else float(window.water_to_pct)
    floor = densities[0]
    parts = []
    if window.minimum_percent is not None:
        floor = float(window.minimum_percent / _HUNDRED * governing.maximum_dry_density_kgm3)
        parts.append(f"at least {plain(window.minimum_percent)} % of the maximum")
        axes.axhline(scale.density(floor), color=drawing.INK, linewidth=0.9, linestyle=":", zorder=2)
    if window.water_from_pct is not None or window.water_to_pct is not None:
        ends = [
            signed(end - governing.optimum_water_content_pct)
            for end in (window.water_from_pct, window.water_to_pct)
            if end is not None
        ]
        parts.append(
            f"moisture {' to '.join(ends)} of optimum"
            if scale.words == "us"
            else f"water content {' to '.join(ends)} of optimum"
        )
    words = f"accepted: {', '.join(parts)}{f' ({drawing.clean(window.note)})' if window.note else ''}"
    inside = np.linspace(low, high, 30)
    top = np.interp(inside, along, [float(value) for value in voids])
    axes.fill_between(
        inside,
        scale.density(floor),
        [max(scale.density(floor), scale.density(min(float(value), densities[1]))) for value in top],
        facecolor="#E8F1F7", edgecolor="#7FA9C4", hatch="//", linewidth=0.8, zorder=1, label=words,
    )  # fmt: skip
    return f"Hatched: {words}."


def _draw_corrected(axes: "Axes", corrected: Peak, scale: Scale) -> str:
    why = "" if corrected.oversize_pct is None else f" for {corrected.oversize_pct:.1f} % oversize"
    words = (
        f"corrected{why}: {scale.density_text(corrected.maximum_dry_density_kgm3)} at "
        f"{corrected.optimum_water_content_pct:.1f} %"
    )
    axes.plot(
        [float(corrected.optimum_water_content_pct)], [scale.density(corrected.maximum_dry_density_kgm3)],
        linestyle="none", marker="P", markersize=10, markerfacecolor="white", markeredgecolor=drawing.INK,
        markeredgewidth=1.3, zorder=4, label=words,
    )  # fmt: skip
    return f"The maximum is {words}."


def _draw_test(axes: "Axes", test: FieldPoint, scale: Scale) -> tuple[marks.Entry, str]:
    """The test that the drawing is about, in a ring with its figures beside it; its legend entry and its words."""
    x, y = float(test.water_content_pct), scale.density(test.dry_density_kgm3)
    axes.plot(
        [x], [y], linestyle="none", marker="o", markersize=20, markerfacecolor="none", markeredgecolor=drawing.INK,
        markeredgewidth=1.4, zorder=7, label="_",
    )  # fmt: skip
    drawn = marks.stack(axes, [x], [y], test.mark, size=10, zorder=7.1)
    left, right = axes.get_xlim()
    beside = -1 if x > left + 0.6 * (right - left) else 1
    figures = f"{scale.density_text(test.dry_density_kgm3)} at {test.water_content_pct:.1f} %"
    axes.annotate(
        f"{drawing.clean(test.label, longest=24)}\n{figures}", (x, y), xytext=(16 * beside, 0),
        textcoords="offset points", fontsize=9, color=drawing.INK, va="center", zorder=8,
        ha="left" if beside > 0 else "right",
        bbox={"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": drawing.GREY, "alpha": 0.9},
    )  # fmt: skip
    words = f"{drawing.clean(test.label)}: {figures}, {MARK_WORDS[test.mark]}."
    return (drawn, f"this test: {MARK_WORDS[test.mark]}"), words
