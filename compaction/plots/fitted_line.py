"""A smooth line through the points of a moisture-density curve, to look at. It decides nothing.

The reported maximum and optimum govern, and `calculations.moisture_density_curve` proposes and warns; this line
follows the same fits: a least-squares cubic from five points on, a parabola from three.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from compaction.facts import CurvePoint

STEPS = 60


@dataclass(frozen=True)
class FittedLine:
    """Water contents (%) and dry densities (kg/m3) along the line, and in words what it is."""

    words: str
    water_contents_pct: tuple[float, ...]
    dry_densities_kgm3: tuple[float, ...]


def through(points: Sequence[CurvePoint]) -> FittedLine | None:
    """The line between the driest and the wettest point; None for fewer than three points or two at one place."""
    used = [point for point in points if not point.rejected]
    waters = np.array([float(point.water_content_pct) for point in used])
    if len(used) < 3 or len(set(waters.tolist())) < len(used):
        return None
    densities = np.array([float(point.dry_density_kgm3) for point in used])
    degree = 3 if len(used) >= 5 else 2
    line = np.polynomial.Polynomial.fit(waters, densities, degree)
    along = np.linspace(float(waters.min()), float(waters.max()), STEPS)
    return FittedLine(
        words=f"least-squares {'cubic' if degree == 3 else 'parabola'} through the points",
        water_contents_pct=tuple(along.tolist()),
        dry_densities_kgm3=tuple(np.asarray(line(along)).tolist()),
    )
