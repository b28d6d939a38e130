"""Names for inputs and outcomes: the digest of the numbers used.

A revision that changes only a remark, a test whose label is corrected, keys in another order, "95.0" in place of "95":
none of them changes a digest. What an outcome says in words is left out too, so that a clearer sentence is no change.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from functools import lru_cache
from operator import attrgetter
from typing import Any, Final

from compaction.evaluation import gauge, instruments, moisture_remarks, selection
from compaction.evaluation.choice import expired
from compaction.evaluation.per_object import PerObject
from compaction.evaluation.remarks import apparatus_state, named_apparatus
from compaction.facts import (
    CriterionFacts,
    EvaluationInputs,
    Finding,
    Observation,
    Outcome,
    OversizeReading,
    PositionFacts,
    ReferenceFacts,
    SoilFacts,
    SpecificationFacts,
    WaterContentReading,
)
from projects import canonical

#: raised when the same inputs may give another outcome; old outcomes then stand beside new ones
CALCULATION_VERSION: Final = "1"
#: figures that follow from others beside them and came later: they name nothing
BESIDE: Final = frozenset({"void_ratio"})


def inputs_digest(inputs: EvaluationInputs) -> str:
    """SHA-256 (hexadecimal) of everything that can change the outcome, and of nothing else."""
    observation = inputs.observation
    return canonical.digest_of_plain(
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
            **_where_given(family=sorted(_reference(one) for one in inputs.family), reference_expired=expired(inputs)),
            **_where_given(**gauge.digest_parts(inputs)),
            **_where_given(looked_at=_looked_at(inputs)),
            **_where_given(moisture_remarks=[_finding(one) for one in moisture_remarks.later_findings(inputs)]),
            **_where_given(instruments=[_finding(finding) for finding in instruments.findings(inputs)]),
        }
    )


def digest(outcome: Outcome) -> str:
    """SHA-256 (hexadecimal) of what an outcome says in numbers and codes, for the rebuild check."""
    return canonical.digest_of_plain(
        [
            outcome.result,
            outcome.basis,
            list(outcome.basis_reasons),
            {name: _number(value) for name, value in outcome.figures.items() if name not in BESIDE},
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


def _where_given(**members: Any) -> dict[str, Any]:
    """What records made before these members existed don't have leaves their digests as they were."""
    return {name: value for name, value in members.items() if value}


def _number(value: Decimal) -> str:
    """One spelling for one number: no trailing zeros, no exponent."""
    text = str(value)
    if "E" in text:
        text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _optional(value: Decimal | None) -> str | None:
    return None if value is None else _number(value)


def _numbers(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _plain(value) for name, value in values.items()}


def _plain(value: Any) -> Any:
    kind = type(value)
    if value is None or kind is str or kind is int or kind is bool:
        return value
    if kind is Decimal:
        return _number(value)
    if is_dataclass(kind):
        names, values, later = _members(kind)
        found = dict(zip(names, map(_plain, values(value)), strict=True))
        for name, default in later:
            if (given := getattr(value, name)) != default:
                found[name] = _plain(given)
        return found
    if isinstance(value, Mapping):
        return _numbers(value)
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value


@lru_cache(maxsize=64)
def _members(kind: Any) -> tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]], tuple[tuple[str, Any], ...]]:
    """Names, their reader, and those (with their default) that came later and are left out where they say nothing."""
    names = tuple(field.name for field in fields(kind) if not field.metadata.get("later"))
    later = tuple((field.name, field.default) for field in fields(kind) if field.metadata.get("later"))
    return names, attrgetter(*names) if len(names) > 1 else lambda value: (getattr(value, names[0]),), later


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
        **_where_given(rapid=_plain(observation.rapid), reference_choice=_plain(observation.reference_choice)),
        **({"spot": sorted(observation.spot)} if observation.spot else {}),
        **_where_given(
            structure=observation.structure, structure_distance_m=_optional(observation.structure_distance_m)
        ),
    }


