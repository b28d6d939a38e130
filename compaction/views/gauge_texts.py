"""A comparison of a gauge as its page shows it: rows of texts in the project's units, and points for the drawings."""

import uuid
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.comparison_rules import OUTSIDE, TOO_FEW, WITHIN
from compaction.calculations.quantities import from_si
from compaction.evaluation.gauge_comparison import GaugeComparison, QuantityCompared, left_over
from compaction.evaluation.gauge_pairs import SpotPair
from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey
from compaction.plots.paired_comparison import COUNTS, OUTLIER, TAKEN_OUT, Limits, Line, PairedPoint
from compaction.queries.display import DENSITY_STEPS, PERCENT_STEP
from compaction.views import display
from projects.models import Project

VERDICTS: Final = {
    WITHIN: ("good", "agrees within the rule"),
    OUTSIDE: ("bad", "outside the rule"),
    TOO_FEW: ("warn", "too few pairs"),
}
QUANTITIES: Final = {
    "wet_density": "Wet density",
    "water_content": "water content",
    "water_per_volume": "Water per volume",
}
ORIGINS: Final = {"check": "check beside", "record": "paired by a person", "own_specimen": "oven specimen of the test"}


def mode_text(key: GaugeKey) -> str:
    """Mode and depth in words."""
    words = key.mode.replace("_", " ")
    return words if key.notch is None else f"{words}, {key.notch} in. ({key.notch * 25} mm)"


def shown(project: Project, value: Decimal | None, unit: str, *, signed: bool = False) -> str:
    """A figure of a comparison (kg/m3 or points) in the project's unit, without it; a finer step for differences."""
    if value is None:
        return display.NOTHING
    step = PERCENT_STEP if unit == "%" else DENSITY_STEPS[project.units]
    if unit != "%":
        value = from_si(value, project.units)
    text = display.number(value, step / 10 if signed else step)
    return f"+{text}" if signed and value > 0 and not text.startswith("+") else text


def unit_text(project: Project, unit: str) -> str:
    """The unit as it is shown."""
    return "%" if unit == "%" else display.density_unit(project)


@dataclass(frozen=True)
class Side:
    """One quantity of one pair."""

    gauge: str
    reference: str
    difference: str
    outlier: bool


@dataclass(frozen=True)
class PairRow:
    """One pair in the table."""

    pair: SpotPair
    origin: str
    wet: Side
    water: Side
    mass: Side
    state_id: uuid.UUID = field(default_factory=uuid.uuid4)  # of the record that taking it out would write

    @property
    def outlier(self) -> bool:
        """Whether any of its differences is named as an outlier."""
        return self.wet.outlier or self.water.outlier or self.mass.outlier


def pair_rows(project: Project, found: GaugeComparison) -> list[PairRow]:
    """The pairs in the order of testing."""
    outliers = {one.quantity: set(one.found.outliers) if one.found else set() for one in found.quantities}

    def side(pair: SpotPair, quantity: str, unit: str) -> Side:
        gauge, reference = pair.sides(quantity)
        named = pair.counts and (pair.label or pair.gauge[:8]) in outliers[quantity]
        return Side(
            shown(project, gauge, unit),
            shown(project, reference, unit),
            shown(project, pair.difference(quantity), unit, signed=True),
            named,
        )

    return [
        PairRow(
            pair=pair,
            origin=ORIGINS[pair.origin],
            wet=side(pair, "wet_density", "kg/m3"),
            water=side(pair, "water_content", "%"),
            mass=side(pair, "water_per_volume", "kg/m3"),
        )
        for pair in found.pairs
    ]


