"""Names for inputs and outcomes: the digest of the numbers used.

A revision that changes only a remark, a test whose label is corrected, keys in another order, "95.0" in place of "95":
none of them changes a digest. What an outcome says in words is left out too, so that a clearer sentence is no change.
"""

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from compaction.evaluation.remarks import apparatus_state, named_apparatus
from compaction.facts import (
    EvaluationInputs,
    Finding,
    Observation,
    Outcome,
    OversizeReading,
    PositionFacts,
    ReferenceFacts,
    SpecificationFacts,
    WaterContentReading,
)
from projects import canonical

#: raised when the same inputs may give another outcome; old outcomes then stand beside new ones
CALCULATION_VERSION: Final = "1"


def inputs_digest(inputs: EvaluationInputs) -> str:
    """SHA-256 (hexadecimal) of everything that can change the outcome, and of nothing else."""
    observation = inputs.observation
    return canonical.digest(
        {
            "calculation": CALCULATION_VERSION,
            "observation": _observation(observation),
            "position": _position(inputs.position),
            "reference": [observation.reference_code] if inputs.reference is None else _reference(inputs.reference),
            "specification": None if inputs.specification is None else _specification(inputs.specification),
            # Other curves only matter where a printed figure may point to one of them.
            "others": _siblings(inputs) if observation.printed_text else None,
            "apparatus": [
                [kind, serial, *map(str, apparatus_state(inputs, serial=serial))]
                for kind, serial in named_apparatus(inputs)
            ],
            "on_roster": inputs.technician_on_roster,
        }
    )


def digest(outcome: Outcome) -> str:
    """SHA-256 (hexadecimal) of what an outcome says in numbers and codes, for the rebuild check."""
    return canonical.digest(
        [
            outcome.result,
            outcome.basis,
            list(outcome.basis_reasons),
            {name: _number(value) for name, value in outcome.figures.items()},
            [
                [
                    one.number,
                    one.quantity,
                    one.result,
                    one.contractual,
                    *map(_optional, (one.found, one.judged, one.minimum, one.maximum, one.margin)),
                ]
                for one in outcome.criteria
            ],
            [_finding(finding) for finding in outcome.findings],
            outcome.inputs_digest,
        ]
    )


def _number(value: Decimal) -> str:
    """One spelling for one number: no trailing zeros, no exponent."""
    text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _optional(value: Decimal | None) -> str | None:
    return None if value is None else _number(value)


def _numbers(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _plain(value) for name, value in values.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return _number(value)
    if is_dataclass(value):
        return {name: _plain(getattr(value, name)) for name in _names(value.__class__)}
    if isinstance(value, Mapping):
        return _numbers(value)
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value


@lru_cache(maxsize=64)
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _observation(observation: Observation) -> dict[str, Any]:
    return {
        "method": observation.method,
        "readings": _plain(observation.readings),
        "purpose": observation.purpose,
        "water_contents": [_water_content(one) for one in observation.water_contents],
        "oversize": None if observation.oversize is None else _oversize(observation.oversize),
        "maximum_particle_mm": _optional(observation.maximum_particle_mm),
        "lift": observation.lift,
        "lift_thickness_m": _optional(observation.lift_thickness_m),
        "printed": dict(observation.printed_text),  # as written: its last digit counts
        "linked": [bool(observation.retest_of), bool(observation.check_of)],
    }


def _water_content(one: WaterContentReading) -> list[Any]:
    return [
        one.method,
        one.fraction,
        _optional(one.water_content_pct),
        [_numbers(can) for can in one.cans],
        _optional(one.carbide_dial_pct),
        one.half_specimen,
    ]


def _oversize(one: OversizeReading) -> list[Any]:
    return [
        one.sieve,
        one.basis,
        _optional(one.oversize_pct),
        _optional(one.oversize_wet_mass_kg),
        _optional(one.bulk_specific_gravity),
        _optional(one.water_content_pct),
    ]


def _position(position: PositionFacts) -> list[Any]:
    # Where a test is in plan does not enter its result; what follows from it does: zone, depth, findings.
    return [
        position.zone,
        position.exempt,
        _optional(position.depth_below_grade_m),
        [_finding(finding) for finding in position.findings],
    ]


# References and specifications serve many tests: their part is a digest of its own, made once.
@lru_cache(maxsize=1024)
def _reference(reference: ReferenceFacts) -> str:
    return canonical.digest(
        {
            "code": reference.code,
            "approved": reference.approved,
            "maximum_dry_density_kgm3": _number(reference.maximum_dry_density_kgm3),
            "optimum_water_content_pct": _number(reference.optimum_water_content_pct),
            "control_sieve": reference.control_sieve,
            "oversize_rule": reference.oversize_rule,
            "oversize_bulk_specific_gravity": _optional(reference.oversize_bulk_specific_gravity),
            "oversize_water_content_pct": _optional(reference.oversize_water_content_pct),
            "standing_oversize_pct": _optional(reference.standing_oversize_pct),
            "specific_gravity": _optional(reference.specific_gravity),
            "specific_gravity_measured": reference.specific_gravity_measured,
            "points": [
                [_number(point.water_content_pct), _number(point.dry_density_kgm3)]
                for point in reference.points
                if not point.rejected
            ],
        }
    )


@lru_cache(maxsize=1024)
def _specification(specification: SpecificationFacts) -> str:
    return canonical.digest(
        {
            "approved": specification.approved,
            "criteria": [
                [
                    one.number,
                    one.quantity,
                    _optional(one.minimum),
                    _optional(one.maximum),
                    one.contractual,
                    one.zone,
                    _optional(one.depth_from_m),
                    _optional(one.depth_to_m),
                ]
                for one in specification.criteria
            ],
            "rounding": [
                [step.quantity, _number(step.increment), step.unit, step.method, step.tie]
                for step in specification.rounding
            ],
            "absolute": specification.absolute,
            "oven_required": specification.oven_required,
            "hold_above_percent_compaction": _number(specification.hold_above_percent_compaction),
            "review_above_percent_compaction": _number(specification.review_above_percent_compaction),
            "saturation_tolerance_pct": _number(specification.saturation_tolerance_pct),
            "water_density_kgm3": _number(specification.water_density_kgm3),
        }
    )


def _siblings(inputs: EvaluationInputs) -> list[list[str]]:
    own = "" if inputs.reference is None else inputs.reference.code
    return sorted(
        [one.code, _number(one.maximum_dry_density_kgm3), _number(one.optimum_water_content_pct)]
        for one in _unique(inputs.sibling_references)
        if one.code != own
    )


def _unique(references: Iterable[ReferenceFacts]) -> Iterable[ReferenceFacts]:
    return {one.code: one for one in references}.values()


def _finding(finding: Finding) -> list[Any]:
    return [finding.code, finding.severity, dict(finding.numbers)]
