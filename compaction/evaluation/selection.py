"""Which criteria hold for a test: the circumstances that its specification looks at, and the choice among criteria."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from compaction.calculations import gauge_readings
from compaction.calculations.criteria_selection import Selection, narrowed, select
from compaction.calculations.criterion_conditions import Circumstances
from compaction.calculations.rounding import apply, rule
from compaction.evaluation.per_object import PerObject
from compaction.facts import NO_CONDITIONS, EvaluationInputs, ReferenceFacts, SoilFacts, SpecificationFacts

#: the fill's own specimens are the reference of the rapid method
RAPID: Final = "D5080"
PROBE_DEPTH: Final = "probe_depth"
_NOTHING: Final = Circumstances()


def chosen(
    inputs: EvaluationInputs, *, oversize_pct: Decimal | None = None, figures: Mapping[str, Decimal] | None = None
) -> Selection:
    """The criteria that hold for the test; none without specification or in an exempt area.

    `oversize_pct` and `figures` are what the evaluation found so far; without them what the test states counts.
    """
    specification = inputs.specification
    if specification is None or inputs.position.exempt:
        return Selection(())
    everywhere = _everywhere(specification)
    if everywhere is not None:
        return everywhere
    at = circumstances(inputs, oversize_pct=oversize_pct, figures=figures)
    candidates = specification.criteria
    if not isinstance(inputs.observation.readings, gauge_readings.NuclearGaugeReadings):
        candidates = tuple(one for one in candidates if one.quantity != PROBE_DEPTH)  # only a gauge has a probe
    return select(candidates, zone=at.zone, depth_m=at.depth_m, at=at)


@PerObject
def _everywhere(specification: SpecificationFacts) -> Selection | None:
    """The criteria that hold for every test, chosen once; None where some hold for some tests only."""
    if any(narrowed(one) for one in specification.criteria):
        return None
    return select(specification.criteria, zone="", depth_m=None, at=_NOTHING)


@PerObject
def looks_at_depth(specification: SpecificationFacts) -> bool:
    """Whether a criterion holds in a band of depth only."""
    return any(one.depth_from_m is not None or one.depth_to_m is not None for one in specification.criteria)


@PerObject
def looks_at_more(specification: SpecificationFacts) -> bool:
    """Whether a criterion has conditions beside zone and depth, or a limit bound to laboratory methods."""
    return any(one.conditions is not NO_CONDITIONS or one.reference_methods for one in specification.criteria)


def circumstances(
    inputs: EvaluationInputs, *, oversize_pct: Decimal | None = None, figures: Mapping[str, Decimal] | None = None
) -> Circumstances:
    """The facts at the test that conditions may look at."""
    observation, position, reference = inputs.observation, inputs.position, inputs.reference
    soil = None if reference is None else reference.soil
    if oversize_pct is None and observation.oversize is not None:
        stated = observation.oversize
        oversize_pct = Decimal(0) if stated.basis == "none" else stated.oversize_pct
    known = {
        **of_soil(soil),
        "elevation": position.elevation_m,
        "reference_maximum": _maximum(inputs, figures or {}),
        "oversize": oversize_pct,
        "lift_thickness": observation.lift_thickness_m,
        "structure_distance": observation.structure_distance_m,
    }
    if observation.maximum_particle_mm is not None:
        known["maximum_particle"] = observation.maximum_particle_mm / 1000
    return Circumstances(
        zone=position.zone,
        depth_m=position.depth_below_grade_m,
        measured={name: value for name, value in known.items() if value is not None},
        group_symbol="" if soil is None else soil.group_symbol,
        aashto_group="" if soil is None else soil.aashto_group,
        method=observation.method,
        structure=observation.structure,
        reference_method=reference_method(inputs),
    )


def of_soil(soil: SoilFacts | None) -> dict[str, Decimal | None]:
    """What the sample of a reference says, under the names of conditions."""
    if soil is None:
        return {}
    particle_mm = soil.maximum_particle_mm
    return {
        "plasticity_index": soil.plasticity_index_pct,
        "liquid_limit": soil.liquid_limit_pct,
        "fines": soil.fines_pct,
        "gravel": soil.gravel_pct,
        "maximum_particle": None if particle_mm is None else particle_mm / 1000,
    }


def reference_method(inputs: EvaluationInputs) -> str:
    """The laboratory method that the maximum comes from; empty where there is no reference."""
    if inputs.observation.rapid is not None:
        return RAPID
    return "" if inputs.reference is None else inputs.reference.method


def reference_maximum_kgm3(reference: ReferenceFacts | None, specification: SpecificationFacts) -> Decimal | None:
    """The maximum of a reference as a sliding limit looks at it: as reported, after the rounding rule of a maximum.

    Index densities have none: their limits are relative densities.
    """
    if reference is None or reference.kind == "index_density" or reference.maximum_dry_density_kgm3 <= 0:
        return None
    steps = rule(specification.rounding, absolute=specification.absolute)
    return apply(steps, "maximum", reference.maximum_dry_density_kgm3)


def _maximum(inputs: EvaluationInputs, figures: Mapping[str, Decimal]) -> Decimal | None:
    if inputs.observation.rapid is not None:
        return figures.get("maximum_dry_density_kgm3")
    assert inputs.specification is not None
    return reference_maximum_kgm3(inputs.reference, inputs.specification)
