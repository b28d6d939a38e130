"""A criterion in words, as a clause reads: what is wanted, where, and on what, in the units asked for."""

from decimal import Decimal
from typing import Final

from compaction.calculations.criteria import QUANTITIES, limits_text
from compaction.calculations.criterion_conditions import MEASURED, range_text
from compaction.calculations.lot_rules import STATISTICS
from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import plain_number
from compaction.facts import CriterionFacts

_OF_A_REFERENCE: Final = ("percent_compaction", "water_content_deviation", "water_content_ratio")
_THICK: Final = ("maximum_particle", "lift_thickness")


def wanted(item: CriterionFacts) -> str:
    """The limits without the quantity: "98 to 102 % of D698", "at or above optimum", "at most 8 in"."""
    if item.quantity == "water_content_deviation":
        return _from_optimum(item) + _bound(item)
    unit = " %" if item.unit == "%" else ""
    limits = limits_text(item.minimum, item.maximum, unit=item.unit) + unit
    if item.maximum is None:
        limits = f"at least {limits}"
    elif item.minimum is not None and item.minimum == item.maximum:
        limits = f"exactly {limits}"
    if item.quantity == "water_content_ratio":
        limits += " of optimum"
    return limits.replace("-", "\u2212") + _bound(item)


def _bound(item: CriterionFacts) -> str:
    if not item.reference_methods:
        return ""
    return f" {'of' if item.quantity == 'percent_compaction' else 'by'} {' or '.join(item.reference_methods)}"


def _from_optimum(item: CriterionFacts) -> str:
    low, high = item.minimum, item.maximum
    if low is not None and high is not None:
        return f"from {_side(low)} to {_side(high)}"
    if low is not None:
        return "at or above optimum" if low == 0 else f"not drier than {_side(low)}"
    assert high is not None
    return "at or below optimum" if high == 0 else f"not wetter than {_side(high)}"


def _side(value: Decimal) -> str:
    if value == 0:
        return "optimum"
    return f"{plain_number(abs(value))} % {'dry' if value < 0 else 'wet'} of optimum"


def where(item: CriterionFacts, *, length_unit: str, density_unit: str) -> str:
    """Zone, depth and conditions: "in core, down to 2 ft below grade, plasticity index above 15 %"."""
    parts = [f"in {item.zone}" if item.zone else "everywhere"]
    low, high = item.depth_from_m, item.depth_to_m
    if low is not None and high is not None:
        parts.append(f"from {length(low, length_unit)} to {length(high, length_unit)} below grade")
    elif low is not None:
        parts.append(f"deeper than {length(low, length_unit)} below grade")
    elif high is not None:
        parts.append(f"down to {length(high, length_unit)} below grade")
    small = "in" if length_unit == "ft" else "mm"
    for name, bounds in item.conditions.ranges:
        kind = MEASURED[name][0]
        units = {"length": small if name in _THICK else length_unit, "density": density_unit, "percent": "%"}
        parts.append(range_text(name, bounds, unit=units[kind]))
    conditions = item.conditions
    if conditions.group_symbols:
        parts.append(f"soils {' or '.join(conditions.group_symbols)}")
    if conditions.aashto_groups:
        parts.append(f"AASHTO {' or '.join(conditions.aashto_groups)}")
    if conditions.methods:
        parts.append(f"tested by {' or '.join(conditions.methods)}".replace("_", " "))
    if conditions.structure:
        parts.append(f"at {conditions.structure}")
    return ", ".join(parts)


def length(value: Decimal, unit: str) -> str:
    """A length in a unit, to two decimals."""
    return f"{plain_number(quantise(from_si(value, unit)), decimals=2)} {unit}"


def project_units(density_unit: str) -> dict[str, str]:
    """The units that a project's clauses speak in, as keywords of the functions here; `density_unit` is its own.

    >>> project_units("pcf")
    {'length_unit': 'ft', 'density_unit': 'pcf'}
    """
    return {"length_unit": "ft" if density_unit == "pcf" else "m", "density_unit": density_unit}


def beside(item: CriterionFacts) -> str:
    """What else the criterion says: informs only, a statistic that a lot judges; empty where it decides each test."""
    if item.statistic:
        return f"{STATISTICS[item.statistic][0]} over a lot; informs at each test"
    return "" if item.contractual else "informs only"


def sentence(item: CriterionFacts, *, length_unit: str = "m", density_unit: str = "kg/m3") -> str:
    """The whole criterion in one line."""
    told = f"{QUANTITIES[item.quantity]} {wanted(item)}, "
    told += where(item, length_unit=length_unit, density_unit=density_unit)
    return f"{told} ({beside(item)})" if beside(item) else told