def _water_content(one: WaterContentReading) -> list[Any]:
    return [
        one.method,
        one.fraction,
        _optional(one.water_content_pct),
        [_numbers(can) for can in one.cans],
        _optional(one.carbide_dial_pct),
        one.half_specimen,
        *_of_specimen(one),
    ]


def _of_specimen(one: WaterContentReading) -> list[Any]:
    """What came into the record later counts only where it was given: digests on record stay as they are."""
    given = {
        "specimen_mass_kg": _optional(one.specimen_mass_kg),
        "weighings_kg": [_number(mass) for mass in one.weighings_kg],
        "standard": one.standard,
        "read_to_kg": _optional(one.read_to_kg),
    }
    kept = {name: value for name, value in given.items() if value}
    return [kept] if kept else []


def _oversize(one: OversizeReading) -> list[Any]:
    return [
        one.sieve,
        one.basis,
        _optional(one.oversize_pct),
        _optional(one.oversize_wet_mass_kg),
        _optional(one.bulk_specific_gravity),
        _optional(one.water_content_pct),
    ]


def looked_at(position: PositionFacts) -> list[Any]:
    """Everything of a place that any outcome depends on: places that agree in it give the same inputs digest."""
    return [*_position(position), _optional(position.elevation_m)]


def _position(position: PositionFacts) -> list[Any]:
    # Where a test is in plan does not enter its result; what follows from it does: zone, depth, findings.
    return [
        position.zone,
        position.exempt,
        _optional(position.depth_below_grade_m),
        [_finding(finding) for finding in position.findings],
    ]


# References and specifications serve many tests: their part is a digest of its own, made once.
@PerObject
def _reference(reference: ReferenceFacts) -> str:
    return canonical.digest_of_plain(
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
            **_where_given(
                kind="" if reference.kind == "moisture_density" else reference.kind,
                minimum_index_density_kgm3=_optional(reference.minimum_index_density_kgm3),
                oversize_practice="" if reference.oversize_practice == "astm_d4718" else reference.oversize_practice,
                soil=None if reference.soil is None else _soil(reference.soil),
            ),
        }
    )


def _soil(soil: SoilFacts) -> list[str | None]:
    return [
        soil.group_symbol,
        *map(
            _optional,
            (
                soil.liquid_limit_pct,
                soil.plasticity_index_pct,
                soil.fines_pct,
                soil.gravel_pct,
                soil.maximum_particle_mm,
            ),
        ),
        *([soil.aashto_group] if soil.aashto_group else []),
    ]


@PerObject
def _specification(specification: SpecificationFacts) -> str:
    return canonical.digest_of_plain(
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
                    *_criterion_more(one),
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
            **_where_given(held_findings=sorted(specification.held_findings), purposes=sorted(specification.purposes)),
            **_where_given(editions=[list(one) for one in specification.editions]),
        }
    )


def _criterion_more(one: CriterionFacts) -> list[Any]:
    """What came into criteria later, only where it says something."""
    conditions = one.conditions
    more = _where_given(
        statistic=one.statistic,
        reference_methods=sorted(one.reference_methods),
        ranges=[
            [name, *map(_optional, (bounds.at_least, bounds.above, bounds.at_most, bounds.below))]
            for name, bounds in conditions.ranges
        ],
        group_symbols=sorted(conditions.group_symbols),
        aashto_groups=sorted(conditions.aashto_groups),
        methods=sorted(conditions.methods),
        structure=conditions.structure,
    )
    return [more] if more else []


def _looked_at(inputs: EvaluationInputs) -> list[Any]:
    """What only a specification with further conditions looks at, and is in no other part of the digest."""
    specification = inputs.specification
    if specification is None or not selection.looks_at_more(specification):
        return []
    return [_optional(inputs.position.elevation_m), selection.reference_method(inputs)]


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
