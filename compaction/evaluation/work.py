"""What one evaluation gathers on its way: worksheet, figures, findings, and why a figure is missing."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from compaction.calculations import criteria
from compaction.calculations.errors import CalculationError, ImpossibleReading
from compaction.calculations.in_place import InPlace
from compaction.calculations.quantities import quantise
from compaction.calculations.rounding import RoundingRule, apply, describe, rule
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.evaluation.per_object import PerObject
from compaction.facts import EvaluationInputs, Finding, SpecificationFacts

#: quantity of a criterion -> figure that it judges
FIGURE_OF: Final = {
    "percent_compaction": "percent_compaction",
    "relative_density": "relative_density_pct",
    "water_content_deviation": "water_content_deviation_pct",
    "water_content": "water_content_pct",
    "air_voids": "air_voids_pct",
    "saturation": "saturation_pct",
}
ALL_QUANTITIES: Final = tuple(FIGURE_OF)
STANDARD_WATER_DENSITY_KGM3: Final = Decimal(1000)

_NOTHING: Final = InPlace()  # frozen, so that one serves every evaluation


@dataclass(slots=True)
class Work:
    """The state of one evaluation. Values carry all their digits; `figures` are quantised when the outcome is made."""

    inputs: EvaluationInputs
    rule: RoundingRule
    water_density_kgm3: Decimal
    sheet: Worksheet = field(default_factory=Worksheet)
    figures: dict[str, Decimal] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    missing: dict[str, tuple[str, str]] = field(default_factory=dict)
    in_place: InPlace = _NOTHING
    #: determinations of water content (method, fraction, percent), the one used first
    determinations: list[tuple[str, str, Decimal]] = field(default_factory=list)
    water_method: str = ""
    water_fraction: str = ""
    water_content_pct: Decimal | None = None  # of the fraction that was tested
    oversize_pct: Decimal | None = None
    oversize_gravity: Decimal | None = None
    dry_density_unrounded_kgm3: Decimal | None = None  # of the whole material

    def note(self, error: CalculationError) -> None:
        """Turn an expected error into a finding: what cannot be true holds, what is outside a method is remarked."""
        numbers = {
            name: str(value)
            for name, value in (("value", _short(error.value)), ("limit", _short(error.limit)), ("unit", error.unit))
            if value
        }
        severity = "hold" if isinstance(error, ImpossibleReading) else "validity"
        self.findings.append(Finding(error.code, severity, error.sentence, numbers))

    def lacks(self, result: str, sentence: str, *quantities: str) -> None:
        """Say why quantities have no figure; the first reason given stands."""
        for quantity in quantities:
            self.missing.setdefault(quantity, (result, sentence))

    def rounded(self, quantity: str, value: Decimal, name: str) -> Decimal:
        """The value to carry on with after the rounding rule, with a line on the worksheet where the rule acts."""
        if quantity not in self.rule.prepared:
            return value
        carried = apply(self.rule, quantity, value)
        if self.sheet.keeps:
            note = "; ".join(describe(step) for step in self.rule.steps_for(quantity))
            self.sheet.add("rounding", result_name=name, result=carried, note=note, value=value)
        return carried


def begin(inputs: EvaluationInputs, *, worksheet: bool = True) -> Work:
    """An evaluation about to start, with the rounding rule and the density of water of its specification."""
    sheet = Worksheet() if worksheet else NO_SHEET
    specification = inputs.specification
    if specification is None:
        return Work(inputs, _NO_ROUNDING, STANDARD_WATER_DENSITY_KGM3, sheet)
    return Work(inputs, _rule_of(specification), specification.water_density_kgm3, sheet)


@PerObject
def _rule_of(specification: SpecificationFacts) -> RoundingRule:
    return rule(specification.rounding, absolute=specification.absolute)


_NO_ROUNDING: Final = rule(())


def _short(value: Decimal | None) -> str:
    return "" if value is None else format(quantise(value).normalize(), "f")


NO_CRITERION: Final = criteria.NO_CRITERION
PENDING_OVEN: Final = criteria.PENDING_OVEN
PENDING_OVERSIZE: Final = criteria.PENDING_OVERSIZE
