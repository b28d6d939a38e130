"""How the water contents were determined, held against the standards that the records name. Changes no number."""

from typing import Final

from compaction.calculations import moisture_checks
from compaction.calculations.editions import NEWEST, Editions
from compaction.calculations.errors import CalculationError
from compaction.calculations.moisture import CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT
from compaction.calculations.moisture_specimens import specimen_findings
from compaction.calculations.sand_cone import SandConeReadings
from compaction.evaluation.per_object import PerObject
from compaction.evaluation.work import Work
from compaction.facts import EvaluationInputs, Finding, SoilFacts, SpecificationFacts, WaterContentReading

#: The standard for the test in place that has a table of moisture specimens of its own.
_D1556: Final = "ASTM D1556"
#: What counts as aggregate where only the class of the soil is known: groups A-1 of AASHTO M 145, and gravel or sand
#: with few fines (ASTM D2487, dual symbols included). Common practice (no source).
_AGGREGATE_GROUPS: Final = ("GW", "GP", "SW", "SP")


def editions_of(inputs: EvaluationInputs) -> Editions:
    """The editions of standards that the specification names."""
    return NEWEST if inputs.specification is None else _editions(inputs.specification)


@PerObject
def _editions(specification: SpecificationFacts) -> Editions:
    return dict(specification.editions)


def add(work: Work) -> None:
    """Every determination against the standard that it names, then what follows from the test or its soil."""
    observation = work.inputs.observation
    for reading in observation.water_contents:
        if not reading.standard:
            continue
        try:
            work.findings.extend(
                moisture_checks.determination_findings(
                    reading,
                    maximum_particle_mm=observation.maximum_particle_mm,
                    editions=editions_of(work.inputs),
                    sheet=work.sheet,
                )
            )
        except CalculationError as error:
            work.note(error)
    work.findings.extend(later_findings(work.inputs))


def later_findings(inputs: EvaluationInputs) -> list[Finding]:
    """Remarks that came later: they name themselves in the digest of the tests that get them.

    The specimen table of ASTM D1556, where the test or the specification names that standard and the determination
    none of its own; the range of a carbide dial for aggregate, where the determination names AASHTO T 217.
    """
    return [
        finding
        for reading in inputs.observation.water_contents
        for finding in (*_of_sand_cone(inputs, reading), *_of_aggregate(inputs, reading))
    ]


def _of_sand_cone(inputs: EvaluationInputs, reading: WaterContentReading) -> tuple[Finding, ...]:
    observation = inputs.observation
    readings, particle_mm = observation.readings, observation.maximum_particle_mm
    if not isinstance(readings, SandConeReadings) or particle_mm is None:
        return ()
    if reading.standard or reading.fraction != "total":
        return ()
    editions = editions_of(inputs)
    if readings.standard != _D1556 and (readings.standard or _D1556 not in editions):
        return ()
    return specimen_findings(reading, maximum_particle_mm=particle_mm, standard=_D1556, editions=editions)


def _of_aggregate(inputs: EvaluationInputs, reading: WaterContentReading) -> tuple[Finding, ...]:
    soil = None if inputs.reference is None else inputs.reference.soil
    dial_pct = reading.carbide_dial_pct
    if dial_pct is None or soil is None or reading.standard != "t217":
        return ()
    group = _aggregate(soil)
    if not group or dial_pct <= CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT:
        return ()
    return (
        Finding(
            "carbide-dial-beyond-aggregate",
            "validity",
            f"The dial read {dial_pct:f} % of the wet mass; for aggregate (this soil is {group}) it holds up to "
            f"{CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT} % (WAQTC procedure for AASHTO T 217). Repeat with half a specimen.",
            {"dial_pct": f"{dial_pct.normalize():f}", "limit_pct": str(CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT)},
        ),
    )


def _aggregate(soil: SoilFacts) -> str:
    """The group by which a soil counts as aggregate, else ""."""
    if soil.aashto_group.upper().startswith("A-1-") or soil.aashto_group.upper() == "A-1":
        return soil.aashto_group
    return soil.group_symbol if soil.group_symbol.startswith(_AGGREGATE_GROUPS) else ""
