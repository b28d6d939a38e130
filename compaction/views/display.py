"""How figures, moments and words stand on pages: the project's units and language, rounded for reading only."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any, Final

from compaction.calculations import catalogue
from compaction.calculations.criteria import QUANTITIES, limits_text
from compaction.calculations.quantities import from_si, quantise
from compaction.facts import CriterionResult, Outcome, Step
from compaction.queries.display import DENSITY_STEPS, PERCENT_STEP
from compaction.register import ACCEPTED, BURIED_FAILURE, FAIL, PASSED_ON_RETEST, FailureRow, mark
from projects.models import Project

UNIT_TEXT: Final = {"pcf": "pcf", "kg/m3": "kg/m³", "Mg/m3": "Mg/m³", "kN/m3": "kN/m³", "ft3": "ft³", "m3": "m³"}
RESULT_WORDS: Final = {
    "pass": "passes",
    "fail": "fails",
    "pending": "result awaited",
    "pending_oven": "waits for the oven",
    "pending_oversize": "waits for the oversize",
    "no_criterion": "no result",
}
STATE_WORDS: Final = {
    "open": "open",
    "reworked": "reworked, retest awaited",
    "passed_on_retest": "passed on retest",
    "passed_on_reassessment": "passes after reassessment",
    "closed": "closed",
    "accepted_as_is": "accepted as is",
    "removed_and_replaced": "removed and replaced",
    "withdrawn": "withdrawn, its test was voided",
}
#: the language of practice of a project (`Words`); the code keeps the standards' terms
WORDS: Final[Mapping[str, Mapping[str, str]]] = {
    "us": {
        "water content": "moisture",
        "oven water content": "oven moisture",
        "water content deviation": "moisture from optimum",
        "reference": "Proctor",
        "references": "Proctors",
        "maximum": "maximum dry density (MDD)",
        "optimum": "optimum moisture (OMC)",
        "percent compaction": "percent compaction",
        "lift": "lift",
        "lifts": "lifts",
        "density": "density",
    },
    "si": {
        "water content": "water content",
        "oven water content": "oven water content",
        "water content deviation": "water content from optimum",
        "reference": "compaction curve",
        "references": "compaction curves",
        "maximum": "maximum dry density",
        "optimum": "optimum water content",
        "percent compaction": "degree of compaction",
        "lift": "layer",
        "lifts": "layers",
        "density": "density",
    },
}
NOTHING: Final = "–"
ADDED_WORDS: Final = ("water_content_ratio", "maximum_particle")  # whose names are not words


def word(project: Project, name: str) -> str:
    """A trade word in the project's language of practice; other words stay as they are."""
    return WORDS[project.words].get(name, name)


def is_us(project: Project) -> bool:
    """Whether the project measures in feet and pounds."""
    return project.units == "pcf"


def number(value: Decimal | None, step: Decimal) -> str:
    """A figure rounded for reading, with a true minus sign; a dash where there is none."""
    if value is None:
        return NOTHING
    rounded = value.quantize(step, rounding=ROUND_HALF_EVEN) if abs(value) < Decimal("1e15") else value
    return format(rounded + 0, "f").replace("-", "\u2212")


def density_unit(project: Project) -> str:
    """The unit of densities, as pages write it."""
    return UNIT_TEXT[project.units]


def density(project: Project, value_kgm3: Decimal | None, *, unit: bool = True) -> str:
    """A density (kg/m3 inside) in the project's unit."""
    if value_kgm3 is None:
        return NOTHING
    text = number(from_si(value_kgm3, project.units), DENSITY_STEPS[project.units])
    return f"{text} {density_unit(project)}" if unit else text


def length_unit(project: Project) -> str:
    """The unit of elevations and stations."""
    return "ft" if is_us(project) else "m"


def length(project: Project, value_m: Decimal | None, *, unit: bool = True) -> str:
    """A length (m inside) in feet to 0.1 or metres to 0.01."""
    if value_m is None:
        return NOTHING
    name = length_unit(project)
    text = number(from_si(value_m, name), Decimal("0.1") if name == "ft" else Decimal("0.01"))
    return f"{text} {name}" if unit else text


def thickness(project: Project, value_m: Decimal | None) -> str:
    """A thickness (m inside) in inches or millimetres."""
    if value_m is None:
        return NOTHING
    return (
        f"{number(from_si(value_m, 'in'), PERCENT_STEP)} in"
        if is_us(project)
        else f"{number(value_m * 1000, Decimal(1))} mm"
    )


def volume(project: Project, value_m3: Decimal | None) -> str:
    """A volume of fill (m3 inside) in cubic yards or cubic metres."""
    if value_m3 is None:
        return NOTHING
    unit = "yd3" if is_us(project) else "m3"
    return f"{number(from_si(value_m3, unit), Decimal(1))} {unit.replace('3', '³')}"


def percent(value: Decimal | None, *, signed: bool = False) -> str:
    """A percentage to 0.1, with its sign where the sign means something."""
    text = number(value, PERCENT_STEP)
    return f"+{text}" if signed and value is not None and value > 0 else text


def local(project: Project, moment: datetime) -> datetime:
    """The moment on the project's clock."""
    return moment.astimezone(project.zone_info)


def local_day(project: Project, moment: datetime) -> date:
    """The project's calendar day of a moment."""
    return local(project, moment).date()


def failure_mark_key(row: FailureRow) -> str:
    """The mark of a failure: that of its failing test, or what follows from its state while the test is not here."""
    if row.root is not None and row.root.failure_uuid == row.uuid:
        return mark(row.root) if row.root.result == "fail" else _by_state(row)
    return _by_state(row)


