"""What has to be so for a criterion to hold, beside zone and depth: soil, reference, method, elevation, structure.

A condition is met, not met, or cannot be told because a fact is not known; the last is never taken for either of the
others. Source: common practice of specifications (no source); published rules stand in the tests.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import plain_number
from compaction.facts import NO_CONDITIONS, Bounds, Conditions

#: fact -> kind of quantity and words
MEASURED: Final = {
    "elevation": ("length", "elevation"),
    "plasticity_index": ("percent", "plasticity index"),
    "liquid_limit": ("percent", "liquid limit"),
    "fines": ("percent", "fines"),
    "gravel": ("percent", "gravel"),
    "reference_maximum": ("density", "maximum dry density of the reference"),
    "oversize": ("percent", "oversize"),
    "maximum_particle": ("length", "largest particle"),
    "lift_thickness": ("length", "lift thickness"),
    "structure_distance": ("length", "distance to the structure"),
}
_SI: Final = {"length": "m", "percent": "%", "density": "kg/m3"}
_WORDS: Final = (("at_least", "at least"), ("above", "above"), ("at_most", "at most"), ("below", "below"))


@dataclass(frozen=True)
class Circumstances:
    """The facts at one test, or at a point somebody asks about. What is not known is left out or empty."""

    zone: str = ""
    depth_m: Decimal | None = None
    measured: Mapping[str, Decimal] = field(default_factory=dict)  # keys of `MEASURED`, in m, percent or kg/m3
    group_symbol: str = ""
    aashto_group: str = ""
    method: str = ""
    structure: str = ""
    reference_method: str = ""


@dataclass(frozen=True)
class Told:
    """What conditions come to: those not met and the facts that are wanted, in words. Neither: they are met."""

    unmet: tuple[str, ...] = ()
    wanted: tuple[str, ...] = ()


def told(conditions: Conditions, at: Circumstances) -> Told:
    """Whether the conditions are met in these circumstances, and if not, which is not or which fact is wanted.

    Where one condition is not met the facts wanted by others don't matter. A structure that nobody named is none.
    Source: common practice (no source).

    >>> clay = Conditions(ranges=(("plasticity_index", Bounds(above=Decimal(15))),))
    >>> told(clay, Circumstances(measured={"plasticity_index": Decimal(15)})).unmet
    ('plasticity index above 15 %',)
    >>> told(clay, Circumstances()).wanted
    ('plasticity index',)
    """
    unmet: list[str] = []
    wanted: list[str] = []
    for name, bounds in conditions.ranges:
        value = at.measured.get(name)
        if value is None:
            wanted.append(MEASURED[name][1])
        elif not within(value, bounds):
            unmet.append(range_text(name, bounds))
    for allowed, found, words in (
        (conditions.group_symbols, at.group_symbol, "group symbol"),
        (conditions.aashto_groups, at.aashto_group, "AASHTO group"),
        (conditions.methods, at.method, "method of testing"),
    ):
        if allowed and not found:
            wanted.append(words)
        elif allowed and not any(one.casefold() == found.casefold() for one in allowed):
            unmet.append(f"{words} {' or '.join(allowed)}".replace("_", " "))
    if conditions.structure and conditions.structure.casefold() != at.structure.casefold():
        unmet.append(f"at {conditions.structure}")
    return Told(tuple(unmet)) if unmet else Told((), tuple(wanted))


def within(value: Decimal, bounds: Bounds) -> bool:
    """Whether a fact lies in a range; both sides brought to nine decimals first, so that units can't move an end.

    Source: common practice (no source).

    >>> within(Decimal(15), Bounds(at_most=Decimal(15))), within(Decimal(15), Bounds(above=Decimal(15)))
    (True, False)
    """
    value = quantise(value)
    return (
        (bounds.at_least is None or value >= quantise(bounds.at_least))
        and (bounds.above is None or value > quantise(bounds.above))
        and (bounds.at_most is None or value <= quantise(bounds.at_most))
        and (bounds.below is None or value < quantise(bounds.below))
    )


def range_text(name: str, bounds: Bounds, *, unit: str = "") -> str:
    """A range in words, in `unit` or the unit used inside. Source: common practice (no source).

    >>> range_text("reference_maximum", Bounds(at_least=Decimal(1600), below=Decimal(1680)))
    'maximum dry density of the reference at least 1600 and below 1680 kg/m3'
    """
    kind, words = MEASURED[name]
    unit = unit or _SI[kind]
    ends = [
        f"{word} {plain_number(quantise(from_si(value, unit)), decimals=3)}"
        for member, word in _WORDS
        if (value := getattr(bounds, member)) is not None
    ]
    return f"{words} {' and '.join(ends)} {unit}"


def count(conditions: Conditions) -> int:
    """How many conditions there are: the more, the more specific. Source: common practice (no source).

    >>> count(Conditions(group_symbols=("CL", "CH"), structure="wall 3"))
    2
    """
    if conditions is NO_CONDITIONS:
        return 0
    named = (conditions.group_symbols, conditions.aashto_groups, conditions.methods, conditions.structure)
    return len(conditions.ranges) + sum(1 for one in named if one)


def bound(reference_methods: tuple[str, ...], reference_method: str) -> bool:
    """Whether a limit bound to laboratory methods may judge by this one. "D698" takes "D698-A" in, never "D1557-A".

    Source: common practice (no source): a percentage of one effort says nothing of another's maximum.

    >>> bound(("D698",), "D698-A"), bound(("D698",), "D1557-A"), bound((), "")
    (True, False, True)
    """
    return not reference_methods or any(
        reference_method == one or reference_method.startswith(f"{one}-") for one in reference_methods
    )