def statistics_rows(project: Project, compared: QuantityCompared) -> list[tuple[str, str]]:
    """What the pairs of one quantity say, as names and values."""
    found = compared.found
    if found is None:
        return [("Pairs", str(len(compared.pairs)))]
    unit = unit_text(project, compared.unit)
    points = "points" if compared.unit == "%" else unit

    def text(value: Decimal | None, *, of: str = points) -> str:
        return f"{shown(project, value, compared.unit, signed=True)} {of}"

    def plain(value: Decimal | None, step: str = "0.001") -> str:
        return display.number(value, Decimal(step))

    p_text = "p < 0.0001" if found.p_value < Decimal("0.0001") else f"p = {plain(found.p_value, '0.0001')}"
    rows = [
        ("Pairs", str(found.pairs)),
        ("Mean difference, gauge less reference", text(found.mean_difference)),
        ("95 % confidence interval of it", f"{text(found.confidence_low, of='')}to {text(found.confidence_high)}"),
        ("Standard deviation of the differences", text(found.standard_deviation).lstrip("+")),
        ("t-test of no difference", f"t = {plain(found.t, '0.01')}, {p_text}"),
        ("95 % of differences lie within", f"{text(found.agreement_low, of='')}to {text(found.agreement_high)}"),
    ]
    if found.slope is not None:
        rows.append(
            ("Ordinary regression, reference on gauge", f"slope {plain(found.slope)}, r {plain(found.correlation)}")
        )
    if found.deming_slope is not None:
        rows.append(("Regression with both sides scattering", f"slope {plain(found.deming_slope)}"))
    rows.append(("Outliers (ASTM E178, 5 %)", ", ".join(found.outliers) or "none"))
    return rows


def points(project: Project, found: GaugeComparison, compared: QuantityCompared) -> list[PairedPoint]:
    """The pairs of one quantity for a drawing, in the unit shown."""
    outliers = set(compared.found.outliers) if compared.found else set()
    made = []
    for pair in found.pairs:
        gauge, reference = pair.sides(compared.quantity)
        if gauge is None or reference is None:
            continue
        name = pair.label or pair.gauge[:8]
        state = TAKEN_OUT if not pair.counts else OUTLIER if name in outliers else COUNTS
        made.append(
            PairedPoint(name, _float(project, gauge, compared.unit), _float(project, reference, compared.unit), state)
        )
    return made


def limits(project: Project, compared: QuantityCompared) -> Limits | None:
    """Mean, interval and limits for a drawing."""
    found = compared.found
    if found is None:
        return None
    values = (
        found.mean_difference, found.confidence_low, found.confidence_high, found.agreement_low, found.agreement_high,
    )  # fmt: skip
    return Limits(*(_float(project, value, compared.unit) for value in values))


def line(project: Project, compared: QuantityCompared) -> Line | None:
    """The fitted line for a drawing."""
    found = compared.found
    if found is None or found.deming_slope is None or found.deming_intercept is None:
        return None
    return Line(float(found.deming_slope), _float(project, found.deming_intercept, compared.unit))


def _float(project: Project, value: Decimal, unit: str) -> float:
    return float(value if unit == "%" else from_si(value, project.units))


def offsets_text(project: Project, facts: GaugeCorrectionFacts, *, ends: bool = False) -> str:
    """What a correction does, in words."""
    if ends:
        return "ends the correction before it"
    unit = display.density_unit(project)
    said = []
    if facts.density_offset_kgm3 is not None:
        said.append(f"wet density {shown(project, facts.density_offset_kgm3, 'kg/m3', signed=True)} {unit}")
    if facts.density_factor is not None:
        said.append(f"wet density times {facts.density_factor}")
    if facts.water_offset_kgm3 is not None:
        said.append(f"water per volume {shown(project, facts.water_offset_kgm3, 'kg/m3', signed=True)} {unit}")
    if facts.water_offset_pct is not None:
        points = shown(project, facts.water_offset_pct, "%", signed=True)
        said.append(f"{display.word(project, 'water content')} {points} points")
    if facts.water_factor is not None:
        said.append(f"{facts.water_factor_of.replace('_', ' ')} times {facts.water_factor}")
    return "; ".join(said)


def left_text(project: Project, compared: QuantityCompared, correction: GaugeCorrectionFacts) -> str:
    """What would be left of the mean difference with the correction; empty where it does not touch the quantity."""
    left = left_over(compared, correction)
    if left is None:
        return ""
    unit = "points" if compared.unit == "%" else display.density_unit(project)
    return f"{shown(project, left, compared.unit, signed=True)} {unit}"


def column_words(project: Project) -> dict[str, Any]:
    """Heads of columns."""
    return {"density_unit": display.density_unit(project), "water": display.word(project, "water content")}