def _by_state(row: FailureRow) -> str:
    if row.buried:
        return BURIED_FAILURE
    if row.state in ("passed_on_retest", "passed_on_reassessment", "closed"):
        return PASSED_ON_RETEST
    return FAIL if row.is_open else ACCEPTED


# ---- worksheet -----------------------------------------------------------------------------------
def _worksheet_units(project: Project) -> dict[str, tuple[str, str, Decimal]]:
    """Suffix -> unit, its text, step. Chosen so that mass / volume gives the project's density by hand."""
    density_step = DENSITY_STEPS[project.units] / 100
    if is_us(project):
        return {
            "_kgm3": ("pcf", "pcf", density_step),
            "_kg": ("lb", "lb", Decimal("0.0001")),
            "_m3": ("ft3", "ft³", Decimal("0.000001")),
            "_m": ("ft", "ft", Decimal("0.001")),
        }
    grams = project.units == "Mg/m3"
    return {
        "_kgm3": (project.units, density_unit(project), density_step),
        "_kg": ("g", "g", Decimal("0.1")) if grams else ("kg", "kg", Decimal("0.0001")),
        "_m3": ("cm3", "cm³", Decimal("0.1")) if grams else ("m3", "m³", Decimal("0.0000001")),
        "_m": ("m", "m", Decimal("0.0001")),
    }


def worked(project: Project, name: str, value: Decimal) -> tuple[str, str]:
    """(name in words, value with unit) of one figure of a worksheet."""
    for suffix, (unit, text, step) in _worksheet_units(project).items():
        if name.endswith(suffix):
            return _in_words(project, name.removesuffix(suffix)), f"{number(from_si(value, unit), step)} {text}"
    if name.endswith("_pct") or name.startswith("percent_"):
        return _in_words(project, name.removesuffix("_pct")), f"{_short(value)} %"
    for suffix, unit in (("_mm", "mm"), ("_degc", "°C"), ("_s", "s")):
        if name.endswith(suffix):
            return _in_words(project, name.removesuffix(suffix)), f"{_short(value)} {unit}"
    return _in_words(project, name), _short(value)


def _short(value: Decimal) -> str:
    text = number(value, Decimal("0.0001"))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _in_words(project: Project, name: str) -> str:
    text = name.replace("_", " ")
    return text.replace("water content", word(project, "water content"))


def worksheet(project: Project, outcome: Outcome) -> list[dict[str, Any]]:
    """The steps of an outcome, ready to be read line by line: title, formula, numbers, result, source."""
    return step_lines(project, outcome.steps)


def step_lines(project: Project, steps: Iterable[Step]) -> list[dict[str, Any]]:
    """The same of any steps."""
    return [_step(project, step) for step in steps]


def _step(project: Project, step: Step) -> dict[str, Any]:
    formula = catalogue.FORMULAS.get(step.id)
    result_name, result = worked(project, step.result_name, step.result)
    return {
        "title": formula.title if formula else step.id.replace("-", " "),
        "formula": formula.formula.replace("rho", "ρ").replace(" - ", " − ") if formula else "",
        "source": formula.source if formula else "",
        "from_memory": bool(formula and formula.from_memory),
        "numbers": [
            (name.replace("_", " "), worked(project, step.result_name, value)[1])
            if name == "value"  # of a rounding step: the same quantity as its result
            else worked(project, name, value)
            for name, value in step.numbers.items()
        ],
        "result_name": result_name,
        "result": result,
        "note": step.note,
    }


# ---- criteria ------------------------------------------------------------------------------------
def criterion_row(project: Project, item: CriterionResult) -> dict[str, Any]:
    """One criterion as a line of a table: limit, found, margin with its sign."""
    judged = _short(_in_unit(item.judged, item.unit)) if item.judged is not None else NOTHING
    found = NOTHING
    if item.found is not None:
        found = number(_in_unit(item.found, item.unit), Decimal("0.01"))
    named = " %" if item.unit == "%" and (item.minimum, item.maximum) != (None, None) else ""
    return {
        "quantity": word(project, criterion_words(item.quantity)),
        "limit": f"{limits_text(item.minimum, item.maximum, unit=item.unit)}{named}".replace("-", "\u2212"),
        "found": found,
        "judged": judged,
        "margin": _margin(None if item.margin is None else _in_unit(item.margin, item.unit)),
        "result": item.result,
        "words": RESULT_WORDS.get(item.result, item.result),
        "contractual": item.contractual,
        "clause": item.clause,
        "sentence": item.sentence,
    }


def criterion_words(quantity: str) -> str:
    """The quantity of a criterion in words; "water content deviation" is told in the project's language."""
    return QUANTITIES[quantity] if quantity in ADDED_WORDS else quantity.replace("_", " ")


def _in_unit(value: Decimal, unit: str) -> Decimal:
    return value if unit == "%" else quantise(from_si(value, unit))


def with_unit(value: Decimal, unit: str) -> str:
    """A figure (percent, kg/m3 or m inside) in the unit of its limit, with the unit."""
    return f"{figure(_in_unit(value, unit))} {unit}"


def figure(value: Decimal) -> str:
    """A figure with at most four decimals; one smaller than that keeps the digits that show it is not zero."""
    text = _short(value)
    if text in ("0", "\u22120") and value != 0:
        return format(value.normalize(), "f").replace("-", "\u2212")
    return text


def _margin(margin: Decimal | None) -> str:
    if margin is None:
        return NOTHING
    return f"+{figure(margin)}" if margin > 0 else figure(margin)
