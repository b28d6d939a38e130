"""Gauge readings turned about the rod and judged apart: each is a test of its own, and the worst of them decides."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from compaction.calculations import criteria, gauge_checks, nuclear_gauge
from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.calculations.quantities import quantise
from compaction.facts import CriterionResult, EvaluationInputs, Finding, Outcome, Step

#: The worse result first; among equal ones the smaller margin decides.
_WORST_FIRST: Final = ("fail", "pending_oven", "pending_oversize", "no_criterion", "pass")
_RESULTS: Final = ("fail", "pending", "no_criterion", "pass")


def each_turned(inputs: EvaluationInputs) -> list[EvaluationInputs]:
    """The inputs of each reading by itself; empty unless the test wants its turned readings judged apart."""
    readings = inputs.observation.readings
    if not isinstance(readings, NuclearGaugeReadings) or readings.rotation != "apart":
        return []
    return [
        replace(inputs, observation=replace(inputs.observation, readings=one))
        for one in nuclear_gauge.each_turned(readings)
    ]


def together(inputs: EvaluationInputs, outcomes: Sequence[Outcome], *, inputs_digest: str) -> Outcome:
    """One outcome of several readings: every criterion by the reading that meets it least, figures of the worst."""
    readings = inputs.observation.readings
    assert isinstance(readings, NuclearGaugeReadings)
    places = range(len(outcomes))
    worst = worst_place(outcomes)
    results = tuple(
        _decisive([outcome.criteria[number] for outcome in outcomes]) for number in range(len(outcomes[0].criteria))
    )
    reasons = dict.fromkeys(reason for outcome in outcomes for reason in outcome.basis_reasons)
    return Outcome(
        result=criteria.combine((one.result, one.contractual) for one in results),
        basis="provisional" if reasons else outcomes[worst].basis,
        basis_reasons=tuple(reasons),
        criteria=results,
        figures={**outcomes[worst].figures, "readings_judged_apart": quantise(Decimal(len(outcomes)))},
        findings=(*_findings(outcomes), *gauge_checks.turned_findings(readings)),
        steps=tuple(_marked(step, place + 1) for place in places for step in outcomes[place].steps),
        inputs_digest=inputs_digest,
    )


def worst_place(outcomes: Sequence[Outcome]) -> int:
    """The place of the reading whose figures stand for the test."""
    return min(range(len(outcomes)), key=lambda place: (*_badness(outcomes[place]), place))


def deciding_places(outcomes: Sequence[Outcome]) -> dict[int, int]:
    """Number of each criterion -> the place of the reading that decides it."""
    return {
        one.number: _deciding([outcome.criteria[place] for outcome in outcomes])
        for place, one in enumerate(outcomes[0].criteria)
    }


def _badness(outcome: Outcome) -> tuple[int, Decimal]:
    margins = [one.margin for one in outcome.criteria if one.margin is not None and one.contractual]
    return _RESULTS.index(outcome.result), min(margins, default=Decimal(0))


def _deciding(found: Sequence[CriterionResult]) -> int:
    return min(
        range(len(found)),
        key=lambda place: (_WORST_FIRST.index(found[place].result), found[place].margin or Decimal(0), place),
    )


def _decisive(found: Sequence[CriterionResult]) -> CriterionResult:
    place = _deciding(found)
    worst = found[place]
    said = f"Reading {place + 1} of {len(found)}: {worst.sentence}" if worst.sentence else ""
    return worst._replace(sentence=said)


def _findings(outcomes: Sequence[Outcome]) -> tuple[Finding, ...]:
    """Each remark once, however many of the readings give rise to it."""
    known: dict[tuple[str, tuple[tuple[str, str], ...]], Finding] = {}
    for outcome in outcomes:
        for finding in outcome.findings:
            known.setdefault((finding.code, tuple(sorted(finding.numbers.items()))), finding)
    return tuple(known.values())


def _marked(step: Step, number: int) -> Step:
    said = f"reading {number}"
    return replace(step, note=f"{said}; {step.note}" if step.note else said)
