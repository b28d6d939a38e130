"""The figure that a criterion judges, and why there is none where there is none."""

from decimal import Decimal
from typing import Final

from compaction.calculations.nuclear_gauge import NuclearGaugeReadings
from compaction.evaluation.work import FIGURE_OF, NO_CRITERION, PENDING_OVERSIZE, Work

_HUNDRED: Final = Decimal(100)
#: quantity -> what a crew writes with the test; where it is not written, that is remarked and nothing is judged
STATED: Final = {
    "lift_thickness": "lift thickness",
    "probe_depth": "probe depth",
    "maximum_particle": "largest particle",
}


def found(work: Work, quantity: str) -> Decimal | None:
    """The figure (percent, kg/m3 or m) that a criterion of this quantity judges; None where it is not known."""
    if quantity in FIGURE_OF:
        return work.figures.get(FIGURE_OF[quantity])
    observation = work.inputs.observation
    if quantity == "water_content_ratio":
        return _of_optimum(work)
    if quantity == "dry_density":
        return work.figures.get("dry_density_kgm3")
    if quantity == "oversize":
        return work.oversize_pct
    if quantity == "lift_thickness":
        return observation.lift_thickness_m
    if quantity == "maximum_particle":
        return None if observation.maximum_particle_mm is None else observation.maximum_particle_mm / 1000
    if quantity == "probe_depth" and isinstance(observation.readings, NuclearGaugeReadings):
        depth_m = observation.readings.depth_m
        return Decimal(0) if depth_m is None and observation.readings.mode != "direct_transmission" else depth_m
    return None


def _of_optimum(work: Work) -> Decimal | None:
    """Water content as a percentage of optimum, of the fraction that was compared; optimum is above zero."""
    deviation, optimum = work.figures.get("water_content_deviation_pct"), work.figures.get("optimum_water_content_pct")
    if deviation is None or not optimum:
        return None
    water = optimum + deviation
    ratio = _HUNDRED * water / optimum
    work.sheet.add(
        "water-content-ratio",
        result_name="water_content_ratio_pct",
        result=ratio,
        water_content_pct=water,
        optimum_water_content_pct=optimum,
    )
    return ratio


def why_not(work: Work, quantity: str) -> tuple[str, str]:
    """Result and sentence of a criterion whose figure is not known."""
    if quantity == "oversize":
        return PENDING_OVERSIZE, "The oversize of this test is awaited."
    asked = {"water_content_ratio": "water_content_deviation", "dry_density": "percent_compaction"}
    return work.missing.get(asked.get(quantity, quantity), (NO_CRITERION, "The figure is not known."))
