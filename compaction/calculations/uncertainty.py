"""Uncertainty budgets by the law of propagation, and the probability that a limit is met.

For the worksheet only, and only where it is asked for: a verdict is made from the figure itself. The models are the
calculations of this package, each sensitivity is a central difference through them, so that model and budget cannot
part. Inputs are taken as independent. Sources: JCGM 100:2008 (GUM), clauses 4 and 5; JCGM 106:2012, clause 7 (all from
memory).
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from math import erf, sqrt
from typing import Final

from compaction.calculations import density, moisture, sand_cone
from compaction.calculations.errors import CalculationError, OutsideValidity
from compaction.calculations.quantities import quantise

_HUNDRED: Final = Decimal(100)
#: Step of the central difference as a share of the standard uncertainty: far below any curvature of the models, far
#: above the error of 28 digits.
_STEP: Final = Decimal("0.0001")

Model = Callable[[Mapping[str, Decimal]], Decimal]


@dataclass(frozen=True)
class Input:
    """One input quantity: name with unit, estimate, standard uncertainty, and what that rests on."""

    name: str
    value: Decimal
    standard_uncertainty: Decimal
    basis: str = ""


@dataclass(frozen=True)
class BudgetLine:
    """One line of a budget: what an input adds to the uncertainty of the result, and its share of the variance."""

    input: Input
    sensitivity: Decimal
    contribution: Decimal
    share_pct: Decimal


@dataclass(frozen=True)
class Budget:
    """Result, its combined standard uncertainty in the same unit, and the lines it comes from."""

    name: str
    value: Decimal
    standard_uncertainty: Decimal
    lines: tuple[BudgetLine, ...]

    def expanded(self, coverage_factor: Decimal = Decimal(2)) -> Decimal:
        """Expanded uncertainty, k times the standard one; 2 covers some 95 % (JCGM 100, clause 6)."""
        return coverage_factor * self.standard_uncertainty

    def as_input(self) -> Input:
        """The result as an input of the next budget."""
        return Input(self.name, self.value, self.standard_uncertainty, "budget")


def rectangular(half_width: Decimal) -> Decimal:
    """Standard uncertainty where every value within +/- the half width is as likely, as of a last digit: a / sqrt(3).

    In the unit of the half width. Validity: half widths of zero and more. Source: JCGM 100, clause 4.3.7 (from memory).

    >>> round(rectangular(Decimal("0.5")), 4)
    Decimal('0.2887')
    """
    return half_width / Decimal(3).sqrt()


def of_repeats(values: Sequence[Decimal]) -> Decimal:
    """Standard uncertainty of the mean of repeats: s / sqrt(n), in their unit. Raises `OutsideValidity` below two.

    Source: JCGM 100, clause 4.2.3 (from memory).

    >>> of_repeats([Decimal(1), Decimal(2), Decimal(3), Decimal(2)]).quantize(Decimal("0.0001"))
    Decimal('0.4082')
    """
    count = len(values)
    if count < 2:
        raise OutsideValidity("too-few-repeats", "One value alone has no scatter; repeat it.", value=Decimal(count))
    mean = sum(values, Decimal(0)) / count
    return (sum(((value - mean) ** 2 for value in values), Decimal(0)) / (count - 1) / count).sqrt()


def budget(name: str, model: Model, inputs: Sequence[Input]) -> Budget:
    """Combined standard uncertainty of a model of independent inputs: u^2 = sum (c_i u_i)^2.

    Raises `OutsideValidity` for a negative uncertainty, and what the model raises. Source: JCGM 100, clauses 5.1.2 and
    5.1.3 (from memory).

    >>> found = budget("area", lambda x: x["a"] * x["b"],
    ...     [Input("a", Decimal(3), Decimal("0.1")), Input("b", Decimal(4), Decimal("0.2"))])
    >>> found.value, round(found.standard_uncertainty, 4)  # sqrt((4 x 0.1)^2 + (3 x 0.2)^2)
    (Decimal('12'), Decimal('0.7211'))
    """
    values = {one.name: one.value for one in inputs}
    value = model(values)
    parts = []
    for one in inputs:
        if one.standard_uncertainty < 0:
            raise OutsideValidity(
                "uncertainty-negative",
                f"The standard uncertainty of {one.name} is {one.standard_uncertainty}; it cannot be below zero.",
                value=one.standard_uncertainty,
                limit=Decimal(0),
            )
        sensitivity = _sensitivity(model, values, one)
        parts.append((one, sensitivity, abs(sensitivity) * one.standard_uncertainty))
    variance = sum((part * part for _, _, part in parts), Decimal(0))
    lines = tuple(
        BudgetLine(one, sensitivity, part, _HUNDRED * part * part / variance if variance else Decimal(0))
        for one, sensitivity, part in parts
    )
    return Budget(name, value, variance.sqrt(), lines)


def _sensitivity(model: Model, values: Mapping[str, Decimal], one: Input) -> Decimal:
    """Central difference; at the edge of what the model takes (no water at all) the difference to the one side."""
    step = one.standard_uncertainty * _STEP
    if step == 0:
        return Decimal(0)
    ends: list[tuple[Decimal, Decimal]] = []
    for at in (one.value - step, one.value, one.value + step):
        with suppress(CalculationError):
            ends.append((at, model({**values, one.name: at})))
    (low, below), (high, above) = ends[0], ends[-1]
    return (above - below) / (high - low) if high > low else Decimal(0)


def water_content_budget(*, wet_and_can: Input, dry_and_can: Input, can: Input) -> Budget:
    """Budget of a water content from three masses (kg), in points of water content. Errors of `moisture.from_masses`.

    Source: JCGM 100, clause 5; ASTM D2216, section on calculation (from memory).

    >>> found = water_content_budget(wet_and_can=Input("wet", Decimal("0.150"), Decimal("0.0001")),
    ...     dry_and_can=Input("dry", Decimal("0.134"), Decimal("0.0001")),
    ...     can=Input("can", Decimal("0.034"), Decimal(0)))
    >>> found.value, round(found.standard_uncertainty, 3)
    (Decimal('16'), Decimal('0.153'))
    """

    def model(x: Mapping[str, Decimal]) -> Decimal:
        return moisture.from_masses(
            wet_and_can_kg=x[wet_and_can.name], dry_and_can_kg=x[dry_and_can.name], can_kg=x[can.name]
        )

    return budget("water_content_pct", model, [wet_and_can, dry_and_can, can])


def sand_cone_wet_density_budget(
    *, mass_before: Input, mass_after: Input, cone_and_plate_mass: Input, sand_bulk_density: Input, soil_wet_mass: Input
) -> Budget:
    """Budget of the wet density of a sand-cone test, kg/m3; masses in kg. Errors of `sand_cone.hole_volume_m3`.

    The hole itself (walls squeezing in, voids not filled) is no input: it biases and does not scatter. Source: JCGM
    100, clause 5; ASTM D1556, section on calculation (from memory).

    >>> found = sand_cone_wet_density_budget(mass_before=Input("before", Decimal("6.842"), Decimal("0.001")),
    ...     mass_after=Input("after", Decimal("2.871"), Decimal("0.001")),
    ...     cone_and_plate_mass=Input("cone", Decimal("1.612"), Decimal("0.005")),
    ...     sand_bulk_density=Input("sand", Decimal(1412), Decimal(10)),
    ...     soil_wet_mass=Input("soil", Decimal("3.421"), Decimal("0.001")))
    >>> round(found.value), round(found.standard_uncertainty, 1)  # 14.5 of it from the sand
    (2048, Decimal('15.2'))
    """

    def model(x: Mapping[str, Decimal]) -> Decimal:
        return x[soil_wet_mass.name] / sand_cone.hole_volume_m3(
            mass_before_kg=x[mass_before.name],
            mass_after_kg=x[mass_after.name],
            cone_and_plate_mass_kg=x[cone_and_plate_mass.name],
            sand_bulk_density_kgm3=x[sand_bulk_density.name],
        )

    return budget(
        "wet_density_kgm3", model, [mass_before, mass_after, cone_and_plate_mass, sand_bulk_density, soil_wet_mass]
    )


def dry_density_budget(*, wet_density: Input, water_content: Input) -> Budget:
    """Budget of the dry density, kg/m3, from wet density (kg/m3) and water content (%). Errors of `density`.

    Source: JCGM 100, clause 5; ASTM D1556 and D6938, sections on calculation (from memory).

    >>> found = dry_density_budget(wet_density=Input("wet", Decimal(2200), Decimal(11)),
    ...     water_content=Input("water", Decimal(10), Decimal("0.5")))
    >>> found.value, round(found.standard_uncertainty, 2)
    (Decimal('2000'), Decimal('13.51'))
    """

    def model(x: Mapping[str, Decimal]) -> Decimal:
        return density.dry_density_kgm3(wet_density_kgm3=x[wet_density.name], water_content_pct=x[water_content.name])

    return budget("dry_density_kgm3", model, [wet_density, water_content])


def percent_compaction_budget(*, dry_density: Input, maximum_dry_density: Input) -> Budget:
    """Budget of percent compaction, points, from dry density and maximum (kg/m3). Errors of `density`.

    Source: JCGM 100, clause 5; ASTM D6938, section on report (from memory).

    >>> found = percent_compaction_budget(dry_density=Input("dry", Decimal(110), Decimal(1)),
    ...     maximum_dry_density=Input("maximum", Decimal(115), Decimal(1)))
    >>> round(found.value, 3), round(found.standard_uncertainty, 3)
    (Decimal('95.652'), Decimal('1.203'))
    """

    def model(x: Mapping[str, Decimal]) -> Decimal:
        return density.percent_compaction(
            dry_density_kgm3=x[dry_density.name], maximum_dry_density_kgm3=x[maximum_dry_density.name]
        )

    return budget("percent_compaction", model, [dry_density, maximum_dry_density])


def conformity_probability_pct(
    *,
    value: Decimal,
    standard_uncertainty: Decimal,
    lower: Decimal | None = None,
    upper: Decimal | None = None,
) -> Decimal:
    """Probability that the true value lies within its limits, percent, for a normal distribution about the value found.

    Without uncertainty it is all or nothing; a limit itself conforms. Raises `OutsideValidity` for a negative
    uncertainty, or without a limit. Source: JCGM 106:2012, clause 7 (from memory).

    >>> round(conformity_probability_pct(value=Decimal("95.652"), standard_uncertainty=Decimal("1.203"),
    ...     lower=Decimal(95)), 1)
    Decimal('70.6')
    """
    if standard_uncertainty < 0 or (lower is None and upper is None):
        raise OutsideValidity(
            "conformity-needs-limit",
            "The probability of conformity needs a limit and a standard uncertainty that is not below zero.",
            value=standard_uncertainty,
            limit=Decimal(0),
        )
    if standard_uncertainty == 0:
        return _HUNDRED if (lower is None or value >= lower) and (upper is None or value <= upper) else Decimal(0)
    below = 0.0 if lower is None else _normal(float((lower - value) / standard_uncertainty))
    up_to = 1.0 if upper is None else _normal(float((upper - value) / standard_uncertainty))
    return quantise(Decimal(repr(100 * max(up_to - below, 0.0))))


def _normal(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2
