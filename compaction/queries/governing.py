"""What governs at a point, and how a reading would be judged there: under a set-up, without storing anything."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Final

from compaction import evaluation
from compaction.calculations.criteria_at_point import (
    DISPLACED,
    ELSEWHERE,
    GOVERNS,
    REFUSED,
    UNKNOWN,
    Standing,
    standings,
)
from compaction.calculations.criterion_conditions import Circumstances
from compaction.calculations.transcribed import TranscribedReadings
from compaction.evaluation import selection
from compaction.facts import (
    NO_CONDITIONS,
    EvaluationInputs,
    Observation,
    Outcome,
    PositionFacts,
    ReferenceFacts,
    SpecificationFacts,
)
from compaction.queries.set_up import SetUp
from compaction.records.governing_question import GoverningQuestion
from projects.geometry import positions
from projects.geometry.stated import Located

STATES: Final = (GOVERNS, REFUSED, UNKNOWN, DISPLACED, ELSEWHERE)


@dataclass(frozen=True)
class Governing:
    """The answer: the place as located, what was looked at, every criterion with its standing, and a judgement."""

    at: datetime
    located: Located
    circumstances: Circumstances
    specification: SpecificationFacts | None
    reference: ReferenceFacts | None
    reference_unknown: bool
    standings: tuple[Standing, ...]
    judged: Outcome | None

    @property
    def exempt(self) -> bool:
        return self.located.exempt


def governing(under: SetUp, question: GoverningQuestion, *, now: datetime) -> Governing:
    """Everything that holds there and then; the moment is now unless the question names one."""
    at = question.at or now
    located = positions.locate(
        question.position,
        alignments=under.alignments_at(at),
        areas=[(entry.code, entry.kind, entry.geometry) for entry in under.areas_at(at)],
        epsg_code=under.epsg_code,
        station_digits=under.station_digits,
    )
    if question.zone:
        located = replace(located, zone=question.zone, exempt=False)
    if question.depth_m is not None:
        located = replace(located, depth_below_grade_m=question.depth_m)
    specification = under.specification(located.zone, at)
    reference = under.reference(question.reference, at) if question.reference else None
    found = _circumstances(question, located, reference, specification)
    told = () if specification is None or located.exempt else standings(specification.criteria, found)
    return Governing(
        at=at,
        located=located,
        circumstances=found,
        specification=specification,
        reference=reference,
        reference_unknown=bool(question.reference) and reference is None,
        standings=told,
        judged=_judged(question, at, located, reference, specification, told),
    )


def _circumstances(
    question: GoverningQuestion,
    located: Located,
    reference: ReferenceFacts | None,
    specification: SpecificationFacts | None,
) -> Circumstances:
    """The sample of the reference first, then what the question states over it."""
    soil = None if reference is None else reference.soil
    known: dict[str, Decimal | None] = {**selection.of_soil(soil), "elevation": located.elevation_m}
    if specification is not None:
        known["reference_maximum"] = selection.reference_maximum_kgm3(reference, specification)
    known |= question.measured
    return Circumstances(
        zone=located.zone,
        depth_m=located.depth_below_grade_m,
        measured={name: value for name, value in known.items() if value is not None},
        group_symbol=question.group_symbol or ("" if soil is None else soil.group_symbol),
        aashto_group=question.aashto_group or ("" if soil is None else soil.aashto_group),
        method=question.method,
        structure=question.structure,
        reference_method="" if reference is None else reference.method,
    )


def _judged(
    question: GoverningQuestion,
    at: datetime,
    located: Located,
    reference: ReferenceFacts | None,
    specification: SpecificationFacts | None,
    told: tuple[Standing, ...],
) -> Outcome | None:
    """The reading against the criteria that govern: the evaluation of tests, on figures as on an old sheet."""
    if question.dry_density_kgm3 is None or specification is None:
        return None
    holding = tuple(
        replace(one.criterion, zone="", depth_from_m=None, depth_to_m=None, conditions=NO_CONDITIONS)
        for one in told
        if one.state in (GOVERNS, REFUSED)
    )
    particle_m = question.measured.get("maximum_particle")
    observation = Observation(
        performed_at=at,
        method="transcribed",
        readings=TranscribedReadings(
            dry_density_kgm3=question.dry_density_kgm3, water_content_pct=question.water_content_pct
        ),
        purpose=specification.purposes[0] if specification.purposes else "acceptance",
        reference_code=question.reference,
        maximum_particle_mm=None if particle_m is None else particle_m * 1000,
        lift_thickness_m=question.measured.get("lift_thickness"),
    )
    return evaluation.evaluate(
        EvaluationInputs(
            observation=observation,
            position=PositionFacts(zone=located.zone, exempt=located.exempt),
            reference=reference,
            specification=replace(specification, criteria=holding),
        )
    )
